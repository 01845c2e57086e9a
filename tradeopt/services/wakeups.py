"""Wake-ups for the workers of a team: messages that may be lost, doubled or late."""

from dataclasses import dataclass
from functools import cached_property
from typing import Any

from celery import Celery
from kombu.exceptions import OperationalError
from redis.exceptions import RedisError

from tradeopt.services import machine
from tradeopt.services.logs import log_fault
from tradeopt.services.sweeper import PATIENCE
from tradeopt.settings import Settings
from tradeopt.store import claims, turns, workers
from tradeopt.store.database import Database

WORK = "tradeopt.work"
"""Name of the task that works for a while."""

QUEUE = "wakeups"
"""Where wake-ups wait."""

TRANSPORT = {
    # longer than any task may take, so that none is handed out twice while it runs
    "visibility_timeout": 1000,
    "unacked_restore_interval": 5,
    "unacked_restore_throttle": 1,
    "socket_timeout": 10,
    "socket_connect_timeout": 3,
    "socket_keepalive": True,
    "health_check_interval": 5,
}
"""How the broker is talked to: one that hangs is soon given up."""


BRIEFLY = {"max_retries": 1, "interval_start": 0.0}
"""A wake-up is not worth waiting for: workers find the work by themselves a little later."""


@dataclass(frozen=True)
class Wakeups:
    """Sends wake-ups; to be called after a commit, never before.

    Attributes
    ----------
    broker_url : str or None
        Where to; without a broker there is nobody to be woken, for workers look themselves.
    """

    broker_url: str | None

    @cached_property
    def _app(self) -> Celery:
        app = Celery("wakeups", broker=self.broker_url, set_as_current=False)
        app.conf.update(
            task_publish_retry=False,
            broker_connection_timeout=3,
            broker_transport_options={**TRANSPORT, **BRIEFLY},
        )
        return app

    def send(self, count: int = 1) -> None:
        """Wake workers; where the broker is away, their own rounds will find the work later."""
        if self.broker_url is None:
            return
        try:
            for _ in range(count):
                self._app.send_task(WORK, queue=QUEUE, ignore_result=True)
        except (OperationalError, RedisError, OSError) as error:
            log_fault("a wake-up was not sent", error)

    def top_up(self, count: int) -> None:
        """Send wake-ups until so many wait."""
        if self.broker_url is None or count <= 0:
            return
        try:
            with (
                self._app.connection_for_write() as connection,
                connection.SimpleQueue(QUEUE) as queue,
            ):
                declared: Any = queue.queue.queue_declare()  # its stubs know no fields
        except (OperationalError, RedisError, OSError) as error:
            log_fault("the broker does not answer", error)
            return
        self.send(count - int(declared.message_count))


def wakeups_of(settings: Settings) -> Wakeups:
    """Return what sends wake-ups, as the environment wants it."""
    return Wakeups(settings.broker_url.get_secret_value() if settings.broker_url else None)


def seats_to_wake(database: Database, seats: int) -> int:
    """
    Tell how many workers of this machine should be awake and are not.

    Parameters
    ----------
    database : Database
        Where runs are kept.
    seats : int
        How many there are.

    Returns
    -------
    int
        None where no run is running, or each that is has as many workers as it may have.
    """
    if all(turn.is_full for turn in turns.in_order(database)):
        return 0
    here = {
        one.name
        for one in workers.every(database, patience=PATIENCE)
        if one.home == machine.home()
    }
    busy = sum(one.worker in here for one in claims.held(database, patience=PATIENCE))
    return max(0, seats - busy)
