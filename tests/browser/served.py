"""A server on a free port with runs in it, and somebody who works on them."""

from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from tests.api.served import serving
from tests.services.workers import finish
from tradeopt.search.designs import Designs
from tradeopt.search.plan import DOUBLINGS, SearchPlan
from tradeopt.search.slices import Found
from tradeopt.services import runs
from tradeopt.store import results
from tradeopt.store.database import Database
from tradeopt.store.runs import Budget, Run, RunState
from tradeopt.study.read import load, loads
from tradeopt.study.study import Study

SHORT = SearchPlan(seed=7, population=16, islands=2, evaluations=32_768)
"""A plan whose first epochs are a few hundred designs."""


MANY = SearchPlan(seed=8, islands=4, evaluations=2500 * 2**DOUBLINGS)
"""A plan whose first epochs are 10,000 designs."""


@dataclass(frozen=True)
class Served:
    """Where the page is, and where its runs are kept.

    Attributes
    ----------
    address, url : str
        Of the page, and of the database.
    run : str
        A short run of the example.
    best : int
        A design on its front.
    many : str
        A run with 10,000 invented designs.
    """

    address: str
    url: str
    run: str
    best: int
    many: str


@contextmanager
def served(folder: Path) -> Iterator[Served]:
    """Serve the page over a database with a short run of the example and one of 10,000 designs."""
    url = f"sqlite:///{folder}/runs.db"
    study = load("levee_rounds")
    with closing(Database(url)) as database:
        short = runs.start_or_resume(
            database, study, plan=SHORT, budget=Budget(seconds=None, designs=1024)
        )
        many = invented_run(database, study)
        finish(database, short.id, loads)
        best = int(runs.front(database, short.id).numbers.max())  # not the baseline, number 0
    with serving(url) as address:
        yield Served(address, url, short.id, best, many.id)


def search(url: str, run_id: str) -> None:
    """Work on a run to its end."""
    with closing(Database(url)) as database:
        finish(database, run_id, loads)


def invented_run(database: Database, study: Study) -> Run:
    """Fill a run with 10,000 invented designs, half of which miss a limit."""
    run = runs.start_or_resume(
        database, study, plan=MANY, budget=Budget(seconds=None, designs=10_000)
    )
    chance = np.random.default_rng(5)
    gains = results.last_epoch(database, run).gains
    for island in range(MANY.islands):
        designs = _invented(study, MANY.first_number(0, island), MANY.slice_size(0), chance)
        missed = (designs.violations > 0.0).sum(axis=0)
        found = Found(designs, 0, len(designs), int(designs.feasible.sum()), missed, gains)
        results.save_slice(database, run, (0, island), found, seconds=1.0, worker="invented")
    runs.close_epoch(database, run.id, 0)
    runs.end(database, run.id, RunState.FINISHED)
    return run


def _invented(study: Study, first: int, count: int, chance: np.random.Generator) -> Designs:
    problem = study.problem
    lower = np.array([one.lower for one in problem.variables])
    upper = np.array([one.upper for one in problem.variables])
    values = lower + (upper - lower) * chance.random((count, len(lower)))
    whole = [bool(one.choices) or one.whole for one in problem.variables]
    values[:, whole] = values[:, whole].round()
    mass = 70.0 + 40.0 * chance.random(count)
    reach = 800.0 * (mass - 60.0) * (0.3 + 0.7 * chance.random(count))
    violations = chance.random((count, len(problem.limits))) - 1.0
    violations[chance.random(count) < 0.5, 0] += 1.0
    numbers = np.arange(first, first + count, dtype=np.int64)
    return Designs(numbers, values, np.column_stack([reach, mass]), violations)
