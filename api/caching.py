"""Entity tags: what has ended is sent once."""

from fastapi import Request

from api.headers import TAG
from api.shared import RunId, Store
from tradeopt.services import views


class NotModifiedError(Exception):
    """Whoever asks has the answer already."""

    def __init__(self, tag: str) -> None:
        self.tag = tag
        super().__init__(tag)


def send_once(request: Request, database: Store, run_id: RunId) -> None:
    """Give the results of a run that has ended a tag, and send them only where that is new."""
    result = views.tag(database, run_id)
    if result is None:
        return
    tag = f'"{result}"'
    known = request.headers.get("If-None-Match", "")
    if tag in {one.strip().removeprefix("W/") for one in known.split(",")}:
        raise NotModifiedError(tag)
    setattr(request.state, TAG, tag)
