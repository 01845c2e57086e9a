"""A machine that works on runs for as long as it is let: with the api beside it, or without."""

import socket
from collections.abc import Callable
from contextlib import ExitStack

from tradeopt.errors import TradeoptError
from tradeopt.services.children import ApiJob, Job, WorkJob
from tradeopt.services.keeper import rhythm_of
from tradeopt.services.signals import stop_on_signal
from tradeopt.services.supervisor import Supervisor
from tradeopt.settings import Settings
from tradeopt.store.database import Database

LOOK = 0.2
"""Longest wait for a child to die [s]."""


class AddressError(TradeoptError):
    """The address to answer at cannot be had."""


def serve(
    settings: Settings, address: tuple[str, int], workers: int, ready: Callable[[str], None]
) -> None:
    """
    Answer over HTTP and work on runs, until an interrupt or a termination signal.

    Parameters
    ----------
    settings : Settings
        The environment.
    address : tuple of str and int
        Host and port to answer at; port 0 for any that is free.
    workers : int
        How many processes work on runs.
    ready : callable
        Told the address once it can be called.

    Raises
    ------
    AddressError
        When the address cannot be had.
    """
    with ExitStack() as closing:
        listener = closing.enter_context(_listening(address))
        host, port = listener.getsockname()[:2]
        shown = f"[{host}]" if ":" in host else host
        ready(f"http://{shown}:{port}")
        _stand(settings, [ApiJob(listener, settings.log_level), *_workers(settings, workers)])


def work(settings: Settings, workers: int) -> None:
    """Work on runs, until an interrupt or a termination signal."""
    _stand(settings, _workers(settings, workers))


def _listening(address: tuple[str, int]) -> socket.socket:
    family = socket.AF_INET6 if ":" in address[0] else socket.AF_INET
    try:
        return socket.create_server(address, family=family, backlog=128)
    except OSError as error:
        host, port = address
        raise AddressError(
            f"address: got {host}:{port}, want one that is free here ({error.strerror})"
        ) from error


def _workers(settings: Settings, count: int) -> list[Job]:
    job = WorkJob(
        settings.database_url.get_secret_value(),
        rhythm=rhythm_of(settings),
        log_level=settings.log_level,
    )
    return [job] * count


def _stand(settings: Settings, jobs: list[Job]) -> None:
    with ExitStack() as closing:
        database = Database(settings.database_url.get_secret_value())
        closing.callback(database.close)
        stopping = closing.enter_context(stop_on_signal())
        children = closing.enter_context(Supervisor(database, jobs))
        while not stopping.is_set():
            children.watch(LOOK)
