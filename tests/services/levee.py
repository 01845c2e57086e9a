"""A run of the levee study without a search, and the review of it, for folders that need one.

Designs scattered around the baseline stand in for what a search would have found.
"""

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from tradeopt.arrays import Array
from tradeopt.report.review import Review
from tradeopt.search.designs import score
from tradeopt.search.plan import DOUBLINGS, SearchPlan
from tradeopt.search.slices import counted
from tradeopt.services import runs
from tradeopt.services.handover import review
from tradeopt.services.lookup import FoundRun, find
from tradeopt.store import results
from tradeopt.store.database import Database
from tradeopt.store.runs import Budget, RunState
from tradeopt.study.problem import Problem
from tradeopt.study.read import load
from tradeopt.study.study import Study

COUNT = 400
"""Designs."""

PLAN = SearchPlan(seed=7, population=40, islands=1, evaluations=2**DOUBLINGS * COUNT, proposals=0)
"""A plan whose first epoch is one slice of as many designs."""

NEAR = 0.04
"""How far from the baseline they are scattered, as a share of each variable's range."""


def scattered(problem: Problem) -> Array:
    """Return the baseline and designs around it, all choices as in the baseline."""
    rng = np.random.default_rng(3)
    rows = np.tile(problem.baseline, (COUNT, 1))
    for column, variable in enumerate(problem.variables):
        if not variable.choices:
            step = NEAR * (variable.upper - variable.lower) * rng.standard_normal(COUNT)
            step[0] = 0.0
            moved = np.clip(rows[:, column] + step, variable.lower, variable.upper)
            rows[:, column] = np.rint(moved) if variable.whole else moved
    return rows


def finished(database: Database, study: Study) -> FoundRun:
    """Make a run of one epoch that has ended."""
    run = runs.start_or_resume(database, study, plan=PLAN, budget=Budget(None, COUNT))
    designs = score(study.problem, scattered(study.problem), 0)
    found = counted(designs, designs, 1, np.zeros(0))
    results.save_slice(database, run, (0, 0), found, seconds=1.0, worker="")
    runs.close_epoch(database, run.id, 0)
    runs.end(database, run.id, RunState.FINISHED)
    return find(database, run.id)


@pytest.fixture(scope="session")
def levee(tmp_path_factory: pytest.TempPathFactory) -> Iterator[FoundRun]:
    """A run that has a front."""
    path: Path = tmp_path_factory.mktemp("levee") / "runs.db"
    database = Database(f"sqlite:///{path}")
    yield finished(database, load("levee_rounds"))
    database.close()


@pytest.fixture(scope="session")
def told(levee: FoundRun) -> Review:
    """The review of that run."""
    return review(levee)
