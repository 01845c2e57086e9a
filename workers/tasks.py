"""The task, and what goes on beside it: a service call each."""

import threading
from functools import cache
from typing import Any

from celery import shared_task, signals

from tradeopt.services.keeper import Rounds, rhythm_of
from tradeopt.services.sweeper import Sweeper
from tradeopt.services.wakeups import WORK, seats_to_wake, wakeups_of
from tradeopt.services.work import Worker, new_name
from tradeopt.settings import read_settings
from tradeopt.store.database import Database, StoreError

WHILE = 10.0
"""Seconds that one wake-up lasts."""


@cache
def _worker() -> Worker:
    """Return the worker of this process."""
    settings = read_settings()
    worker = Worker(
        Database(settings.database_url.get_secret_value()),
        new_name(),
        stopping=threading.Event(),
        rhythm=rhythm_of(settings),
    )
    worker.begin()
    return worker


@shared_task(name=WORK)
def work() -> None:
    """Work for a while on whatever is next. Any number of wake-ups does no harm."""
    if _worker().work(WHILE):
        wakeups_of(read_settings()).top_up(1)


@signals.worker_process_shutdown.connect
def _leave(**_told: Any) -> None:  # noqa: ANN401 - celery's signature
    if _worker.cache_info().currsize:
        _worker().end()


@signals.worker_ready.connect
def _watch(sender: Any, **_told: Any) -> None:  # noqa: ANN401 - celery's signature
    """Let the parent of the workers sweep, and keep them awake while there is work."""
    settings = read_settings()
    try:
        database = Database(settings.database_url.get_secret_value())
    except StoreError as error:  # celery tells of it and goes on, deaf; whoever restarts it helps
        raise SystemExit(str(error)) from error
    sweeper, wakeups = Sweeper(database, settings.lease), wakeups_of(settings)
    seats = sender.controller.concurrency

    def look() -> None:
        sweeper.sweep()
        wakeups.top_up(seats_to_wake(database, seats))

    Rounds(look, rhythm_of(settings)).start()
