"""An api in this process, and a database with one finished run."""

import logging
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from threading import Thread

from fastapi.testclient import TestClient
from pydantic import SecretStr
from starlette.types import ASGIApp
from uvicorn import Config, Server

from api.app import make_app
from tests.services.toy import SMALL, ToyStudy
from tests.services.workers import finish
from tradeopt.search.designs import Designs
from tradeopt.services import runs
from tradeopt.settings import Settings
from tradeopt.store import results
from tradeopt.store.database import Database
from tradeopt.store.runs import Budget

HERE = ("127.0.0.1", 50000)
"""Where the calls of a test come from."""


def finished_run(url: str) -> Designs:
    """Search the toy to its end and return all designs of the run."""
    with closing(Database(url)) as database:
        run = runs.start_or_resume(
            database, ToyStudy(), plan=SMALL, budget=Budget(seconds=None, designs=128)
        )
        finish(database, run.id)
        return results.designs(database, run)


def opened(url: str) -> TestClient:
    """Return a client of an api over a database, on this machine; a fault of it is raised."""
    app = make_app(Settings(database_url=SecretStr(url)))
    return TestClient(app, base_url="http://127.0.0.1", client=HERE)


GRACE = 10
"""Seconds that a server has for answers under way when it is to end; more is a fault."""

FAREWELL = 20.0
"""Seconds that it has to end."""


class Faults(logging.Handler):
    """Keeps what the server of a thread says of its faults, but for those that a test lets be."""

    def __init__(self, thread: Thread, but: tuple[type[Exception], ...]) -> None:
        super().__init__(logging.ERROR)
        self.thread = thread
        self.but = but
        self.found: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        if record.thread != self.thread.ident:
            return  # of another server of this process
        error = record.exc_info[1] if record.exc_info else None
        if isinstance(error, Exception) and ExceptionGroup("", [error]).split(self.but)[1] is None:
            return
        self.found.append(self.format(record))


@contextmanager
def faultless(thread: Thread, but: tuple[type[Exception], ...]) -> Iterator[None]:
    """Let the server of a thread have no fault within, but for such ones."""
    faults, told = Faults(thread, but), logging.getLogger("uvicorn.error")
    told.addHandler(faults)
    try:
        yield
    finally:
        told.removeHandler(faults)
    assert not faults.found, "\n".join(faults.found)


@contextmanager
def serving(
    url: str,
    wrap: Callable[[ASGIApp], ASGIApp] = lambda app: app,
    but: tuple[type[Exception], ...] = (),
) -> Iterator[str]:
    """Serve a database on a free port of this machine without a fault, and return the address."""
    config = Config(
        wrap(make_app(Settings(database_url=SecretStr(url)))),
        host="127.0.0.1",
        port=0,
        log_config=None,  # its log is that of the test
        ws="none",
        timeout_graceful_shutdown=GRACE,
    )
    server = Server(config)
    thread = Thread(target=server.run, daemon=True)
    with faultless(thread, but), _running(server, thread) as address:
        yield address


@contextmanager
def _running(server: Server, thread: Thread) -> Iterator[str]:
    thread.start()
    try:
        while not server.started:
            assert thread.is_alive()
            time.sleep(0.01)
        port = server.servers[0].sockets[0].getsockname()[1]
        yield f"http://127.0.0.1:{port}"
    finally:
        server.should_exit = True
        thread.join(FAREWELL)
        server.force_exit = True  # it waits for a connection that nobody ends
        thread.join(FAREWELL)
