"""Celery workers on PostgreSQL and Redis, and what happens to each of the three."""

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
import redis

from tests.faults import scene
from tests.faults.scene import CALM
from tests.faults.servers import HERE, Server, postgres_server, redis_server, wait_until
from tradeopt.services.wakeups import QUEUE, Wakeups
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


def test_a_killed_child_of_a_team_is_replaced(database: Database, broker: Server) -> None:
    run_id = scene.start(database, name="child")
    with team(database.url, broker.port):
        victim = scene.wait_for_work(database)[0]
        os.kill(victim, signal.SIGKILL)
        wait_until(lambda: victim not in scene.holders(database), scene.BRISK.lease)
        scene.wait_for_end(database, run_id)
    assert scene.tally(database, run_id) == CALM


def test_each_message_twenty_times_does_nothing_twice(database: Database, broker: Server) -> None:
    run_id = scene.start(database, name="messages")
    Wakeups(f"redis://{HERE}:{broker.port}/0").send(20)
    with team(database.url, broker.port):
        scene.wait_for_end(database, run_id)
    assert scene.tally(database, run_id) == CALM


def test_a_broker_that_dies_and_forgets_holds_nobody_up(
    database: Database, broker: Server
) -> None:
    run_id = scene.start(database, name="broker")
    with team(database.url, broker.port):
        scene.wait_for_slices(database, run_id, 2)
        broker.kill()
        scene.wait_for_slices(database, run_id, 1)
        broker.start()
        with redis.Redis(host=HERE, port=broker.port) as line:
            line.flushall()
        scene.wait_for_end(database, run_id)
    assert scene.tally(database, run_id) == CALM


def test_everything_killed_and_the_broker_emptied_goes_on(
    database: Database, broker: Server
) -> None:
    run_id = scene.start(database, name="everything")
    with team(database.url, broker.port) as first:
        scene.wait_for_slices(database, run_id, 1)
        scene.send(first, signal.SIGKILL)
    with redis.Redis(host=HERE, port=broker.port) as line:
        line.flushall()
    with team(database.url, broker.port):
        scene.wait_for_end(database, run_id)
        with redis.Redis(host=HERE, port=broker.port) as line:
            assert line.llen(QUEUE) <= 2
    assert scene.tally(database, run_id) == CALM
