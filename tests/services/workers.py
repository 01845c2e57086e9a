"""Workers in the process of the test, and others' claims."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager

from tests.services.toy import read_toy
from tradeopt.services.keeper import Rhythm
from tradeopt.services.studies import StudyReader
from tradeopt.services.work import Worker, new_name
from tradeopt.store.database import Database

PATIENT = Rhythm(lease=60.0, hang=60.0, deadman=600.0)
"""Nothing of all that happens while a test runs."""


@contextmanager
def worker(
    database: Database, reader: StudyReader = read_toy, rhythm: Rhythm = PATIENT
) -> Iterator[Worker]:
    one = Worker(
        database, new_name(), stopping=threading.Event(), rhythm=rhythm, read_study=reader
    )
    one.begin()
    try:
        yield one
    finally:
        one.end()
