"""Who may use the service, and what no answer may let slip."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from fastapi.testclient import TestClient
from pydantic import SecretStr

from api.app import make_app
from tests.api.served import HERE, finished_run
from tradeopt.errors import NotFoundError
from tradeopt.services import tokens
from tradeopt.settings import Settings
from tradeopt.store import tokens as store
from tradeopt.store.database import Database

ELSEWHERE = ("192.0.2.7", 50000)


@pytest.fixture
def url(tmp_path: Path) -> str:
    address = f"sqlite:///{tmp_path}/runs.db"
    finished_run(address)
    return address


@pytest.fixture
def database(url: str) -> Iterator[Database]:
    ready = Database(url)
    yield ready
    ready.close()


def ask(
    url: str,
    path: str = "/v1/runs",
    *,
    method: str = "GET",
    client: tuple[str, int] = HERE,
    base: str = "http://127.0.0.1:8000",
    **headers: Any,
) -> tuple[int, str]:
    app = make_app(Settings(database_url=SecretStr(url)))
    with TestClient(app, base_url=base, client=client) as opened:
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        answer = opened.request(method, path, headers=named)
        return answer.status_code, answer.text


def test_without_any_token_only_this_machine_is_served(url: str) -> None:
    assert ask(url)[0] == 200
    assert ask(url, base="http://localhost:8000")[0] == 200
    assert ask(url, client=("::1", 5))[0] == 200
    status, text = ask(url, client=ELSEWHERE)
    assert (status, "tradeopt token new NAME" in text) == (403, True)
    assert ask(url, "/metrics", client=ELSEWHERE)[0] == 403
    # nor is told which runs there are
    assert ask(url, "/v1/runs/toy-9/front", client=ELSEWHERE)[0] == 403
    assert ask(url, "/v1/check", client=ELSEWHERE, method="POST")[0] == 403


def test_a_name_that_points_here_from_elsewhere_opens_nothing(url: str) -> None:
    # a page of example.org could let its own name point to 127.0.0.1
    assert ask(url, base="http://example.org:8000")[0] == 403


def test_with_a_token_everybody_needs_one(url: str, database: Database) -> None:
    token = tokens.new(database, "bench script")
    bearer: dict[str, Any] = {"Authorization": f"Bearer {token}"}
    for client in (HERE, ELSEWHERE):
        assert ask(url, client=client, **bearer)[0] == 200
        assert ask(url, client=client)[0] == 401
        assert ask(url, client=client, Authorization=f"Bearer {token[:-1]}")[0] == 401
        assert ask(url, client=client, Authorization=f"Basic {token}")[0] == 401
        assert ask(url, f"/v1/runs?token={token}", client=client)[0] == 401
    assert ask(url, "/health", client=ELSEWHERE)[0] == 200
    tokens.revoke(database, "bench script")
    assert ask(url, **bearer)[0] == 401  # and this machine is not let in again without one


def test_only_a_hash_of_a_token_is_kept(url: str, database: Database) -> None:
    token = tokens.new(database, "ada")
    assert len(token) >= 43  # 256 bits, six a letter
    assert tokens.new(database, "bob") != token
    assert token not in str(store.every(database))
    assert token.encode() not in b"".join(
        path.read_bytes() for path in Path(url.removeprefix("sqlite:///")).parent.iterdir()
    )


def test_a_name_is_used_once_even_after_its_end(database: Database) -> None:
    tokens.new(database, "ada")
    tokens.revoke(database, "ada")
    with pytest.raises(tokens.TokenError, match="got 'ada', want a name that was not used"):
        tokens.new(database, "ada")
    with pytest.raises(
        NotFoundError, match="token: got 'ada', want the name of one that is valid"
    ):
        tokens.revoke(database, "ada")


def test_a_page_of_another_site_changes_nothing(url: str) -> None:
    stop = "/v1/runs/toy-1/stop"
    assert ask(url, stop, method="POST", Origin="http://example.org")[0] == 403
    assert ask(url, stop, method="POST", Origin="null")[0] == 403
    assert ask(url, stop, method="POST", Origin="http://127.0.0.1:8000")[0] == 202


def test_every_answer_has_strict_headers(client: TestClient) -> None:
    for path in ("/health", "/v1/runs", "/nowhere", "/v1/runs/toy-1/events", "/metrics"):
        headers = client.get(path).headers
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["referrer-policy"] == "no-referrer"
        assert headers["x-frame-options"] == "DENY"
        assert "default-src 'none'" in headers["content-security-policy"]
        assert headers["cache-control"] in {"no-store", "no-cache"}
