"""Workers that are killed, stopped, poisoned or hung: nothing is lost and nothing is doubled."""

import os
import random
import signal
import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing

import pytest

from tests.faults import scene
from tests.faults.pace import BOUND, BRISK
from tests.faults.scene import CALM, Crew
from tests.faults.servers import wait_until
from tradeopt.services.progress import status
from tradeopt.store import results
from tradeopt.store.database import Database


@pytest.fixture(scope="module")
def database(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Database]:
    opened = Database(f"sqlite:///{tmp_path_factory.mktemp('kills')}/runs.db")
    yield opened
    opened.close()


@pytest.fixture(scope="module")
def station(database: Database) -> Iterator[Crew]:
    """Two workers, who are there for all that follows."""
    with scene.station(database.url) as crew:
        yield crew


@pytest.mark.usefixtures("station")
def test_a_killed_child_is_replaced_and_its_step_goes_on_at_once(database: Database) -> None:
    run_id = scene.start(database, name="child")
    victims = scene.wait_for_work(database)
    os.kill(victims[0], signal.SIGKILL)
    wait_until(lambda: victims[0] not in scene.holders(database), BOUND)
    scene.wait_for_end(database, run_id)
    assert scene.tally(database, run_id) == CALM


def test_a_whole_machine_that_dies_leaves_its_work_to_the_next(
    database: Database, station: Crew
) -> None:
    run_id = scene.start(database, name="machine")
    scene.wait_for_slices(database, run_id)
    scene.wait_for_work(database)
    station.kill()
    station.start()
    assert scene.wait_for_slices(database, run_id) < BOUND
    scene.wait_for_end(database, run_id)
    assert scene.tally(database, run_id) == CALM


@pytest.mark.usefixtures("station")
def test_random_kills_lose_and_double_nothing(database: Database) -> None:
    chance = random.Random(11)  # noqa: S311 - which one dies is no secret
    run_id = scene.start(database, epochs=1000, name="random")
    for _ in range(4):
        time.sleep(chance.uniform(0.2, 0.8))
        os.kill(chance.choice(scene.wait_for_work(database)), signal.SIGKILL)
    epochs = results.last_number(database, run_id) + 3
    scene.start(database, epochs=epochs, name="random")
    scene.wait_for_end(database, run_id)
    assert scene.tally(database, run_id, epochs=epochs) == CALM
    assert status(database, run_id).note == ""


def freeze_at_work(database: Database) -> tuple[int, float]:
    """Freeze a worker that has a step in hand, and not the lock that all others wait for."""
    while True:
        frozen, began = scene.wait_for_work(database)[0], time.monotonic()
        os.kill(frozen, signal.SIGSTOP)
        if can_be_written(database) and frozen in scene.holders(database):
            return frozen, began
        os.kill(frozen, signal.SIGCONT)


def can_be_written(database: Database) -> bool:
    path = database.url.removeprefix("sqlite:///")
    with closing(sqlite3.connect(path, timeout=0.5, isolation_level=None)) as other:
        try:
            other.execute("BEGIN IMMEDIATE")
        except sqlite3.OperationalError:
            return False
        return True


@pytest.mark.usefixtures("station")
def test_a_worker_that_wakes_up_past_its_lease_is_fenced_out(database: Database) -> None:
    run_id = scene.start(database, name="fenced")
    frozen, began = freeze_at_work(database)
    wait_until(lambda: frozen not in scene.holders(database), BOUND)
    assert time.monotonic() - began > BRISK.lease - BRISK.beat
    os.kill(frozen, signal.SIGCONT)
    scene.wait_for_end(database, run_id)
    assert scene.tally(database, run_id) == CALM
    assert status(database, run_id).note == ""
