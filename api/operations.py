"""Routes for those who run the service."""

from fastapi import APIRouter, Depends, Response
from prometheus_client import CONTENT_TYPE_LATEST

from api.models import Alive
from api.shared import Store, admit
from tradeopt.services import metrics

router = APIRouter(tags=["operations"])


@router.get("/health")
def health() -> Alive:
    """Say that the service runs."""
    return Alive(status="ok")


@router.get("/ready")
def ready(database: Store) -> Alive:
    """Say that the service reaches its database."""
    database.check()
    return Alive(status="ok")


@router.get(
    "/metrics",
    dependencies=[Depends(admit)],
    response_class=Response,
    responses={200: {"content": {"text/plain": {"schema": {"type": "string"}}}}},
)
def numbers(database: Store) -> Response:
    """Tell what the service has done, as lines of text for those who watch over it."""
    return Response(metrics.exposition(database), media_type=CONTENT_TYPE_LATEST)
