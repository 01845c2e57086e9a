"""A fault of a server of the tests is put down to the test that it serves."""

from pathlib import Path

import httpx2
import pytest
from starlette.types import ASGIApp, Receive, Scope, Send

from tests.api.served import serving


def broken(app: ASGIApp) -> ASGIApp:
    async def fail(scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "http":
            raise ValueError("broken")
        await app(scope, receive, send)

    return fail


def test_a_fault_fails_the_test_of_its_server_and_no_other(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path}/runs.db"
    with serving(url) as sound:
        with (
            pytest.raises(AssertionError, match="ValueError: broken"),
            serving(url, broken) as bad,
        ):
            assert httpx2.get(bad).status_code == 500
        assert httpx2.get(f"{sound}/openapi.json").status_code == 200
