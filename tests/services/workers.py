"""Workers in the process of the test, and others' claims."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager

from tests.services.toy import read_toy
from tradeopt.services.keeper import Rhythm
from tradeopt.services.studies import StudyReader
from tradeopt.services.work import Worker, new_name
from tradeopt.store import results
from tradeopt.store import runs as store
from tradeopt.store.database import Database
from tradeopt.store.runs import RunState

PATIENT = Rhythm(lease=60.0, hang=60.0, deadman=600.0)
"""Nothing of all that happens while a test runs."""


@contextmanager
def worker(
    database: Database,
    reader: StudyReader = read_toy,
    rhythm: Rhythm = PATIENT,
    only: str | None = None,
) -> Iterator[Worker]:
    one = Worker(
        database,
        new_name(),
        stopping=threading.Event(),
        rhythm=rhythm,
        only=only,
        read_study=reader,
    )
    one.begin()
    try:
        yield one
    finally:
        one.end()


def do_steps(database: Database, run_id: str, count: int, reader: StudyReader = read_toy) -> None:
    """Let a worker do so many steps of a run."""
    with worker(database, reader, only=run_id) as one:
        for _ in range(count):
            assert one.do_one()


def finish(database: Database, run_id: str, reader: StudyReader = read_toy) -> None:
    """Let a worker do what is left of a run, which goes well."""
    with worker(database, reader, only=run_id) as one:
        while one.do_one():
            pass
    run = store.get(database, run_id)
    assert (run.state, results.faults(database, run)) == (RunState.FINISHED, {})
