"""The HTTP face: thin routes over the services, read-only."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from typing import Annotated

from fastapi import Depends, FastAPI, Request
from fastapi.responses import JSONResponse

from tradeopt.errors import NotFoundError
from tradeopt.services import runs
from tradeopt.services.progress import Progress, described_design, described_front, status, statuses
from tradeopt.settings import Settings, read_settings
from tradeopt.store.database import Database


def database_of(request: Request) -> Database:
    """Return the database that the app has opened."""
    database: Database = request.app.state.database
    return database
