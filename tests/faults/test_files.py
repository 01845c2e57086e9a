"""A database file on a disk that fills up, and under writers that die at the worst moment."""

import os
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pytest

from tests.faults import scene
from tests.faults.servers import wait_until
from tests.services.stores import database
from tests.services.workers import worker
from tradeopt.store import runs as store
from tradeopt.store.database import Database
from tradeopt.store.runs import RunState

__all__ = ["database"]


def is_whole(path: Path) -> bool:
    connection = sqlite3.connect(path)
    told = connection.execute("PRAGMA integrity_check").fetchone()
    connection.close()
    return bool(told == ("ok",))


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of sixteen megabytes."""
    folder = tmp_path / "disk"
    folder.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=16m", "tmpfs", str(folder)]
    if os.geteuid() or subprocess.run(mount, check=False, capture_output=True).returncode:
        pytest.skip("a disk of its own can be mounted by root only")
    yield folder
    subprocess.run(["umount", "--lazy", str(folder)], check=True)


def test_a_disk_that_is_full_for_a_while(small_disk: Path) -> None:
    path = small_disk / "runs.db"
    database = Database(f"sqlite:///{path}")
    run_id = scene.start(database)
    with scene.station(database.url):
        scene.wait_for_slices(database, run_id)
        filler = small_disk / "filler"
        with filler.open("wb", buffering=0) as file, suppress(OSError):
            while True:
                file.write(bytes(4096))
        time.sleep(3.0)
        filler.unlink()
        scene.wait_for_end(database, run_id)
    assert scene.tally(database, run_id) == scene.CALM
    database.close()
    assert is_whole(path)


@pytest.mark.parametrize("count", [6, 13])
def test_a_worker_that_dies_as_it_writes_to_disk(
    database: Database, tmp_path: Path, count: int
) -> None:
    if shutil.which("strace") is None:
        pytest.skip("strace is not installed")
    run_id = scene.start(database)
    command = [sys.executable, "-m", "tests.faults.station", database.url, "0", "3", "6"]
    strace = ["strace", "-f", "-qq", "-o", "/dev/null", "-e", "trace=fdatasync"]
    strace += ["-e", f"inject=fdatasync:signal=SIGKILL:when={count}"]
    traced = subprocess.run(
        [*strace, *command],
        cwd=scene.ROOT,
        env=scene.environment(),
        stderr=subprocess.DEVNULL,
        check=False,
        timeout=120.0,
    )
    assert traced.returncode == -signal.SIGKILL
    with worker(database) as other:
        wait_until(
            lambda: not other.do_one() and store.state(database, run_id) is RunState.FINISHED
        )
    assert scene.tally(database, run_id) == scene.CALM
    assert is_whole(tmp_path / "runs.db")
