"""Errors as problem documents (RFC 9457)."""

from http import HTTPStatus

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse
from starlette.exceptions import HTTPException

from tradeopt.errors import NotFoundError


def problem(status: HTTPStatus, detail: str) -> JSONResponse:
    """Make the answer that tells of a problem."""
    content = {"type": "about:blank", "title": status.phrase, "status": status, "detail": detail}
    return JSONResponse(content, status, media_type="application/problem+json")


def tell_problems(app: FastAPI) -> None:
    """Let an app answer every error it knows with a problem document."""

    @app.exception_handler(NotFoundError)
    def not_found(_request: Request, error: NotFoundError) -> JSONResponse:
        return problem(HTTPStatus.NOT_FOUND, str(error))

    @app.exception_handler(HTTPException)
    def refused(_request: Request, error: HTTPException) -> JSONResponse:
        return problem(HTTPStatus(error.status_code), error.detail)

    @app.exception_handler(RequestValidationError)
    def misread(_request: Request, error: RequestValidationError) -> JSONResponse:
        told = "; ".join(f"{one['loc'][-1]}: {one['msg']}" for one in error.errors())
        return problem(HTTPStatus(422), told)
