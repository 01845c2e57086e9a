"""The route of events: how a run comes along, as it happens."""

from collections.abc import AsyncIterator
from typing import Annotated

import anyio
from fastapi import APIRouter, Depends, Header
from fastapi.concurrency import run_in_threadpool
from fastapi.sse import EventSourceResponse, ServerSentEvent

from api.shared import RunId, Store
from tradeopt.services import views
from tradeopt.services.events import Watch

PAUSE = 1.0
"""Seconds between two looks at a run."""

router = APIRouter(prefix="/v1/runs", tags=["runs"])


def watch(
    database: Store,
    run_id: RunId,
    last: Annotated[int, Header(alias="Last-Event-ID", ge=0, lt=2**63)] = 0,
) -> Watch:
    """Begin to watch a run; whatever is wrong is told before the first event."""
    views.run_provenance(database, run_id)
    return Watch(run_id, last)


@router.get("/{run_id}/events", response_class=EventSourceResponse)
async def events(
    database: Store, watching: Annotated[Watch, Depends(watch)]
) -> AsyncIterator[ServerSentEvent]:
    """
    Tell what happens to a run.

    `epoch` for each one that was closed, with its number as id, from `Last-Event-ID` on; `status`
    whenever the run stands otherwise; `end` once nobody works on it any more.
    """
    while not watching.ended:
        for event in await run_in_threadpool(watching.news, database):
            number = None if event.number is None else str(event.number)
            yield ServerSentEvent(data=event.data, event=event.kind, id=number)
        if not watching.ended:
            await anyio.sleep(PAUSE)
