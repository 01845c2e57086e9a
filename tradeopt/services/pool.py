"""A run worked on by this machine alone, until its budget is spent or somebody stops it."""

import signal
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from types import FrameType

from tradeopt.search.designs import Designs
from tradeopt.services import runs
from tradeopt.services.crew import Crew
from tradeopt.services.progress import Progress, status
from tradeopt.services.runs import Step
from tradeopt.services.studies import StudyReader
from tradeopt.store import runs as store
from tradeopt.store.database import Database
from tradeopt.store.runs import RunState
from tradeopt.study.read import loads


@dataclass(frozen=True)
class RunSummary:
    """What a session of a run came to.

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
    caught.
    """
    database = Database(database_url)
    with ExitStack() as closing:
        closing.callback(database.close)
        stopping = closing.enter_context(_stop_on_signal())
        islands = store.get(database, run_id).plan.islands
        crew = closing.enter_context(
            Crew(min(workers, islands), (database_url, run_id, read_study))
        )
        session = _Session(database, run_id, crew, on_progress)
        while not stopping.is_set() and session.go_on():
            pass
        crew.dismiss()
        session.finish(interrupted=stopping.is_set())
        return RunSummary(status(database, run_id), runs.front(database, run_id))


@contextmanager
def _stop_on_signal() -> Iterator[threading.Event]:
    """Turn the first interrupt or termination signal into a flag.

    In another thread than the main one no signal comes, and none may be caught.
    """
    stopping = threading.Event()
    if threading.current_thread() is not threading.main_thread():
        yield stopping
        return
    before = {number: signal.getsignal(number) for number in (signal.SIGINT, signal.SIGTERM)}

    def restore() -> None:
        for number, handler in before.items():
            signal.signal(number, handler)

    def ask(_number: int, _frame: FrameType | None) -> None:
        stopping.set()
        restore()

    for number in before:
        signal.signal(number, ask)
    try:
        yield stopping
    finally:
        restore()


class _Session:
    """One sitting at a run: looks what it needs, hands it out, counts the time."""

    def __init__(
        self,
        database: Database,
        run_id: str,
        crew: Crew,
        on_progress: Callable[[Progress], None],
    ) -> None:
        self.database = database
        self.run_id = run_id
        self.crew = crew
        self.on_progress = on_progress
        self.booked = time.monotonic()
        self.last_work: runs.Work | None = None

    def go_on(self) -> bool:
        """Do the next thing; tell whether there is more."""
        work = self.last_work = runs.next_work(self.database, self.run_id)
        if work.step is Step.END:
            return False
        if work.step is Step.CLOSE:
            self._book()
            runs.close_epoch(self.database, self.run_id, work.epoch)
            self.on_progress(status(self.database, self.run_id))
            return True
        for island in work.islands:
            self.crew.give((work.epoch, island))
        for (epoch, island), fault in self.crew.watch().items():
            runs.set_aside(self.database, self.run_id, epoch, island, fault)
        if time.monotonic() - self.booked >= 1.0:
            self._book()
            self.on_progress(status(self.database, self.run_id))
        return True

    def finish(self, *, interrupted: bool) -> None:
        """Say how the run stands."""
        self._book()
        if interrupted or self.last_work is None:
            runs.end(self.database, self.run_id, RunState.STOPPED)
        else:
            runs.end(self.database, self.run_id, self.last_work.state, self.last_work.note)
        self.on_progress(status(self.database, self.run_id))
        runs.promote(self.database, self.run_id)

    def _book(self) -> None:
        now = time.monotonic()
        store.add_seconds(self.database, self.run_id, now - self.booked)
        self.booked = now
