"""Workers that are killed, stopped, poisoned or hung: nothing is lost and nothing is doubled."""

import os
import random
import signal
import time

from tests.faults import scene
from tests.faults.scene import BUSY, CALM
from tests.faults.servers import wait_until
from tests.services.stores import database
from tradeopt.services.progress import status
from tradeopt.store.database import Database

__all__ = ["database"]


def test_a_killed_child_is_replaced_and_its_step_goes_on_at_once(database: Database) -> None:
    run_id = scene.start(database)
    with scene.station(database.url):
        victims = scene.wait_for_work(database)
        os.kill(victims[0], signal.SIGKILL)
        wait_until(lambda: victims[0] not in scene.holders(database), BUSY)
        scene.wait_for_end(database, run_id)
    assert scene.tally(database, run_id) == CALM


def test_a_whole_machine_that_dies_leaves_its_work_to_the_next(database: Database) -> None:
    run_id = scene.start(database)
    with scene.station(database.url) as first:
        scene.wait_for_slices(database, run_id)
        scene.wait_for_work(database)
        scene.send(first, signal.SIGKILL)
    with scene.station(database.url):
        assert scene.wait_for_slices(database, run_id) < BUSY
        scene.wait_for_end(database, run_id)
    assert scene.tally(database, run_id) == CALM


def test_random_kills_lose_and_double_nothing(database: Database) -> None:
    chance = random.Random(11)  # noqa: S311 - which one dies is no secret
    run_id = scene.start(database)
    kills = 0
    with scene.station(database.url):
        while kills < 4 and scene.slices_done(database, run_id) < 10:
            time.sleep(chance.uniform(0.2, 0.8))
            if at_work := scene.holders(database):
                os.kill(chance.choice(at_work), signal.SIGKILL)
                kills += 1
        scene.wait_for_end(database, run_id)
    assert kills >= 2
    assert scene.tally(database, run_id) == CALM
    assert status(database, run_id).note == ""


def test_a_worker_that_wakes_up_past_its_lease_is_fenced_out(database: Database) -> None:
    run_id = scene.start(database)
    with scene.station(database.url):
        frozen = scene.wait_for_work(database)[0]
        os.kill(frozen, signal.SIGSTOP)
        took = wait_until(lambda: frozen not in scene.holders(database), BUSY)
        assert took > scene.BRISK.lease - scene.BRISK.beat
        os.kill(frozen, signal.SIGCONT)
        scene.wait_for_end(database, run_id)
    assert scene.tally(database, run_id) == CALM
    assert status(database, run_id).note == ""
