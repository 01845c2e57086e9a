"""Headers of every answer: nothing is guessed, framed, leaked or kept by mistake."""

from starlette.datastructures import MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

STRICT = {
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Content-Security-Policy": "default-src 'none'; frame-ancestors 'none'",
    "Cache-Control": "no-store",
}
"""What holds unless an answer says otherwise; the page has a policy of its own."""

TAG = "tag"
"""Under this name a route leaves the entity tag of its answer in the state of the request."""

OK = 200


class StrictHeaders:
    """Sets the headers that an answer does not set itself."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on."""

        async def send_strict(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                tag = scope.get("state", {}).get(TAG)
                if tag is not None and message["status"] == OK:
                    headers["ETag"] = tag
                    headers["Cache-Control"] = "private, no-cache"
                for name, value in STRICT.items():
                    headers.setdefault(name, value)
            await send(message)

        await self._app(scope, receive, send_strict)
