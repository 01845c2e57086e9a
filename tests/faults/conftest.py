"""One PostgreSQL for all tests of a session; each has runs of its own in it."""

from collections.abc import Iterator

import pytest

from tests.faults.servers import Server, postgres_server
from tradeopt.store.database import Database


@pytest.fixture(scope="session")
def postgres() -> Iterator[tuple[Server, str]]:
    with postgres_server() as server:
        yield server


@pytest.fixture(scope="module")
def database(postgres: tuple[Server, str]) -> Iterator[Database]:
    opened = Database(postgres[1])
    yield opened
    opened.close()
