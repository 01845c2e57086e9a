"""The HTTP face: thin routes over the services, read-only."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from typing import Annotated

from fastapi import APIRouter, Depends, FastAPI, Request

from api.page.routes import router as page_router
from api.problems import tell_problems
from tradeopt.services import views
from tradeopt.services.views import View
from tradeopt.settings import Settings, read_settings
from tradeopt.store.database import Database


def _database(request: Request) -> Database:
    database: Database = request.app.state.database
    return database


Store = Annotated[Database, Depends(_database)]

router = APIRouter()


@router.get("/health")
def health(database: Store) -> dict[str, str]:
    """Say that the api runs and reaches its database."""
    database.check()
    return {"status": "ok"}


@router.get("/v1/runs")
def every_run(database: Store) -> list[View]:
    """Tell how every run stands."""
    return views.run_views(database)


@router.get("/v1/runs/{run_id}")
def one_run(database: Store, run_id: str) -> View:
    """Tell how a run stands."""
    return views.run_view(database, run_id)


@router.get("/v1/runs/{run_id}/front")
def front(database: Store, run_id: str) -> list[View]:
    """Tell the front of a run."""
    return views.front_view(database, run_id)


@router.get("/v1/runs/{run_id}/designs/{number}")
def design(database: Store, run_id: str, number: int) -> View:
    """Tell one design of a run."""
    return views.design_view(database, run_id, number)


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
        app.state.database = Database(settings.database_url.get_secret_value())
        yield
        app.state.database.close()

    app = FastAPI(title="tradeopt", lifespan=lifespan, docs_url=None, redoc_url=None)
    app.include_router(router)
    app.include_router(page_router)
    tell_problems(app)
    return app


app = make_app(read_settings())
