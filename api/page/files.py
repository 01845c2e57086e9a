"""The page itself and the files that it loads; nothing in them is secret."""

from pathlib import Path

from fastapi import APIRouter
from fastapi.responses import FileResponse

from tradeopt.errors import NotFoundError

HELD = Path(__file__).parent / "held"
"""What a browser loads; nothing of it comes from elsewhere."""

PARTS = ("asked", "progress", "trade", "picks", "drivers", "handover", "designs/{number}")
"""Parts of the page of a run, each with its own address."""

HEADERS = {
    "Content-Security-Policy": "default-src 'self'; base-uri 'none'; form-action 'self'; "
    "frame-ancestors 'none'; object-src 'none'",
    "Cache-Control": "no-cache",
}
"""Nothing from elsewhere, no script or style within the page, no frames; what is new is seen."""

router = APIRouter(include_in_schema=False)


def shell() -> FileResponse:
    """Give the page; its script tells from the address what to show."""
    return FileResponse(HELD / "index.html", headers=HEADERS)


for address in ("/", "/new", *(f"/runs/{{run_id}}/{part}" for part in PARTS)):
    router.add_api_route(address, shell, methods=["GET"])


@router.get("/page/files/{name}")
def file(name: str) -> FileResponse:
    """Give a script, the style or the icon."""
    known = {one.name: one for one in HELD.iterdir()}
    if name not in known:
        raise NotFoundError(f"file of the page: got {name!r}, want one that it has")
    return FileResponse(known[name], headers=HEADERS)
