"""Supervised child processes: they do slices by their ids and keep nothing of their own."""

import multiprocessing
import os
import signal
import sys
import threading
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from multiprocessing import resource_tracker
from multiprocessing.connection import Connection, wait
from multiprocessing.context import SpawnProcess
from types import ModuleType, TracebackType
from typing import Self

from tradeopt.services import runs
from tradeopt.services.studies import StudyReader

CRASHES = 3
"""Times that a slice may end its worker before it is set aside."""

LOOK = 0.2
"""Longest wait for a worker [s], so that a wish to stop is soon seen."""

SINGLE_THREADED = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")
"""Set to 1 for workers: there is one a core, and its threads would only be in the others' way."""

Place = tuple[int, int]
"""Epoch and island of a slice."""


@dataclass
class _Worker:
    process: SpawnProcess
    line: Connection
    in_hand: Place | None = None


class Crew:
    """Child processes that do slices.

    One that dies is replaced as soon as there is work; what it had in hand is given out again by
    whoever looks what the run needs.

    Parameters
    ----------
    size : int
        Most processes.
    job : tuple
        Address of the database, name of the run, and what reads its study.
    """

    def __init__(self, size: int, job: tuple[str, str, StudyReader]) -> None:
        self.size = size
        self.job = job
        self.workers: list[_Worker] = []
        self.crashes: Counter[Place] = Counter()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        traceback: TracebackType | None,
    ) -> None:
        self.dismiss()

    def give(self, place: Place) -> None:
        """Give a slice to a worker that has none, unless all have one or one has this."""
        if any(worker.in_hand == place for worker in self.workers):
            return
        idle = next((worker for worker in self.workers if worker.in_hand is None), None)
        if idle is None and len(self.workers) < self.size:
            idle = _hire(self.job)
            self.workers.append(idle)
        if idle is not None:
            idle.in_hand = place
            try:
                idle.line.send(place)
            except OSError:  # it died while idle: no fault of this slice
                idle.in_hand = None
                self._bury(idle)

    def watch(self) -> dict[Place, str]:
        """Wait a little for workers to be done or to die; tell which slices failed too often."""
        ready = wait([worker.line for worker in self.workers], timeout=LOOK)
        lost = {}
        for worker in [worker for worker in self.workers if worker.line in ready]:
            place, worker_fault = worker.in_hand, self._outcome(worker)
            worker.in_hand = None
            if place is not None and worker_fault:
                self.crashes[place] += 1
                if self.crashes[place] >= CRASHES:
                    lost[place] = worker_fault
        return lost

    def _outcome(self, worker: _Worker) -> str:
        """Hear from a worker: why its slice failed, or nothing."""
        try:
            return str(worker.line.recv())
        except (EOFError, OSError):
            self._bury(worker)
            return f"its process ended with exit code {worker.process.exitcode}"

    def _bury(self, worker: _Worker) -> None:
        worker.line.close()
        worker.process.kill()
        worker.process.join()
        self.workers.remove(worker)

    def dismiss(self) -> None:
        """End all workers at once; what they have in hand is dropped."""
        for worker in list(self.workers):
            self._bury(worker)


def _hire(job: tuple[str, str, StudyReader]) -> _Worker:
    context = multiprocessing.get_context("spawn")
    ours, theirs = context.Pipe()
    process = context.Process(target=_serve, args=(theirs, *job), daemon=True)
    with _for_workers():
        process.start()
    theirs.close()
    return _Worker(process, ours)


@contextmanager
def _for_workers() -> Iterator[None]:
    """Let what starts within be single-threaded, deaf to interrupts, and no copy of our program.

    A fresh interpreter would run the calling script once more, which a script that just calls
    `tradeopt.search` does not survive; workers need none of it.
    """
    # starting the first child starts this helper of the library, which lets interrupts in again
    resource_tracker.ensure_running()
    program = sys.modules["__main__"]
    sys.modules["__main__"] = ModuleType("__main__")
    before = {name: os.environ.get(name) for name in SINGLE_THREADED}
    os.environ.update(dict.fromkeys(SINGLE_THREADED, "1"))
    blocked = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        sys.modules["__main__"] = program
        signal.pthread_sigmask(signal.SIG_SETMASK, blocked)
        for name, value in before.items():
            if value is None:
                del os.environ[name]
            else:
                os.environ[name] = value


def _serve(line: Connection, database_url: str, run_id: str, read_study: StudyReader) -> None:
    """Do slices until the parent hangs up. Runs in the child."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_die_with_parent, daemon=True).start()
    while True:
        try:
            epoch, island = line.recv()
        except EOFError:
            return
        line.send(_attempt(database_url, run_id, epoch, island, read_study))


def _attempt(
    database_url: str, run_id: str, epoch: int, island: int, read_study: StudyReader
) -> str:
    try:
        runs.run_slice(database_url, run_id, epoch, island, read_study=read_study)
    except Exception as error:  # noqa: BLE001 - a user's own stage may raise anything
        return f"{type(error).__name__}: {error}"
    return ""


def _die_with_parent() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)
