"""Celery workers on PostgreSQL and Redis, and what happens to each of the three."""

import os
import signal
from collections.abc import Iterator

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


def test_a_team_finds_what_one_process_finds(database: Database, broker: Server) -> None:
    run_id = scene.start(database, name="plain")
    with scene.team(database.url, broker.port):
        scene.wait_for_end(database, run_id)
    assert scene.tally(database, run_id) == CALM


def test_a_killed_child_of_a_team_is_replaced(database: Database, broker: Server) -> None:
    run_id = scene.start(database, name="child")
    with scene.team(database.url, broker.port):
        victim = scene.wait_for_work(database)[0]
        os.kill(victim, signal.SIGKILL)
        wait_until(lambda: victim not in scene.holders(database), scene.BRISK.lease)
        scene.wait_for_end(database, run_id)
    assert scene.tally(database, run_id) == CALM


def test_each_message_twenty_times_does_nothing_twice(database: Database, broker: Server) -> None:
    run_id = scene.start(database, name="messages")
    Wakeups(f"redis://{HERE}:{broker.port}/0").send(20)
    with scene.team(database.url, broker.port):
        scene.wait_for_end(database, run_id)
    assert scene.tally(database, run_id) == CALM


def test_a_broker_that_dies_and_forgets_holds_nobody_up(
    database: Database, broker: Server
) -> None:
    run_id = scene.start(database, name="broker")
    with scene.team(database.url, broker.port):
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
    with scene.team(database.url, broker.port) as first:
        scene.wait_for_slices(database, run_id, 1)
        scene.send(first, signal.SIGKILL)
    with redis.Redis(host=HERE, port=broker.port) as line:
        line.flushall()
    with scene.team(database.url, broker.port):
        scene.wait_for_end(database, run_id)
        with redis.Redis(host=HERE, port=broker.port) as line:
            assert line.llen(QUEUE) <= 2
    assert scene.tally(database, run_id) == CALM
