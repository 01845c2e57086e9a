"""Celery workers on PostgreSQL and Redis, and what happens to each of the three."""

import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager

import pytest

from tests.faults import scene
from tests.faults.scene import CALM
from tests.faults.servers import HERE, Server, postgres_server, redis_server
from tradeopt.store.database import Database

pytestmark = pytest.mark.services


@pytest.fixture(scope="module")
def broker() -> Iterator[Server]:
    with redis_server() as server:
        yield server


@pytest.fixture(scope="module")
def postgres() -> Iterator[tuple[Server, str]]:
    with postgres_server() as server:
        yield server


@pytest.fixture
def database(postgres: tuple[Server, str]) -> Iterator[Database]:
    opened = Database(postgres[1])
    yield opened
    opened.close()


@contextmanager
def team(database_url: str, broker_port: int) -> Iterator[subprocess.Popen[bytes]]:
    """Two workers of Celery, restarted as compose would."""
    command = [sys.executable, "-m", "celery", "--app", "tests.faults.team", "worker"]
    command += ["--concurrency", "2", "--without-gossip", "--without-mingle"]
    settings = scene.environment(
        TRADEOPT_DATABASE_URL=database_url,
        TRADEOPT_BROKER_URL=f"redis://{HERE}:{broker_port}/0",
        TRADEOPT_LEASE=str(scene.BRISK.lease),
        TRADEOPT_HANG=str(scene.BRISK.hang),
    )
    process = subprocess.Popen(
        command,
        cwd=scene.ROOT,
        env=settings,
        start_new_session=True,
        stderr=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
    )
    try:
        yield process
    finally:
        scene.end(process)


def test_a_team_finds_what_one_process_finds(database: Database, broker: Server) -> None:
    run_id = scene.start(database, name="plain")
    with team(database.url, broker.port):
        scene.wait_for_end(database, run_id)
    assert scene.tally(database, run_id) == CALM
