"""Celery workers on PostgreSQL and Redis, and what happens to each of the three."""

import os
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest
import redis

from tests.faults import scene
from tests.faults.pace import BOUND, BRISK_LINE
from tests.faults.proxy import Proxy
from tests.faults.scene import CALM, Crew
from tests.faults.servers import HERE, PATIENCE, Server, redis_server, wait_until
from tradeopt.services import runs
from tradeopt.services.wakeups import QUEUE, Wakeups
from tradeopt.store.database import Database
from workers.tasks import WHILE

pytestmark = pytest.mark.services

AWAY = 3.0 * BRISK_LINE["socket_timeout"]
"""Seconds for which a broker does not answer: everybody who waits for it gives up meanwhile."""

LOOKING = 2.0 * WHILE / 5.0 + 1.0
"""Seconds after which nobody still looks for work unwoken: two messages may be on the way."""


@pytest.fixture(scope="module")
def broker() -> Iterator[Server]:
    with redis_server() as server:
        yield server


@pytest.fixture(scope="module")
def proxy(broker: Server) -> Iterator[Proxy]:
    """The line on which the team reaches the broker."""
    line = Proxy(broker.port)
    yield line
    line.close()


@pytest.fixture(scope="module")
def team(database: Database, proxy: Proxy) -> Iterator[Crew]:
    """Two workers, who are there for all that follows."""
    with scene.team(database.url, proxy.port) as crew:
        yield crew


@pytest.fixture
def line(broker: Server) -> Iterator[redis.Redis]:
    """Our own way to the broker."""
    with redis.Redis(host=HERE, port=broker.port) as opened:
        yield opened


def wait_until_idle(database: Database, line: redis.Redis) -> None:
    """Wait until nobody looks for work any more but who is woken."""
    wait_until(
        lambda: line.llen(QUEUE) == line.hlen("unacked") == 0 and scene.holders(database) == []
    )


@pytest.mark.usefixtures("team")
def test_a_team_finds_what_one_process_finds_whatever_is_sent_and_killed(
    database: Database, broker: Server
) -> None:
    """Each message comes twenty times, and a child dies with a step in hand."""
    run_id = scene.start(database, name="team")
    Wakeups(f"redis://{HERE}:{broker.port}/0").send(20)
    victim = scene.wait_for_work(database)[0]
    os.kill(victim, signal.SIGKILL)
    wait_until(lambda: victim not in scene.holders(database), BOUND)
    scene.wait_for_end(database, run_id)
    assert scene.tally(database, run_id) == CALM


def test_a_broker_that_dies_and_forgets_holds_nobody_up(
    database: Database, broker: Server, team: Crew
) -> None:
    run_id = scene.start(database, name="broker")
    scene.wait_for_slices(database, run_id, 2)
    broker.kill()
    scene.wait_for_slices(database, run_id, 1)
    broker.start()
    with redis.Redis(host=HERE, port=broker.port) as line:
        line.flushall()
    # a team that has given the broker up is started again, as compose would
    wait_until(lambda: team.stand_up() and not scene.is_running(database, run_id), 120.0)
    scene.wait_for_end(database, run_id)  # and well
    assert scene.tally(database, run_id) == CALM


@contextmanager
def silent(broker: Server) -> Iterator[None]:
    broker.send(signal.SIGSTOP)
    try:
        yield
    finally:
        broker.send(signal.SIGCONT)


@contextmanager
def half_open(proxy: Proxy) -> Iterator[None]:
    proxy.go_dead()
    try:
        yield
    finally:
        proxy.come_back()


def unseen(database: Database, name: str) -> str:
    """Start a run that nobody works on; who still looks around by chance has not been woken."""
    for attempt in range(4):
        run_id = scene.start(database, name=f"{name}_{attempt}")
        time.sleep(AWAY)
        if scene.slices_done(database, run_id) == 0:
            return run_id
        runs.stop(database, run_id)
        time.sleep(LOOKING)
    pytest.fail("somebody works who cannot have been woken")


@pytest.mark.usefixtures("team")
@pytest.mark.parametrize("fault", ["frozen", "half_open"])
def test_a_broker_that_does_not_answer_leaves_no_worker_deaf(
    database: Database, broker: Server, proxy: Proxy, line: redis.Redis, fault: str
) -> None:
    """The run begins when nobody can be woken, and every worker waits for the broker."""
    wait_until_idle(database, line)
    with silent(broker) if fault == "frozen" else half_open(proxy):
        run_id = unseen(database, fault)
    assert scene.wait_for_slices(database, run_id) < BOUND
    scene.wait_for_end(database, run_id)
    assert scene.tally(database, run_id) == CALM


def test_a_broker_that_is_full_holds_nobody_up_once_it_is_not(
    database: Database, line: redis.Redis, team: Crew
) -> None:
    wait_until_idle(database, line)
    line.config_set("maxmemory", 1)
    with pytest.raises(redis.exceptions.OutOfMemoryError, match="maxmemory"):
        line.lpush("no room", "for this")
    run_id = scene.start(database, name="full")
    time.sleep(AWAY)
    line.config_set("maxmemory", 0)
    wanted = min(scene.slices_done(database, run_id) + 1, scene.EPOCHS * scene.PLAN.islands)
    # they may have ended, or do so a little later
    wait_until(lambda: team.stand_up() and scene.slices_done(database, run_id) >= wanted, BOUND)
    scene.wait_for_end(database, run_id)
    assert scene.tally(database, run_id) == CALM


def test_everything_killed_and_the_broker_emptied_goes_on(
    database: Database, line: redis.Redis, team: Crew
) -> None:
    run_id = scene.start(database, name="everything")
    scene.wait_for_slices(database, run_id, 1)
    team.kill()
    line.flushall()
    team.start()
    assert scene.wait_for_slices(database, run_id) < BOUND
    scene.wait_for_end(database, run_id)
    assert line.llen(QUEUE) <= 2
    assert scene.tally(database, run_id) == CALM


def test_a_worker_of_another_version_ends_and_says_why(broker: Server, tmp_path: Path) -> None:
    with closing(sqlite3.connect(tmp_path / "old.db")) as old:
        old.execute("CREATE TABLE run (id TEXT PRIMARY KEY)")
    told = subprocess.run(
        [sys.executable, "-m", "celery", "--app", "workers.app", "worker", "--concurrency", "1"],
        env=os.environ
        | {
            "TRADEOPT_DATABASE_URL": f"sqlite:///{tmp_path}/old.db",
            "TRADEOPT_BROKER_URL": f"redis://{HERE}:{broker.port}/1",
        },
        capture_output=True,
        text=True,
        timeout=PATIENCE,
        check=False,
    )
    assert told.returncode != 0
    assert "made by another version of tradeopt" in told.stdout + told.stderr
