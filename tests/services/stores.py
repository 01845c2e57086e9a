"""Fixtures: a database with one run in it, for every folder that needs one."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.services.toy import SMALL, ToyStudy
from tradeopt.services import runs
from tradeopt.store.database import Database
from tradeopt.store.runs import Run


@pytest.fixture
def database(tmp_path: Path) -> Iterator[Database]:
    opened = Database(f"sqlite:///{tmp_path}/runs.db")
    yield opened
    opened.close()


@pytest.fixture
def run(database: Database) -> Run:
    return runs.start_or_resume(database, ToyStudy(), plan=SMALL)
