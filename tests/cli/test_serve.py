"""`tradeopt serve`: a bare machine that answers and works, and replaces what dies."""

import os
import re
import signal
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.faults import scene
from tests.faults.servers import wait_until
from tests.services.test_pool import children_of


@pytest.fixture
def server(tmp_path: Path) -> Iterator[tuple[subprocess.Popen[str], str]]:
    """A server, and the address that it answers at."""
    process = subprocess.Popen(
        [sys.executable, "-m", "tradeopt", "serve", "--port", "0", "--workers", "1"],
        cwd=tmp_path,
        env=scene.environment(TRADEOPT_DATABASE_URL=f"sqlite:///{tmp_path}/runs.db"),
        stderr=subprocess.PIPE,
        text=True,
    )
    assert process.stderr is not None
    first = process.stderr.readline()
    found = re.match(r"(http://127\.0\.0\.1:[0-9]+), 1 worker; Ctrl-C ends", first)
    assert found, first
    yield process, found[1]
    process.kill()
    process.communicate()


def answers(address: str) -> bool:
    with urllib.request.urlopen(f"{address}/health", timeout=60) as answer:  # noqa: S310 - ours
        return bool(answer.status == 200)


def test_what_dies_is_replaced_and_callers_wait(server: tuple[subprocess.Popen[str], str]) -> None:
    process, address = server
    assert answers(address)
    before = children_of(process.pid)
    assert len(before) == 2
    for child in before:
        os.kill(child, signal.SIGKILL)
    # the port stays open meanwhile, so that nobody is refused
    assert answers(address)
    wait_until(lambda: len(set(children_of(process.pid)) - set(before)) == 2)
    assert len(children_of(process.pid)) == 2


def test_a_termination_signal_ends_all_of_it(server: tuple[subprocess.Popen[str], str]) -> None:
    process, address = server
    assert answers(address)
    children = children_of(process.pid)
    process.terminate()
    began = time.monotonic()
    _, told = process.communicate(timeout=60)
    assert process.returncode == 0
    assert time.monotonic() - began < 20.0
    assert "Traceback" not in told
    wait_until(lambda: not any(Path(f"/proc/{child}").exists() for child in children))


def test_an_address_that_is_taken_is_told(
    server: tuple[subprocess.Popen[str], str], tmp_path: Path
) -> None:
    port = server[1].rpartition(":")[2]
    done = subprocess.run(
        [sys.executable, "-m", "tradeopt", "serve", "--port", port],
        cwd=tmp_path,
        env=scene.environment(),
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 1
    assert f"address: got 127.0.0.1:{port}, want one that is free here" in done.stderr
