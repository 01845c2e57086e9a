"""Routes that let a browser keep its token where no script can read it."""

from fastapi import APIRouter, Request, Response, status

from api.shared import COOKIE, Shown

router = APIRouter(prefix="/v1/session", tags=["session"])


@router.post("", status_code=status.HTTP_204_NO_CONTENT, response_class=Response)
def begin(request: Request, answer: Response, token: Shown) -> None:
    """Keep the bearer token of this request in a cookie, for pages and downloads."""
    if token is not None:
        secure = request.url.scheme == "https"
        answer.set_cookie(COOKIE, token, httponly=True, samesite="strict", secure=secure)


@router.delete("", status_code=status.HTTP_204_NO_CONTENT, response_class=Response)
def end(answer: Response) -> None:
    """Forget the token of this browser."""
    answer.delete_cookie(COOKIE, httponly=True, samesite="strict")
