"""Whatever is thrown at the service, it answers, and never with a fault."""

import json

import pytest
from fastapi.testclient import TestClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

quickly = settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)

words = st.text(min_size=1, max_size=40).map(lambda text: text.encode("utf-8", "replace").decode())
names = words | st.sampled_from(["design", "range", "left.heat", "fan", "cells"])
bounds = words | st.sampled_from(["1 km", "-1e999", "1e400", "inf", "1_0", "2 kg", "٣ m"])
numbers = words | st.integers(-5, 10**20).map(str)
plain = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=20), inner),
    max_leaves=8,
)


def check(client: TestClient, method: str, path: str, **how: object) -> None:
    answer = client.request(method, path, **how)  # type: ignore[arg-type]
    assert answer.status_code < 500, answer.text
    if answer.is_error:
        assert answer.headers["content-type"] == "application/problem+json"
        assert answer.json()["status"] == answer.status_code


@given(name=words, params=st.dictionaries(words, words, max_size=3))
@quickly
def test_any_name_of_a_run(client: TestClient, name: str, params: dict[str, str]) -> None:
    for path in ("", "/front", "/study", "/designs/0"):
        check(client, "GET", f"/v1/runs/{_quoted(name)}{path}", params=params)


def _quoted(text: str) -> str:
    return "".join(f"%{byte:02X}" for byte in text.encode())


@given(
    params=st.dictionaries(
        st.tuples(st.sampled_from(["min.", "max."]), names).map("".join), bounds, max_size=3
    ),
    columns=st.lists(names, max_size=3).map(",".join),
    limit=numbers,
    offset=numbers,
)
@quickly
def test_any_wish_for_designs(
    client: TestClient, params: dict[str, str], columns: str, limit: str, offset: str
) -> None:
    asked = params | {"columns": columns}
    check(client, "GET", "/v1/runs/toy-1/designs", params=asked)
    check(client, "GET", "/v1/runs/toy-1/front", params=asked | {"limit": limit})
    check(client, "GET", "/v1/runs/toy-1/designs", params=asked | {"offset": offset})
    check(client, "GET", "/v1/runs", params={"limit": limit, "cursor": columns})


@given(body=plain | st.fixed_dictionaries({"study": st.text(max_size=60), "files": plain}))
@quickly
def test_any_body(client: TestClient, body: object) -> None:
    text = json.dumps(body)
    for path in ("/v1/runs", "/v1/check", "/v1/evaluate", "/v1/runs/toy-9/resume"):
        check(client, "POST", path, content=text, headers={"Content-Type": "application/json"})
    assert len(client.get("/v1/runs").json()["items"]) == 1


@given(body=st.binary(max_size=60))
@quickly
def test_any_bytes(client: TestClient, body: bytes) -> None:
    for kind in ("application/json", "application/yaml"):
        check(client, "POST", "/v1/runs", content=body, headers={"Content-Type": kind})


@pytest.mark.parametrize("depth", [100, 100_000])
def test_deep_nesting(client: TestClient, depth: int) -> None:
    for path in ("/v1/runs", "/v1/check"):
        for kind, body in (
            ("json", "[" * depth),
            ("json", '{"study":' * depth),
            ("yaml", "[" * depth),
        ):
            headers = {"Content-Type": f"application/{kind}"}
            check(client, "POST", path, content=body, headers=headers)
