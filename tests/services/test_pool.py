"""Local workers: whatever is killed, nothing is lost or doubled, and the designs are the same."""

import os
import random
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_array_equal

from tests.faults.servers import PATIENCE, wait_until
from tests.services.toy import SMALL, ToyStudy, read_broken, read_deadly, read_toy
from tests.services.workers import finish
from tradeopt.search.designs import Designs
from tradeopt.search.plan import SearchPlan
from tradeopt.services import runs
from tradeopt.services.pool import RunSummary, run_local
from tradeopt.services.progress import Progress
from tradeopt.services.studies import StudyReader
from tradeopt.services.supervisor import GRACE
from tradeopt.store import results
from tradeopt.store import runs as store
from tradeopt.store.database import Database
from tradeopt.store.runs import Budget, RunState

ROOT = Path(__file__).parent.parent.parent

SLOW = "pause 0.05"
"""Text of a study that takes this long for each batch: time to kill what scores it."""


def ignore(_progress: Progress) -> None:
    """Nobody looks."""


def start(
    database: Database, text: str = "toy", plan: SearchPlan = SMALL, designs: int = 384
) -> str:
    study, budget = read_toy(text, {}), Budget(None, designs, early=False)
    return runs.start_or_resume(database, study, plan=plan, budget=budget).id


def search(
    database: Database,
    run_id: str,
    workers: int = 1,
    watch: Callable[[Progress], None] = ignore,
    reader: StudyReader = read_toy,
) -> RunSummary:
    return run_local(database.url, run_id, workers=workers, on_progress=watch, read_study=reader)


def everything(database: Database, run_id: str) -> Designs:
    return results.designs(database, store.get(database, run_id))


def undisturbed(tmp_path: Path, designs: int = 384) -> Designs:
    """Do the same in one process, a step after the other."""
    with closing(Database(f"sqlite:///{tmp_path}/undisturbed.db")) as database:
        run_id = start(database, designs=designs)
        finish(database, run_id)
        return everything(database, run_id)


def assert_same(found: Designs, wanted: Designs) -> None:
    assert_array_equal(found.numbers, wanted.numbers)
    assert found.values.tobytes() == wanted.values.tobytes()
    assert found.objectives.tobytes() == wanted.objectives.tobytes()
    assert found.violations.tobytes() == wanted.violations.tobytes()


def children_of(pid: int) -> list[int]:
    """Return the workers of a process; its helper that tracks resources is not one."""
    found = []
    for folder in Path("/proc").glob("[0-9]*"):
        try:
            parent = int((folder / "stat").read_text().rsplit(")", 1)[1].split()[1])
            command = (folder / "cmdline").read_bytes()
        except (FileNotFoundError, ProcessLookupError):
            continue
        if parent == pid and b"spawn_main" in command:
            found.append(int(folder.name))
    return found


def end_soon(database: Database, run_id: str) -> int:
    """Let a run that has no end go on for two epochs; return how many designs that makes."""
    wanted = SMALL.epoch_size * (results.last_number(database, run_id) + 3)
    start(database, SLOW, designs=wanted)
    return wanted


@pytest.mark.parametrize("workers", [1, 2])
def test_any_number_of_workers_finds_the_same(
    database: Database, tmp_path: Path, workers: int
) -> None:
    run_id = start(database)
    told: list[Progress] = []
    summary = search(database, run_id, workers, told.append)
    assert_same(everything(database, run_id), undisturbed(tmp_path))
    assert summary.progress.state is RunState.FINISHED
    assert summary.progress.tried == 384
    assert [one.epochs for one in told if one.epochs] == sorted(
        one.epochs for one in told if one.epochs
    )
    assert told[-1] == summary.progress
    assert_array_equal(summary.front.numbers, runs.front(database, run_id).numbers)
    assert summary.progress.seconds_spent > 0.0


def test_another_seed_finds_another_front(database: Database) -> None:
    here = search(database, start(database, designs=128))
    there = search(database, start(database, plan=replace(SMALL, seed=8), designs=128))
    assert not np.array_equal(here.front.objectives, there.front.objectives)


def test_a_time_budget_ends_after_a_whole_epoch(database: Database) -> None:
    study = ToyStudy(SLOW)
    run = runs.start_or_resume(database, study, plan=SMALL, budget=Budget(1.5, None))
    summary = search(database, run.id)
    assert summary.progress.state is RunState.FINISHED
    assert summary.progress.epochs >= 1
    assert summary.progress.tried == 128 * summary.progress.epochs
    # one epoch too many at most; a busy machine takes several seconds for one
    assert summary.progress.seconds_spent < 20.0


def test_a_killed_worker_is_replaced_and_its_slice_done_again(
    database: Database, tmp_path: Path
) -> None:
    run_id = start(database, SLOW, designs=10**6)
    killed: set[int] = set()
    wanted: list[int] = []

    def kill_now_and_then() -> None:
        chance = random.Random(3)  # noqa: S311 - which one dies when is no secret
        # two, for a slice that ends its worker three times is set aside
        while len(killed) < 2:
            time.sleep(chance.uniform(0.1, 0.4))
            workers = children_of(os.getpid())
            if len(everything(database, run_id)) and workers:
                victim = chance.choice(workers)
                os.kill(victim, signal.SIGKILL)
                killed.add(victim)
        wanted.append(end_soon(database, run_id))

    killer = threading.Thread(target=kill_now_and_then, daemon=True)
    killer.start()
    summary = search(database, run_id, workers=2)
    killer.join()
    assert summary.progress.state is RunState.FINISHED
    assert summary.progress.note == ""
    assert_same(everything(database, run_id), undisturbed(tmp_path, *wanted))


PARENT = """
import sys
from tests.services.toy import read_toy
from tradeopt.services.pool import run_local

if __name__ == "__main__":
    run_local(
        sys.argv[1], sys.argv[2], workers=2, on_progress=lambda p: None, read_study=read_toy
    )
"""


def spawn_parent(database: Database, run_id: str, folder: Path) -> subprocess.Popen[bytes]:
    script = folder / "parent.py"
    script.write_text(PARENT)
    command = [sys.executable, str(script), database.url, run_id]
    # a script finds the packages beside itself, which here are not those under test
    here = {**os.environ, "PYTHONPATH": str(ROOT)}
    return subprocess.Popen(command, start_new_session=True, env=here)


@pytest.mark.slow
def test_killed_parents_lose_and_double_nothing(database: Database, tmp_path: Path) -> None:
    chance = random.Random(5)  # noqa: S311 - when it dies is no secret
    run_id = start(database, SLOW, designs=10**6)
    for _ in range(2):
        parent = spawn_parent(database, run_id, tmp_path)
        before = len(everything(database, run_id))
        wait_until(lambda known=before: len(everything(database, run_id)) > known)  # type: ignore[misc]  # the loop's value is bound on purpose
        time.sleep(chance.uniform(0.0, 0.15))
        workers = children_of(parent.pid)
        parent.kill()
        parent.wait()
        wait_until(lambda gone=workers: not any(Path(f"/proc/{pid}").exists() for pid in gone))  # type: ignore[misc]  # the loop's value is bound on purpose
    wanted = end_soon(database, run_id)
    assert 0 < len(everything(database, run_id)) < wanted
    assert search(database, run_id).progress.state is RunState.FINISHED
    assert_same(everything(database, run_id), undisturbed(tmp_path, wanted))


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_an_interrupt_to_the_whole_group_stops_cleanly(
    database: Database, tmp_path: Path, number: signal.Signals
) -> None:
    run_id = start(database, SLOW, designs=10**6)
    parent = spawn_parent(database, run_id, tmp_path)
    wait_until(lambda: len(everything(database, run_id)) > 128)
    workers = children_of(parent.pid)
    os.killpg(parent.pid, number)
    # sooner than children who do not follow would be killed
    assert wait_until(lambda: store.state(database, run_id) is RunState.STOPPED) < GRACE
    assert parent.wait(timeout=PATIENCE) == 0
    assert workers
    assert not any(Path(f"/proc/{pid}").exists() for pid in workers)


def test_a_wish_to_stop_in_the_database_is_followed(database: Database) -> None:
    run_id = start(database, SLOW, designs=10**6)

    def stop_soon(progress: Progress) -> None:
        if progress.epochs == 1:
            runs.stop(database, run_id)

    summary = search(database, run_id, watch=stop_soon)
    assert summary.progress.state is RunState.STOPPED
    assert summary.progress.epochs == 1


@pytest.mark.parametrize(
    ("reader", "fault"),
    [
        (read_deadly, "its process ended with exit code"),
        (read_broken, "ArithmeticError: the stage of a user"),
    ],
)
def test_a_study_that_ends_its_workers_fails_and_says_why(
    database: Database, reader: StudyReader, fault: str
) -> None:
    plan = replace(SMALL, islands=1)
    run_id = start(database, plan=plan)
    summary = search(database, run_id, reader=reader)
    assert summary.progress.state is RunState.FAILED
    assert fault in summary.progress.note


def test_workers_are_single_threaded_and_the_parent_is_left_as_it_was(
    database: Database,
) -> None:
    run_id = start(database, SLOW)
    before = dict(os.environ)
    seen: dict[str, bytes] = {}

    def look(_progress: Progress) -> None:
        for pid in children_of(os.getpid()):
            seen["worker"] = (Path("/proc") / str(pid) / "environ").read_bytes()

    search(database, run_id, watch=look)
    for name in (b"OMP_NUM_THREADS=1", b"OPENBLAS_NUM_THREADS=1", b"MKL_NUM_THREADS=1"):
        assert name in seen["worker"].split(b"\0")
    assert dict(os.environ) == before
