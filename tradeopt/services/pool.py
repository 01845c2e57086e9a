"""A run worked on by this machine alone, until its budget is spent or somebody stops it."""

import threading
import time
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass

from tradeopt.search.designs import Designs
from tradeopt.services import runs
from tradeopt.services.children import WorkJob
from tradeopt.services.progress import Progress, status
from tradeopt.services.signals import stop_on_signal
from tradeopt.services.studies import StudyReader
from tradeopt.services.supervisor import Supervisor
from tradeopt.store import results
from tradeopt.store import runs as store
from tradeopt.store.database import Database
from tradeopt.store.runs import RunState
from tradeopt.study.read import loads

LOOK = 0.1
"""Longest wait for a child to die [s], so that the end of a run is soon seen."""


@dataclass(frozen=True)
class RunSummary:
    """What a run came to, when it ended or was stopped.

    Attributes
    ----------
    progress : Progress
        How the run stands.
    front : Designs
        Its front.
    """

    progress: Progress
    front: Designs


def run_local(
    database_url: str,
    run_id: str,
    *,
    workers: int,
    on_progress: Callable[[Progress], None],
    read_study: StudyReader = loads,
) -> RunSummary:
    """
    Work on a run with child processes until its budget is spent or somebody wants it to stop.

    Parameters
    ----------
    database_url : str
        Where runs are kept.
    run_id : str
        Which run; it must be running, see `runs.start_or_resume`.
    workers : int
        How many processes; more than a run has islands would idle and are not started. What is
        found does not depend on their number.
    on_progress : callable
        Told how the run stands, about once a second and after each epoch.
    read_study : StudyReader
        Reads the study that the run keeps; the workers import it by name.

    Returns
    -------
    RunSummary
        How the run stands at the end.

    Notes
    -----
    An interrupt (Ctrl-C) or a termination signal stops the run cleanly: slices in hand are
    dropped, which loses a second or two of work, and the run can be resumed. A second one is not
    caught. Workers of others, of `tradeopt serve` say, may work on the same run meanwhile.
    """
    with ExitStack() as closing:
        database = Database(database_url)
        closing.callback(database.close)
        stopping = closing.enter_context(stop_on_signal())
        islands = store.get(database, run_id).plan.islands
        job = WorkJob(database_url, only=run_id, read_study=read_study)
        with Supervisor(database, [job] * min(workers, islands)) as crew:
            _follow(database, run_id, crew, stopping, on_progress)
        standing = status(database, run_id)
        on_progress(standing)
        return RunSummary(standing, runs.front(database, run_id))


def _follow(
    database: Database,
    run_id: str,
    crew: Supervisor,
    stopping: threading.Event,
    on_progress: Callable[[Progress], None],
) -> None:
    """Keep the workers alive and tell how the run comes along, until it ends."""
    told, closed = 0.0, -1
    while not stopping.is_set() and store.state(database, run_id) is RunState.RUNNING:
        crew.watch(LOOK)
        number = results.last_number(database, run_id)
        if number != closed or time.monotonic() - told >= 1.0:
            told, closed = time.monotonic(), number
            on_progress(status(database, run_id))
        if crew.is_futile:
            runs.end(database, run_id, RunState.FAILED, "its workers end before they begin")
    if stopping.is_set():
        runs.stop(database, run_id)
