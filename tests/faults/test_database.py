"""A database that dies, freezes, fills up, or is cut off: work waits and goes on."""

import signal
import time
from collections.abc import Iterator

import pytest

from tests.faults import scene
from tests.faults.pace import BRISK
from tests.faults.proxy import Proxy
from tests.faults.scene import CALM
from tests.faults.servers import Server
from tradeopt.store.database import Database

pytestmark = pytest.mark.services


@pytest.fixture(scope="module")
def line(database: Database, postgres: tuple[Server, str]) -> Iterator[Proxy]:
    """The line on which workers, who live through all that follows, reach the database."""
    proxy = Proxy(postgres[0].port)
    through = database.url.replace(f":{postgres[0].port}/", f":{proxy.port}/")
    with scene.station(through):
        yield proxy
    proxy.close()


@pytest.mark.usefixtures("line")
def test_a_database_that_is_killed_and_started_again(
    database: Database, postgres: tuple[Server, str]
) -> None:
    run_id = scene.start(database, name="killed")
    scene.wait_for_slices(database, run_id)
    postgres[0].kill()
    time.sleep(1.0)
    postgres[0].start()
    scene.wait_for_end(database, run_id)
    assert scene.tally(database, run_id) == CALM


@pytest.mark.usefixtures("line")
def test_a_database_that_freezes_for_longer_than_a_lease(
    database: Database, postgres: tuple[Server, str]
) -> None:
    run_id = scene.start(database, name="frozen")
    scene.wait_for_slices(database, run_id)
    postgres[0].send(signal.SIGSTOP)
    time.sleep(BRISK.lease + 1.0)
    postgres[0].send(signal.SIGCONT)
    scene.wait_for_end(database, run_id)
    assert scene.tally(database, run_id) == CALM


def test_connections_that_are_reset_and_then_go_dead(database: Database, line: Proxy) -> None:
    """Of a dead line nothing comes, not even an error: the deadman ends those who wait on it."""
    run_id = scene.start(database, name="line")
    scene.wait_for_slices(database, run_id)
    line.cut()
    scene.wait_for_slices(database, run_id)
    line.go_dead()
    time.sleep(2.0)
    line.come_back()
    scene.wait_for_end(database, run_id)
    assert scene.tally(database, run_id) == CALM
