"""An api in this process, and a database with one finished run."""

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
    """Return a client of an api over a database, on this machine."""
    app = make_app(Settings(database_url=SecretStr(url)))
    return TestClient(app, base_url="http://127.0.0.1", client=HERE, raise_server_exceptions=False)


FAREWELL = 20.0
"""Seconds that a server has to end."""


@contextmanager
def serving(url: str, wrap: Callable[[ASGIApp], ASGIApp] = lambda app: app) -> Iterator[str]:
    """Serve a database on a free port of this machine, and return the address."""
    config = Config(
        wrap(make_app(Settings(database_url=SecretStr(url)))),
        host="127.0.0.1",
        port=0,
        log_level="critical",
        ws="none",
        timeout_graceful_shutdown=2,
    )
    server = Server(config)
    thread = Thread(target=server.run, daemon=True)
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
