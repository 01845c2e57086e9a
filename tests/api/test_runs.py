"""Asking for runs over HTTP: started once, listed, stopped, gone on with."""

from typing import Any

import pytest
from fastapi.testclient import TestClient

from tests.api.served import opened
from tests.services.toy import SMALL, ToyStudy
from tradeopt.services import runs
from tradeopt.store import turns
from tradeopt.store.database import Database
from tradeopt.store.runs import Budget
from tradeopt.study.read import load

STUDY = load("levee_rounds")
BODY = {"study": STUDY.text, "files": dict(STUDY.files), "designs": 1000}


def test_a_study_is_accepted_and_waits_for_workers(fresh: TestClient) -> None:
    answer = fresh.post("/v1/runs", json=BODY)
    assert answer.status_code == 202
    assert answer.headers["location"] == "/v1/runs/levee-rounds-1"
    assert int(answer.headers["retry-after"]) > 0
    told = answer.json()
    assert (told["id"], told["state"], told["designs"]) == ("levee-rounds-1", "running", 0)
    assert told["budget"] == {"seconds": None, "designs": 1000, "early": True}
    assert told["study_sha256"] == STUDY.digest
    told = fresh.get("/v1/runs/levee-rounds-1").json()
    assert (told["designs_left"], told["growth_by_epoch"]) == (1000, [])
    assert told["sentence"] == "levee-rounds-1: no designs tried yet"


def test_a_time_is_given_with_its_unit(fresh: TestClient) -> None:
    wish = {"time": "1.5 h", "designs": None, "seed": 12, "to_the_end": True}
    told = fresh.post("/v1/runs", json=BODY | wish).json()
    assert told["budget"] == {"seconds": 5400.0, "designs": None, "early": False}
    assert told["seed"] == 12


def test_a_run_says_what_it_waits_for_and_how_urgent_it_is(fresh: TestClient) -> None:
    told = fresh.post("/v1/runs", json=BODY | {"priority": 2.5}).json()
    assert "waiting for a worker" in told["waiting"]
    database: Database = fresh.app.state.database  # type: ignore[attr-defined]  # of our own app
    (turn,) = turns.in_order(database)
    assert turn.priority == 2.5
    fresh.post("/v1/runs", json=BODY)
    assert turns.in_order(database)[0].priority == 2.5


def test_the_same_key_and_body_are_the_same_run(fresh: TestClient) -> None:
    key = {"Idempotency-Key": "monday-1"}
    first = fresh.post("/v1/runs", json=BODY, headers=key).json()
    fresh.post(f"/v1/runs/{first['id']}/stop")
    again = fresh.post("/v1/runs", json=BODY, headers=key)
    assert again.status_code == 202
    # what is only sent again does not take back what was asked since
    assert again.json()["id"] == first["id"]
    assert again.json()["state"] == "stopped"
    other = fresh.post("/v1/runs", json=BODY | {"designs": 2000}, headers=key)
    assert other.status_code == 422
    assert "Idempotency-Key: got one of levee-rounds-1, want a key" in other.json()["detail"]
    assert fresh.get("/v1/runs/levee-rounds-1").json()["budget"]["designs"] == 1000


def test_a_study_file_alone_may_be_sent_as_yaml(fresh: TestClient) -> None:
    text = STUDY.text.encode()
    kind = {"Content-Type": "application/yaml; charset=utf-8"}
    answer = fresh.post("/v1/runs", content=text, headers=kind)
    assert answer.status_code == 422  # it names a recording, which did not come with it
    (error,) = answer.json()["errors"]
    assert error["pointer"] == "/gaits/brisk/stride"
    answer = fresh.post("/v1/runs", content=b"\xff\xfe", headers=kind)
    assert (answer.status_code, "no UTF-8" in answer.json()["detail"]) == (422, True)


@pytest.mark.parametrize(
    ("change", "pointer", "detail"),
    [
        ({"designs": 0}, "/designs", "designs: Input should be greater than or equal to 1"),
        ({"desgns": 5}, "/desgns", "desgns: Extra inputs are not permitted"),
        ({"study": None}, "/study", "study: Input should be a valid string"),
        ({"priority": 0}, "/priority", "priority: Input should be greater than 0"),
        ({"seed": -1}, "/seed", "seed: Input should be greater"),
        ({"reuse": "toy\0"}, "/reuse", "reuse: String should match pattern"),
        ({"time": "3 kg"}, None, "time: got '3 kg', which is a mass"),
        ({"time": "0 s"}, None, "time: got '0 s', want a time above zero"),
    ],
)
def test_a_body_that_cannot_be_used_is_refused(
    fresh: TestClient, change: dict[str, object], pointer: str | None, detail: str
) -> None:
    answer = fresh.post("/v1/runs", json=BODY | change)
    assert answer.status_code == 422
    (error,) = answer.json()["errors"]
    assert error["pointer"] == pointer
    assert error["detail"].startswith(detail)
    assert fresh.get("/v1/runs").json()["items"] == []


def test_no_json_is_refused(fresh: TestClient) -> None:
    answer = fresh.post("/v1/runs", content=b"{", headers={"Content-Type": "application/json"})
    assert answer.status_code == 422
    assert "Invalid JSON" in answer.json()["detail"]


def test_a_run_is_stopped_and_gone_on_with(fresh: TestClient) -> None:
    run = "/v1/runs/" + fresh.post("/v1/runs", json=BODY).json()["id"]
    assert fresh.post(f"{run}/stop").json()["state"] == "stopped"
    answer = fresh.post(f"{run}/resume")
    assert answer.status_code == 202
    told = answer.json()
    assert told["state"] == "running"
    assert told["budget"]["designs"] == 1000
    told = fresh.post(f"{run}/resume", json={"time": "2 min", "to_the_end": True}).json()
    assert told["budget"] == {"seconds": 120.0, "designs": None, "early": False}
    refused = fresh.post(f"{run}/resume", json={"time": "soon"})
    assert refused.status_code == 422


def test_a_finished_run_goes_on_only_with_more_to_spend(client: TestClient) -> None:
    told = client.post("/v1/runs/toy-1/resume").json()
    assert (told["state"], told["designs"]) == ("finished", 128)


def test_how_a_run_stands_is_told_in_words_and_numbers(client: TestClient) -> None:
    told = client.get("/v1/runs/toy-1").json()
    assert (told["state"], told["designs"], told["epochs"]) == ("finished", 128, 1)
    assert told["feasible_share"] == told["feasible"] / 128
    assert told["tightest_limit"] == max(told["missed"], key=told["missed"].get)
    assert f"{told['feasible']} of 128 designs tried meet every limit" in told["sentence"]
    (step,) = told["growth_by_epoch"]
    assert (step["epoch"], step["tried"], step["growth"]) == (0, 128, 1.0)
    assert step["hypervolume"] == told["hypervolume"]
    assert sorted(step["missed"]) == sorted(told["missed"].values())


def test_the_study_of_a_run_comes_back(client: TestClient) -> None:
    told = client.get("/v1/runs/toy-1/study").json()
    assert (told["study"], told["files"], told["study_sha256"]) == ("toy", {}, ToyStudy().digest)
    heat, speed = told["limits"]
    assert (heat["name"], heat["bound"], heat["at_most"]) == ("heat", 80.0, True)
    assert speed["shown"] == "at least 1 m/s"
    assert [one["shown"] for one in told["variables"]][-1] == "no, yes"
    assert told["objectives"][0] == {
        "name": "range",
        "unit": "m",
        "highest": True,
        "shown_in": "km",
    }


def test_runs_are_listed_in_pages_and_none_twice(tmp_path_factory: Any) -> None:
    url = f"sqlite:///{tmp_path_factory.mktemp('many')}/runs.db"
    database = Database(url)
    for count in range(5):
        runs.start_or_resume(
            database, ToyStudy(f"pause 0.{count}"), plan=SMALL, budget=Budget(None, 128)
        )
    with opened(url) as client:
        listed: list[str] = []
        link = "/v1/runs?limit=2"
        while link:
            answer = client.get(link)
            if not listed:  # what is started between two pages does not move the others
                runs.start_or_resume(database, ToyStudy(), plan=SMALL, budget=Budget(None, 128))
            listed += [run["id"] for run in answer.json()["items"]]
            link = answer.links.get("next", {}).get("url", "")
        assert listed == ["toy-5", "toy-4", "toy-3", "toy-2", "toy-1"]
        refused = client.get("/v1/runs", params={"cursor": "toy-9"})
        assert refused.status_code == 404
        assert "cursor: got 'toy-9'" in refused.json()["detail"]
    database.close()


def test_a_list_tells_what_one_run_does(client: TestClient) -> None:
    (listed,) = client.get("/v1/runs").json()["items"]
    told = client.get("/v1/runs/toy-1").json()
    for name in set(listed) & set(told):
        assert listed[name] == told[name], name
    assert listed["designs"] == 128


def test_what_has_ended_is_sent_once(client: TestClient) -> None:
    for path in ("study", "front", "designs?format=csv", "designs/3"):
        first = client.get(f"/v1/runs/toy-1/{path}")
        assert first.headers["cache-control"] == "private, no-cache"
        tag = first.headers["etag"]
        again = client.get(f"/v1/runs/toy-1/{path}", headers={"If-None-Match": f'"x", {tag}'})
        assert (again.status_code, again.content, again.headers["etag"]) == (304, b"", tag)
        assert again.headers["cache-control"] == "private, no-cache"


def test_what_may_change_is_not_kept(fresh: TestClient) -> None:
    fresh.post("/v1/runs", json=BODY)
    answer = fresh.get("/v1/runs/levee-rounds-1/front")
    assert answer.json()["rows"] == []
    assert answer.headers["cache-control"] == "no-store"
    assert "etag" not in answer.headers
