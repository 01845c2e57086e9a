"""Routes that hand a run over: the review deck, and the report as one file."""

from typing import Annotated, Any
from urllib.parse import quote

from fastapi import APIRouter, Depends, Query, Response
from pydantic import Field

from api.caching import send_once
from api.shared import RunId, Store
from tradeopt.services import handover

DECK = "application/vnd.openxmlformats-officedocument.presentationml.presentation"
REPORT = "text/html"

Picks = Annotated[
    tuple[Annotated[int, Field(ge=0, lt=2**53)], ...],
    Query(
        alias="pick",
        max_length=handover.MOST_PICKS,
        description="Designs to show, the recommended one first; chosen from the front if none.",
    ),
]

router = APIRouter(
    prefix="/v1/runs/{run_id}", tags=["handover"], dependencies=[Depends(send_once)]
)


def _file(kind: str) -> dict[int | str, dict[str, Any]]:
    return {200: {"content": {kind: {"schema": {"type": "string", "format": "binary"}}}}}


@router.get("/deck", response_class=Response, responses=_file(DECK))
def deck(database: Store, run_id: RunId, picks: Picks = ()) -> Response:
    """Make the review deck, its tables and charts to be edited."""
    return _saved(handover.deck(database, run_id, picks), DECK, f"{run_id}.pptx")


@router.get("/report.html", response_class=Response, responses=_file(REPORT))
def report(database: Store, run_id: RunId, picks: Picks = ()) -> Response:
    """Write the review as one HTML file, for people without the service."""
    return _saved(handover.report_page(database, run_id, picks), REPORT, f"{run_id}.html")


def _saved(content: bytes | str, kind: str, name: str) -> Response:
    headers = {"Content-Disposition": f"attachment; filename*=UTF-8''{quote(name)}"}
    return Response(content, headers=headers, media_type=kind)
