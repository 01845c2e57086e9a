"""Clients of an api over a database with one finished run in it."""

from collections.abc import Iterator

import pytest
from fastapi.testclient import TestClient

from tests.api.served import finished_run, opened
from tradeopt.search.designs import Designs


@pytest.fixture(scope="module")
def found(tmp_path_factory: pytest.TempPathFactory) -> tuple[str, Designs]:
    """Address of the database, and all designs of its run."""
    url = f"sqlite:///{tmp_path_factory.mktemp('api')}/runs.db"
    return url, finished_run(url)


@pytest.fixture(scope="module")
def client(found: tuple[str, Designs]) -> Iterator[TestClient]:
    """Return a client of the finished run; nothing may be changed with it."""
    with opened(found[0]) as ready:
        yield ready


@pytest.fixture
def fresh(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    """Return a client of an empty database."""
    with opened(f"sqlite:///{tmp_path_factory.mktemp('fresh')}/runs.db") as ready:
        yield ready
