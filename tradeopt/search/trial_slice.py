"""A slice in which every design is a trial that a sampler proposes."""

import numpy as np
import optuna
from optuna.trial import FrozenTrial, Trial, TrialState

from tradeopt.arrays import Array
from tradeopt.search import designs as tables
from tradeopt.search import records, space
from tradeopt.search.designs import Designs
from tradeopt.search.plan import SearchPlan
from tradeopt.search.samplers import Breeding, make_sampler, quiet
from tradeopt.search.slices import Found, SliceTask, counted
from tradeopt.study.problem import Problem


def trial_slice(problem: Problem, plan: SearchPlan, task: SliceTask) -> Found:
    """
    Propose and score designs, generation by generation.

    Parameters
    ----------
    problem : Problem
        The study.
    plan : SearchPlan
        How the run searches.
    task : SliceTask
        What to do.

    Returns
    -------
    Found
        All designs tried, in order; those without a value too.
    """
    with quiet():
        under_way = _Slice(problem, plan, task)
        while under_way.wanted > 0:
            under_way.advance()
    tried = tables.join(under_way.tried)
    return counted(tried, tried, under_way.seeds, np.zeros(0))


class _Slice:
    """One slice under way: the sampler's study beside the table of what was tried."""

    def __init__(self, problem: Problem, plan: SearchPlan, task: SliceTask) -> None:
        self.problem = problem
        self.plan = plan
        self.number = plan.first_number(task.epoch, task.island)
        self.wanted = plan.slice_size(task.epoch)
        self.tried: list[Designs] = []
        self.distributions = space.distributions(problem.variables)
        self.study = optuna.create_study(directions=records.directions(problem))
        self.told = 0
        founders = self._add(task.parents)
        self.seeds = min(len(task.seeds), self.wanted)
        if self.seeds:
            self.told = len(self._add(self._score(task.seeds.values[: self.seeds])))
        chance = plan.chance(task.epoch, task.island)
        self.study.sampler = make_sampler(
            plan.sampler, Breeding(self.distributions, plan.population, chance, founders)
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
        self.study.add_trials(records.trials(self.problem, kept, [{}] * len(kept)))
        return tuple(self.study.get_trials(deepcopy=False)[before:])
