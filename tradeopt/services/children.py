"""What child processes do, and how they are started."""

import multiprocessing
import os
import signal
import socket
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from multiprocessing import resource_tracker
from multiprocessing.connection import Connection
from multiprocessing.context import SpawnProcess
from types import ModuleType

from tradeopt.services import logs
from tradeopt.services.keeper import STEADY, Rhythm
from tradeopt.services.studies import StudyReader
from tradeopt.services.work import Worker
from tradeopt.store.database import Database
from tradeopt.study.read import loads

SINGLE_THREADED = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")
"""Set to 1 for workers: there is one a core, and its threads would only be in the others' way."""

QUIET = "CRITICAL"
"""Level of the log of workers that stand behind a command, which tells what went wrong itself."""

GRACE = 5
"""Seconds that the api waits for answers under way when it is to end."""

Begun = Callable[[], None]
"""Tells the parent that a child has begun its work, and did not fail before."""


@dataclass(frozen=True)
class WorkJob:
    """A child that does steps.

    Attributes
    ----------
    database_url : str
        Where runs are kept.
    rhythm : Rhythm
        How often it is heard of.
    only : str or None
        A run that it works on, and on no other.
    read_study : StudyReader
        Reads the studies that runs keep; imported by name.
    log_level : str
        How much it tells.
    """

    database_url: str
    rhythm: Rhythm = STEADY
    only: str | None = None
    read_study: StudyReader = loads
    log_level: str = QUIET

    def __call__(self, name: str, begun: Begun) -> None:
        """Work until the process is asked to end."""
        stopping = threading.Event()
        signal.signal(signal.SIGTERM, lambda _number, _frame: stopping.set())
        logs.set_up(self.log_level)
        with closing(Database(self.database_url)) as database:
            worker = Worker(
                database,
                name,
                stopping=stopping,
                rhythm=self.rhythm,
                only=self.only,
                read_study=self.read_study,
            )
            worker.begin()
            begun()
            worker.work()
            worker.end()


@dataclass(frozen=True)
class ApiJob:
    """A child that answers over HTTP.

    Attributes
    ----------
    listener : socket.socket
        Open already, so that callers wait while a child is replaced, and are not refused.
    log_level : str
        How much it tells.
    """

    listener: socket.socket
    log_level: str

    def __call__(self, _name: str, begun: Begun) -> None:
        """Answer until the process is asked to end."""
        import uvicorn  # noqa: PLC0415 - workers do without it

        logs.set_up(self.log_level)
        config = uvicorn.Config("api.app:app", log_config=None, timeout_graceful_shutdown=GRACE)
        begun()
        uvicorn.Server(config).run(sockets=[self.listener])


Job = WorkJob | ApiJob


def hire(job: Job, name: str) -> tuple[SpawnProcess, Connection]:
    """
    Start a child.

    Parameters
    ----------
    job : Job
        What it does.
    name : str
        Its name.

    Returns
    -------
    tuple of SpawnProcess and Connection
        The child, and the line on which it tells that it has begun.
    """
    context = multiprocessing.get_context("spawn")
    ours, theirs = context.Pipe(duplex=False)
    process = context.Process(target=_live, args=(theirs, job, name), daemon=True)
    with _for_children():
        process.start()
    theirs.close()
    return process, ours


@contextmanager
def _for_children() -> Iterator[None]:
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


def _live(line: Connection, job: Job, name: str) -> None:
    """Do a job until it ends or the parent dies. Runs in the child."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_die_with_parent, daemon=True).start()
    job(name, lambda: line.send(True))  # noqa: FBT003 - that it has begun


def _die_with_parent() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)
