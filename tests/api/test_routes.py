"""The api over a database with one finished run in it."""

from collections.abc import Iterator

import numpy as np
import pytest
from fastapi.testclient import TestClient
from pydantic import SecretStr

from api.app import make_app
from tests.services.toy import SMALL, ToyStudy, read_toy
from tradeopt.search.designs import Designs
from tradeopt.services import runs
from tradeopt.services.runs import Step
from tradeopt.settings import Settings
from tradeopt.store import results
from tradeopt.store.database import Database
from tradeopt.store.runs import Budget, RunState


@pytest.fixture(scope="module")
def found(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, Designs]]:
    """Address of the database, and all designs of its run."""
    url = f"sqlite:///{tmp_path_factory.mktemp('api')}/runs.db"
    database = Database(url)
    run = runs.start_or_resume(
        database, ToyStudy(), plan=SMALL, budget=Budget(seconds=None, designs=128)
    )
    for island in runs.next_work(database, run.id).islands:
        runs.run_slice(url, run.id, 0, island, read_study=read_toy)
    assert runs.next_work(database, run.id).step is Step.CLOSE
    runs.close_epoch(database, run.id, 0)
    runs.end(database, run.id, RunState.FINISHED)
    yield url, results.designs(database, run)
    database.close()


@pytest.fixture
def client(found: tuple[str, Designs]) -> Iterator[TestClient]:
    settings = Settings(database_url=SecretStr(found[0]))
    with TestClient(make_app(settings)) as opened:
        yield opened


def test_health_says_that_the_database_is_reached(client: TestClient) -> None:
    answer = client.get("/health")
    assert (answer.status_code, answer.json()) == (200, {"status": "ok"})


def test_runs_are_listed_with_how_they_stand(client: TestClient) -> None:
    (run,) = client.get("/v1/runs").json()
    assert run == client.get("/v1/runs/toy-1").json()
    assert (run["run_id"], run["state"], run["tried"]) == ("toy-1", "finished", 128)
    assert run["feasible_share"] == run["feasible"] / 128
    assert run["tightest_limit"] in {"heat", "speed"}


def test_front_is_told_in_the_words_of_the_study(
    client: TestClient, found: tuple[str, Designs]
) -> None:
    front = client.get("/v1/runs/toy-1/front").json()
    assert len(front) > 3
    for told in front:
        row = found[1].take(np.array([told["number"]]))
        assert told["feasible"] is True
        assert told["variables"]["gear.ratio"] == row.values[0, 0]
        assert told["variables"]["fan"] == ("no", "yes")[int(row.values[0, 3])]
        assert list(told["objectives"].values()) == row.objectives[0].tolist()
        assert list(told["violations"].values()) == row.violations[0].tolist()


def test_a_design_without_a_value_is_told_as_such(
    client: TestClient, found: tuple[str, Designs]
) -> None:
    number = int(np.flatnonzero(np.isnan(found[1].objectives[:, 0]))[0])
    told = client.get(f"/v1/runs/toy-1/designs/{number}").json()
    assert told["objectives"]["range"] is None
    assert told["feasible"] is False


@pytest.mark.parametrize(
    ("path", "status", "detail"),
    [
        ("/v1/runs/toy-2", 404, "run: got 'toy-2', want the name of a run"),
        ("/v1/runs/toy-2/front", 404, "near: 'toy-1'"),
        ("/v1/runs/toy-1/designs/128", 404, "design of toy-1: got 128"),
        ("/v1/runs/toy-1/designs/best", 422, "number: "),
        ("/nowhere", 404, "Not Found"),
        ("/docs", 404, "Not Found"),
        ("/redoc", 404, "Not Found"),
    ],
)
def test_problems_are_told_as_problem_documents(
    client: TestClient, path: str, status: int, detail: str
) -> None:
    answer = client.get(path)
    assert answer.status_code == status
    assert answer.headers["content-type"] == "application/problem+json"
    assert answer.json()["status"] == status
    assert detail in answer.json()["detail"]


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "PATCH"])
def test_nothing_can_be_written(client: TestClient, method: str) -> None:
    answer = client.request(method, "/v1/runs/toy-1")
    assert answer.status_code == 405
    assert answer.json()["title"] == "Method Not Allowed"
