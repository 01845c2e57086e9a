"""The searches that are held against each other, all on the same evaluator and by one clock."""

import tempfile
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path

import moocore
import numpy as np
import optuna

from tradeopt.arrays import Array
from tradeopt.search import epoch as epochs
from tradeopt.search import records, space
from tradeopt.search.cube import Cube
from tradeopt.search.front import minimised
from tradeopt.search.plan import SearchPlan
from tradeopt.search.samplers import quiet
from tradeopt.search.slices import Seeds
from tradeopt.study.problem import (
    Limit,
    Objective,
    Pieces,
    Problem,
    Scores,
    Variable,
    score_pieces,
)

BUFFER = 20_000
"""Feasible designs that are put aside before they are sorted out."""


@dataclass
class Recorder:
    """A problem that counts, and remembers the best that was seen at some moments.

    Its own work does not count. The clock is the processor time of this process, so that others on
    the machine do not disturb the comparison.
    """

    inner: Problem
    moments: tuple[float, ...]
    began: float = field(default_factory=time.process_time)
    own: float = 0.0
    tried: int = 0
    seen: list[Array] = field(default_factory=list)
    track: list[tuple[float, int, Array]] = field(default_factory=list)

    @property
    def variables(self) -> tuple[Variable, ...]:
        return self.inner.variables

    @property
    def objectives(self) -> tuple[Objective, ...]:
        return self.inner.objectives

    @property
    def limits(self) -> tuple[Limit, ...]:
        return self.inner.limits

    @property
    def baseline(self) -> Array:
        return self.inner.baseline

    @property
    def spent(self) -> float:
        return time.process_time() - self.began - self.own

    @property
    def over(self) -> bool:
        return len(self.track) == len(self.moments)

    def score(self, designs: Array) -> Scores:
        return self._book(self.inner.score(designs))

    def score_pieces(self, designs: Array) -> tuple[Scores, Pieces]:
        scores, parts = score_pieces(self.inner, designs)
        return self._book(scores), parts

    def _book(self, scores: Scores) -> Scores:
        began = time.process_time()
        due = [moment for moment in self.moments[len(self.track) :] if self.spent >= moment]
        for moment in due:
            self._sort_out()
            self.track.append((moment, self.tried, self.seen[0] if self.seen else np.empty(0)))
        self.tried += len(scores.objectives)
        good = scores.feasible
        if np.any(good):
            self.seen.append(minimised(scores.objectives[good], self.objectives))
        if sum(map(len, self.seen[1:])) > BUFFER:
            self._sort_out()
        self.own += time.process_time() - began
        return scores

    def _sort_out(self) -> None:
        if self.seen:
            costs = np.concatenate(self.seen)
            self.seen = [costs[moocore.is_nondominated(costs)]]


def bursts(recorder: Recorder, seed: int) -> float:
    """Search as the product does, island after island; return the share spent coordinating."""
    plan = SearchPlan(seed=seed)
    now = epochs.beginning(recorder, Seeds(recorder.baseline[None], ("baseline",)))
    between = 0.0
    while not recorder.over:
        found = [
            epochs.run_slice(recorder, plan, epochs.task_of(plan, now, island))
            for island in range(plan.islands)
        ]
        began = time.process_time()
        now, _ = epochs.merge(recorder, plan, now, found)
        between += time.process_time() - began
    return between / recorder.spent


def evolution(recorder: Recorder, seed: int, *, name: str) -> float:
    """Search with pymoo; choices are real numbers that are rounded down."""
    from pymoo.algorithms.moo.nsga2 import NSGA2  # noqa: PLC0415 - an extra
    from pymoo.algorithms.moo.nsga3 import NSGA3  # noqa: PLC0415 - an extra
    from pymoo.core.evaluator import Evaluator  # noqa: PLC0415 - an extra
    from pymoo.core.problem import Problem as Unit  # noqa: PLC0415 - an extra
    from pymoo.core.termination import NoTermination  # noqa: PLC0415 - an extra
    from pymoo.problems.static import StaticProblem  # noqa: PLC0415 - an extra
    from pymoo.util.ref_dirs import get_reference_directions  # noqa: PLC0415 - an extra

    wanted = len(recorder.objectives)
    if name == "nsga2":
        algorithm = NSGA2(pop_size=100)
    else:
        parts = {2: 99, 3: 12}[wanted]
        rays = get_reference_directions("das-dennis", wanted, n_partitions=parts)
        algorithm = NSGA3(rays, pop_size=max(100, len(rays)))
    cube = Cube(recorder.variables)
    problem = Unit(
        n_var=len(recorder.variables),
        n_obj=wanted,
        n_ieq_constr=len(recorder.limits),
        xl=0.0,
        xu=1.0,
    )
    algorithm.setup(problem, termination=NoTermination(), seed=seed)
    while not recorder.over:
        asked = algorithm.ask()
        costs, violations = _scored(recorder, cube, asked.get("X"))
        known = {"G": violations} if recorder.limits else {}
        Evaluator().eval(StaticProblem(problem, F=costs, **known), asked)
        algorithm.tell(infills=asked)
    return 0.0


def _scored(recorder: Recorder, cube: Cube, genes: Array) -> tuple[Array, Array]:
    """Score what pymoo asks for; costs without a value are far off."""
    genes = np.array(genes, dtype=np.float64)
    places = np.floor(genes[:, cube.words] * cube.choices)
    genes[:, cube.words] = np.minimum(places, cube.choices - 1)
    scores = recorder.score(cube.to_values(genes))
    costs = minimised(scores.objectives, recorder.objectives)
    return np.where(np.isfinite(costs), costs, 1e30), scores.violations


def library(recorder: Recorder, seed: int, *, sampler: str, stored: bool) -> float:
    """Search with Optuna, a trial a design, its study in memory or in an SQLite file."""
    made: dict[str, Callable[[], optuna.samplers.BaseSampler]] = {
        "nsga2": partial(optuna.samplers.NSGAIISampler, population_size=100, seed=seed),
        "tpe": partial(optuna.samplers.TPESampler, multivariate=True, seed=seed),
    }
    names = [limit.name for limit in recorder.limits]
    kinds = space.distributions(recorder.variables)
    with quiet(), tempfile.TemporaryDirectory() as folder:
        study = optuna.create_study(
            storage=f"sqlite:///{Path(folder)}/study.db" if stored else None,
            sampler=made[sampler](),
            directions=records.directions(recorder),
        )
        while not recorder.over:
            trial = study.ask(kinds)
            scores = recorder.score(np.array([space.row(trial.params, recorder.variables)]))
            for limit, missed in zip(names, scores.violations[0].tolist(), strict=True):
                trial.set_constraint(limit, missed)
            study.tell(trial, scores.objectives[0].tolist())
    return 0.0


Contender = Callable[[Recorder, int], float]

OURS = "bursts"
PEERS = ("pymoo NSGA-II", "pymoo NSGA-III")
ON_FILE = "Optuna NSGA-II, SQLite"

CONTENDERS: Mapping[str, Contender] = {
    OURS: bursts,
    PEERS[0]: partial(evolution, name="nsga2"),
    PEERS[1]: partial(evolution, name="nsga3"),
    "Optuna NSGA-II, memory": partial(library, sampler="nsga2", stored=False),
    ON_FILE: partial(library, sampler="nsga2", stored=True),
    "Optuna TPE, memory": partial(library, sampler="tpe", stored=False),
    "Optuna TPE, SQLite": partial(library, sampler="tpe", stored=True),
}
