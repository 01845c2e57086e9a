"""Errors as problem documents (RFC 9457)."""

import json
from collections.abc import Mapping, Sequence
from http import HTTPStatus

from fastapi import FastAPI, Request, Response
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException

from api.caching import NotModifiedError
from api.headers import STRICT
from api.shared import STUDY
from tradeopt.errors import (
    ChainError,
    NotFoundError,
    ProblemsError,
    StudyError,
    TradeoptError,
)
from tradeopt.report.table import MissingExtraError
from tradeopt.services.asked import told_problems
from tradeopt.services.tokens import RefusedError, UnknownTokenError
from tradeopt.store.database import StoreError

PROBLEM = "application/problem+json"

UNNAMED = "about:blank"
INVALID_STUDY = "urn:tradeopt:invalid-study"
"""The type of a problem that is about a study, and not about how it was sent."""

STATUSES: Mapping[type[TradeoptError], HTTPStatus] = {
    NotFoundError: HTTPStatus.NOT_FOUND,
    UnknownTokenError: HTTPStatus.UNAUTHORIZED,
    RefusedError: HTTPStatus.FORBIDDEN,
    MissingExtraError: HTTPStatus.NOT_IMPLEMENTED,
    StoreError: HTTPStatus.SERVICE_UNAVAILABLE,
    TradeoptError: HTTPStatus(422),
}
"""By error: how it is told; the first that fits holds."""

HEADERS: Mapping[HTTPStatus, Mapping[str, str]] = {
    HTTPStatus.UNAUTHORIZED: {"WWW-Authenticate": "Bearer"},
    HTTPStatus.SERVICE_UNAVAILABLE: {"Retry-After": "5"},
}


def problem(
    status: HTTPStatus,
    detail: str,
    errors: Sequence[Mapping[str, object]] = (),
    *,
    kind: str = UNNAMED,
    headers: Mapping[str, str] | None = None,
) -> Response:
    """
    Make the answer that tells of a problem.

    Parameters
    ----------
    status : HTTPStatus
        What kind of problem it is.
    detail : str
        What is wrong.
    errors : sequence of mapping
        Each single thing that is wrong, with its place.
    kind : str
        What all problems of this kind have in common, for programs.
    headers : mapping of str to str, optional
        More headers.

    Returns
    -------
    Response
        The answer.
    """
    content: dict[str, object] = {
        "type": kind,
        "title": status.phrase,
        "status": int(status),
        "detail": detail,
    }
    if errors:
        content["errors"] = list(errors)
    # an answer to a fault is made outside of the layer that sets the headers
    told = STRICT | dict(headers or HEADERS.get(status, {}))
    # in ASCII, since what came may hold what no answer can be written with
    return Response(json.dumps(content), status, headers=told, media_type=PROBLEM)


def tell_problems(app: FastAPI) -> None:
    """Let an app answer every error with a problem document."""

    @app.exception_handler(TradeoptError)
    def refused(request: Request, error: TradeoptError) -> Response:
        status = next(told for kind, told in STATUSES.items() if isinstance(error, kind))
        problems = error.problems if isinstance(error, ProblemsError) else ()
        about_study = isinstance(error, StudyError | ChainError)
        text = getattr(request.state, STUDY, None) if about_study else None
        errors = told_problems(problems, text)
        kind = INVALID_STUDY if about_study else UNNAMED
        return problem(status, str(error), errors, kind=kind)

    @app.exception_handler(HTTPException)
    def misled(_request: Request, error: HTTPException) -> Response:
        return problem(HTTPStatus(error.status_code), error.detail, headers=error.headers)

    @app.exception_handler(RequestValidationError)
    def misread(_request: Request, error: RequestValidationError) -> Response:
        errors = [_misread(one["loc"], one["msg"]) for one in error.errors()]
        detail = "; ".join(str(one["detail"]) for one in errors)
        return problem(HTTPStatus(422), detail, errors)

    @app.exception_handler(NotModifiedError)
    def unchanged(_request: Request, error: NotModifiedError) -> Response:
        return Response(status_code=HTTPStatus.NOT_MODIFIED, headers={"ETag": error.tag})

    @app.exception_handler(Exception)
    def fault(_request: Request, _error: Exception) -> Response:
        detail = "a fault of the service; its log says where"
        return problem(HTTPStatus.INTERNAL_SERVER_ERROR, detail)


def _misread(place: Sequence[int | str], message: str) -> dict[str, object]:
    """Say what is wrong with a part of a request."""
    part, *path = (str(one) for one in place)
    is_body = part == "body"
    name = path[-1] if path else part
    told: dict[str, object] = {"detail": f"{name}: {message}"}
    if is_body:
        told["pointer"] = "".join(f"/{one}" for one in path)
    else:
        told["parameter"] = name
    return told
