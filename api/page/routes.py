"""Thin routes of the page."""

from pathlib import Path
from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import FileResponse

from tradeopt.errors import NotFoundError
from tradeopt.report.section import Plain
from tradeopt.services import page
from tradeopt.store.database import Database

FILES = Path(__file__).parent / "files"
"""What a browser loads; nothing of it comes from elsewhere."""

PARTS = ("asked", "progress", "trade", "picks", "drivers", "handover", "designs/{number}")
"""Parts of the page of a run, each with its own address."""

POLICY = "; ".join(
    (
        "default-src 'self'",
        "base-uri 'none'",
        "form-action 'self'",
        "frame-ancestors 'none'",
        "object-src 'none'",
    )
)
"""Nothing from elsewhere, no script or style within the page, no frames."""

HEADERS = {
    "Content-Security-Policy": POLICY,
    "Cache-Control": "no-cache",
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
}


def _database(request: Request) -> Database:
    database: Database = request.app.state.database
    return database


Store = Annotated[Database, Depends(_database)]

router = APIRouter(include_in_schema=False)


def shell() -> FileResponse:
    """Give the page itself; its script tells from the address what to show."""
    return FileResponse(FILES / "index.html", headers=HEADERS)


for address in ("/", "/new", *(f"/runs/{{run_id}}/{part}" for part in PARTS)):
    router.add_api_route(address, shell, methods=["GET"])


@router.get("/page/runs/{run_id}/asked")
def asked(database: Store, run_id: str) -> Plain:
    """Lay out what was asked."""
    return page.asked(database, run_id)


@router.get("/page/runs/{run_id}/table")
def table(database: Store, run_id: str) -> Plain:
    """Lay out all designs kept."""
    return page.table(database, run_id)


@router.get("/page/runs/{run_id}/designs/{number}")
def sheet(database: Store, run_id: str, number: int) -> Plain:
    """Lay out one design."""
    return page.sheet(database, run_id, number)


@router.get("/page/runs/{run_id}/drivers")
def drivers(database: Store, run_id: str) -> Plain:
    """Lay out what drives the front."""
    return page.drivers(database, run_id)


@router.get("/page/files/{name}")
def file(name: str) -> FileResponse:
    """Give a script, the style or the icon."""
    known = {one.name: one for one in FILES.iterdir()}
    if name not in known:
        raise NotFoundError(f"file of the page: got {name!r}, want one that it has")
    return FileResponse(known[name], headers=HEADERS)


@router.get("/page/example")
def example() -> Plain:
    """Give a study to begin with."""
    return page.example()
