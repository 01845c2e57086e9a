"""A short run of the levee study, and the review of it, for every folder that needs one."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tradeopt.report.review import Review
from tradeopt.search.plan import SearchPlan
from tradeopt.services import runs
from tradeopt.services.handover import review
from tradeopt.services.lookup import FoundRun, find
from tradeopt.services.runs import Step
from tradeopt.store.database import Database
from tradeopt.store.runs import Budget
from tradeopt.study.read import load
from tradeopt.study.study import Study

SHORT = SearchPlan(seed=7, population=24, islands=2, evaluations=512, proposals=2)
"""A plan whose first epochs are short."""


def searched(database: Database, study: Study) -> FoundRun:
    """Search a study in this process, for as little as one epoch."""
    run = runs.start_or_resume(database, study, plan=SHORT, budget=Budget(None, 1))
    while (work := runs.next_work(database, run.id)).step is not Step.END:
        if work.step is Step.CLOSE:
            runs.close_epoch(database, run.id, work.epoch)
        for island in work.islands:
            runs.run_slice(database.url, run.id, work.epoch, island)
    runs.end(database, run.id, work.state, work.note)
    return find(database, run.id)


@pytest.fixture(scope="session")
def levee(tmp_path_factory: pytest.TempPathFactory) -> Iterator[FoundRun]:
    """A run that has found a front."""
    path: Path = tmp_path_factory.mktemp("levee") / "runs.db"
    database = Database(f"sqlite:///{path}")
    yield searched(database, load("levee_rounds"))
    database.close()


@pytest.fixture(scope="session")
def told(levee: FoundRun) -> Review:
    """The review of that run."""
    return review(levee)
