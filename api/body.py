"""The size of what comes in: more than any study needs is refused before it is read."""

from http import HTTPStatus

from starlette.datastructures import Headers
from starlette.exceptions import HTTPException
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.problems import problem

LARGEST_BODY = 16 * 2**20
"""Bytes of a request: a study file with every table that it may name."""

REFUSAL = f"the body has more than {LARGEST_BODY} bytes"


class BodyLimit:
    """Refuses what is too large, as a problem document like any other."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on."""
        said = Headers(scope=scope).get("Content-Length", "") if scope["type"] == "http" else ""
        if said.isdecimal() and int(said) > LARGEST_BODY:
            await problem(HTTPStatus.REQUEST_ENTITY_TOO_LARGE, REFUSAL)(scope, receive, send)
            return
        taken = 0

        async def receive_some() -> Message:
            nonlocal taken
            message = await receive()
            taken += len(message.get("body", b""))
            if taken > LARGEST_BODY:
                raise HTTPException(HTTPStatus.REQUEST_ENTITY_TOO_LARGE, REFUSAL)
            return message

        await self._app(scope, receive_some, send)
