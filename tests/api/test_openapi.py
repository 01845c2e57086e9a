"""The description of the api: complete, and true of every route."""

import json
from typing import Any

import pytest
from fastapi.testclient import TestClient
from jsonschema import Draft202012Validator

from tests.api.served import opened
from tradeopt.study.read import load

STUDY = load("levee_rounds")
BODIES: dict[str, dict[str, Any] | None] = {
    "/v1/runs": {"study": STUDY.text, "files": dict(STUDY.files), "designs": 1000},
    "/v1/check": {"study": STUDY.text, "files": dict(STUDY.files)},
    "/v1/evaluate": {"study": STUDY.text, "files": dict(STUDY.files)},
    "/v1/runs/{run_id}/resume": {"designs": 128},
}
TOO_SLIGHT = {
    "/v1/runs/{run_id}/designs/{number}/sheet",
    "/v1/runs/{run_id}/deck",
    "/v1/runs/{run_id}/report.html",
}
"""The toy has no sheet and no review; tests/client and tests/browser ask for those of a study."""


@pytest.fixture(scope="module")
def described(client: TestClient) -> dict[str, Any]:
    told: dict[str, Any] = client.get("/openapi.json").json()
    return told


def test_it_is_openapi_3_1_and_says_all_of_every_route(described: dict[str, Any]) -> None:
    assert described["openapi"].startswith("3.1")
    operations = [
        (path, method, operation)
        for path, methods in described["paths"].items()
        for method, operation in methods.items()
    ]
    assert len(operations) >= 16
    for path, method, operation in operations:
        place = f"{method} {path}"
        assert operation["description"], place
        assert operation["responses"]["default"], place
        assert ("security" in operation) == (path not in {"/health", "/ready"}), place
        for parameter in operation.get("parameters", []):
            assert parameter["schema"], place


def test_every_route_answers_as_described(
    described: dict[str, Any], found: tuple[str, object]
) -> None:
    schemas = {"components": described["components"]}
    with opened(found[0]) as client:
        for path, methods in described["paths"].items():
            for method, operation in methods.items():
                if path in TOO_SLIGHT:
                    continue
                url = path.format(run_id="toy-1", number=3)
                answer = client.request(method, url, json=BODIES.get(path))
                place = f"{method} {path}: {answer.text[:300]}"
                assert answer.is_success, place
                response = operation["responses"][str(answer.status_code)]
                kind = answer.headers.get("content-type", "").partition(";")[0]
                assert kind in response.get("content", {"": None}), place
                if kind == "application/json":
                    schema = response["content"][kind]["schema"] | schemas
                    Draft202012Validator(schema).validate(answer.json())


def test_problems_are_as_described(described: dict[str, Any], client: TestClient) -> None:
    schema = {"$ref": "#/components/schemas/ProblemTold", "components": described["components"]}
    for path in ("/v1/runs/toy-2", "/v1/runs?limit=0", "/v1/runs/toy-1/front?min.x=1"):
        Draft202012Validator(schema).validate(client.get(path).json())


def test_it_points_nowhere_else(described: dict[str, Any]) -> None:
    assert "://" not in json.dumps(described)
