"""The unit of work: a slice of a run, a pure function of its arguments."""

from dataclasses import dataclass

import numpy as np
import optuna
from optuna.trial import FrozenTrial, Trial, TrialState, create_trial

from tradeopt.arrays import Array
from tradeopt.search import designs as tables
from tradeopt.search import space
from tradeopt.search.designs import Designs
from tradeopt.search.plan import SearchPlan
from tradeopt.search.samplers import Breeding, make_sampler, quiet
from tradeopt.study.problem import Problem


@dataclass(frozen=True)
class SliceTask:
    """What a worker is asked to do.

    Attributes
    ----------
    plan : SearchPlan
        How the run searches.
    epoch, island : int
        Which slice of it.
    parents : Designs
        The designs that live at the end of the epoch before; without rows in epoch 0.
    """

    plan: SearchPlan
    epoch: int
    island: int
    parents: Designs


def run_slice(problem: Problem, task: SliceTask) -> Designs:
    """
    Propose and score designs, generation by generation.

    Parameters
    ----------
    problem : Problem
        The study.
    task : SliceTask
        What to do. The same task gives the same designs, bit for bit, on any worker.

    Returns
    -------
    Designs
        All designs tried, in order; those without a value too. The first one of the first slice is
        the baseline.
    """
    with quiet():
        burst = _Burst(problem, task)
        while burst.wanted > 0:
            burst.advance()
    return tables.join(burst.tried)


class _Burst:
    """One slice under way: the sampler's study beside the table of what was tried."""

    def __init__(self, problem: Problem, task: SliceTask) -> None:
        self.problem = problem
        self.plan = task.plan
        self.number = task.plan.first_number(task.epoch, task.island)
        self.wanted = task.plan.evaluations
        self.tried: list[Designs] = []
        self.distributions = space.distributions(problem.variables)
        self.study = optuna.create_study(
            directions=["maximize" if o.highest else "minimize" for o in problem.objectives]
        )
        self.told = 0
        founders = self._add(task.parents)
        if self.number == 0:
            self.told = len(self._add(self._score(problem.baseline[np.newaxis])))
        self.study.sampler = make_sampler(
            task.plan.sampler,
            Breeding(
                self.distributions,
                task.plan.population,
                task.plan.chance(task.epoch, task.island),
                founders,
            ),
        )

    def advance(self) -> None:
        """Propose the rest of a generation, score it as one batch, and tell."""
        size = min(self.plan.population - self.told % self.plan.population, self.wanted)
        trials = [self.study.ask(self.distributions) for _ in range(size)]
        values = [space.row(trial.params, self.problem.variables) for trial in trials]
        scored = self._score(np.array(values).reshape(size, -1))
        for trial, objectives, violations in zip(
            trials, scored.objectives, scored.violations, strict=True
        ):
            self._tell(trial, objectives, violations)
        self.told += size

    def _score(self, values: Array) -> Designs:
        scored = tables.score(self.problem, values, self.number)
        self.number += len(scored)
        self.wanted -= len(scored)
        self.tried.append(scored)
        return scored

    def _tell(self, trial: Trial, objectives: Array, violations: Array) -> None:
        for name, violation in self._limits(violations).items():
            trial.set_constraint(name, violation)
        if np.all(np.isfinite(objectives)):
            self.study.tell(trial, objectives.tolist())
        else:
            self.study.tell(trial, state=TrialState.FAIL)

    def _limits(self, violations: Array) -> dict[str, float]:
        names = [limit.name for limit in self.problem.limits]
        return dict(zip(names, violations.tolist(), strict=True))

    def _add(self, scored: Designs) -> tuple[FrozenTrial, ...]:
        """Give the study designs scored elsewhere, but for those it could not breed from."""
        usable = space.inside(scored.values, self.problem.variables) & np.all(
            np.isfinite(scored.objectives), axis=1
        )
        before = len(self.study.get_trials(deepcopy=False))
        kept = scored.take(usable)
        for values, objectives, violations in zip(
            kept.values, kept.objectives, kept.violations, strict=True
        ):
            trial = create_trial(
                params=space.parameters(values, self.problem.variables),
                distributions=self.distributions,
                values=objectives.tolist(),
                constraints=self._limits(violations),
            )
            self.study.add_trial(trial)
        return tuple(self.study.get_trials(deepcopy=False)[before:])
