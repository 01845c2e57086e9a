"""What routes share: the database, and who may use it."""

from ipaddress import ip_address
from typing import Annotated
from urllib.parse import urlsplit

from fastapi import Depends, Path, Request
from fastapi.security import HTTPAuthorizationCredentials, HTTPBearer

from tradeopt.services import tokens
from tradeopt.services.tokens import RefusedError
from tradeopt.store.database import Database

STUDY = "study"
"""Under this name a request keeps the study that came with it, to tell its problems."""

RunId = Annotated[str, Path(min_length=1, max_length=200, pattern=r"^[^\x00]+$")]
"""Name of a run; a database cannot even be asked for one with a zero byte."""

SAFE = {"GET", "HEAD", "OPTIONS"}
"""Methods that change nothing."""


def _database(request: Request) -> Database:
    database: Database = request.app.state.database
    return database


Store = Annotated[Database, Depends(_database)]

_bearer = HTTPBearer(auto_error=False, description="A token of `tradeopt token new NAME`.")

Shown = Annotated[HTTPAuthorizationCredentials | None, Depends(_bearer)]


def admit(request: Request, database: Store, shown: Shown) -> None:
    """Let only those in who may use the service; a page of another site may not."""
    origin = request.headers.get("Origin")
    host = request.headers.get("Host", "")
    if request.method not in SAFE and origin is not None and urlsplit(origin).netloc != host:
        raise RefusedError(f"Origin: got {origin!r}, want a page of {host}")
    token = shown.credentials if shown else None
    tokens.admit(database, token, is_local=_is_local(request))


def _is_local(request: Request) -> bool:
    """Tell whether this machine asks itself, by a name that no page elsewhere can point to it."""
    client = request.client.host if request.client else ""
    return _is_loopback(client) and _is_loopback(request.url.hostname or "")


def _is_loopback(host: str) -> bool:
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"
