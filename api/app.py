"""The HTTP face: thin routes over the services."""

import gc
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from importlib.metadata import version

from fastapi import Depends, FastAPI

from api import designs, events, handover, operations, runs, studies
from api.body import BodyLimit
from api.headers import StrictHeaders
from api.models import ProblemTold
from api.page import data, files
from api.problems import tell_problems
from api.shared import admit
from tradeopt.settings import Settings, read_settings
from tradeopt.store.database import Database

PATIENCE = 10.0
"""Seconds for which a call waits for a database that is away, before it says so."""


def make_app(settings: Settings) -> FastAPI:
    """
    Make the application.

    Parameters
    ----------
    settings : Settings
        Tells the database, which is opened when the application starts.

    Returns
    -------
    FastAPI
        Without pages of documentation, since those load files from elsewhere.
    """

    @asynccontextmanager
    async def lifespan(app: FastAPI) -> AsyncIterator[None]:
        url = settings.database_url.get_secret_value()
        app.state.database = Database(url, patience=PATIENCE)
        yield
        app.state.database.close()

    app = FastAPI(
        title="tradeopt",
        version=version("tradeopt"),
        lifespan=lifespan,
        docs_url=None,
        redoc_url=None,
        responses={"default": {"model": ProblemTold, "description": "A problem document."}},
    )
    app.add_middleware(BodyLimit)
    app.add_middleware(StrictHeaders)
    app.include_router(operations.router)
    for part in (runs, designs, events, studies, handover, data):
        app.include_router(part.router, dependencies=[Depends(admit)])
    app.include_router(files.router)
    tell_problems(app)
    return app


app = make_app(read_settings())

gc.freeze()  # what was imported stays for good; looking through it for garbage held answers up
