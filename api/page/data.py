"""What the page shows of a run, laid out for it alone; other programs use the routes of /v1."""

from fastapi import APIRouter, Depends

from api.caching import send_once
from api.handover import Picks
from api.shared import Store
from tradeopt.report.section import Plain
from tradeopt.services import page

router = APIRouter(prefix="/page", include_in_schema=False)


@router.get("/example")
def example() -> Plain:
    """Give a study to begin with."""
    return page.example()


@router.get("/runs/{run_id}/asked")
def asked(database: Store, run_id: str) -> Plain:
    """Lay out what was asked."""
    return page.asked(database, run_id)


@router.get("/runs/{run_id}/table")
def table(database: Store, run_id: str) -> Plain:
    """Lay out all designs that were kept."""
    return page.table(database, run_id)


@router.get("/runs/{run_id}/designs/{number}")
def sheet(database: Store, run_id: str, number: int) -> Plain:
    """Lay out one design."""
    return page.sheet(database, run_id, number)


@router.get("/runs/{run_id}/drivers")
def drivers(database: Store, run_id: str) -> Plain:
    """Lay out what drives the front."""
    return page.drivers(database, run_id)


@router.get("/runs/{run_id}/insight", dependencies=[Depends(send_once)])
def insight(database: Store, run_id: str, picks: Picks = ()) -> Plain:
    """Work out what drives the first of the picks."""
    return page.insight(database, run_id, picks)
