"""Events of a run over a real connection: in order, once, and to an end."""

import json
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import httpx2
import pytest

from api import events as routes
from tests.api.served import serving
from tests.services.toy import SMALL, ToyStudy
from tests.services.workers import do_steps
from tradeopt.services import runs
from tradeopt.store.database import Database
from tradeopt.store.runs import Budget, RunState


@dataclass
class Told:
    """One event as it came over the wire."""

    kind: str
    data: dict[str, Any]
    number: int | None


def read(response: httpx2.Response) -> Iterator[Told]:
    """Read a stream by the rules of the format, apart from our client."""
    fields: dict[str, str] = {}
    for line in response.iter_lines():
        name, _, value = line.partition(": ")
        if line and name:
            fields[name] = value
        elif fields:
            number = int(fields["id"]) if "id" in fields else None
            yield Told(fields["event"], json.loads(fields["data"]), number)
            fields = {}


class Run:
    """A run of the toy that a test works on epoch by epoch."""

    def __init__(self, folder: Path) -> None:
        self.url = f"sqlite:///{folder}/runs.db"
        self.database = Database(self.url)
        study, budget = ToyStudy(), Budget(seconds=None, designs=10_000)
        self.id = runs.start_or_resume(self.database, study, plan=SMALL, budget=budget).id

    def do_epoch(self) -> None:
        do_steps(self.database, self.id, SMALL.islands + 1)  # its slices, and the close


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Run]:
    monkeypatch.setattr(routes, "PAUSE", 0.02)
    made = Run(tmp_path)
    yield made
    made.database.close()


def test_events_come_as_things_happen_and_end_with_the_run(run: Run) -> None:
    with serving(run.url) as address, httpx2.Client(base_url=address, timeout=10.0) as client:
        run.do_epoch()
        with client.stream("GET", f"/v1/runs/{run.id}/events") as response:
            assert response.headers["content-type"].startswith("text/event-stream")
            told = read(response)
            first, status = next(told), next(told)
            assert (first.kind, first.number, first.data["tried"]) == ("epoch", 1, 128)
            assert (status.kind, status.number, status.data["state"]) == (
                "status",
                None,
                "running",
            )
            run.do_epoch()
            began = time.monotonic()
            # statuses between tell the time spent
            second = next(one for one in told if one.kind != "status")
            assert (second.kind, second.number, second.data["tried"]) == ("epoch", 2, 256)
            assert time.monotonic() - began < 5.0
            runs.end(run.database, run.id, RunState.STOPPED)
            *between, status, end = told
            assert {one.kind for one in between} <= {"status"}
            assert (status.kind, status.data["state"], status.data["designs"]) == (
                "status",
                "stopped",
                256,
            )
            assert (end.kind, end.number) == ("end", 2)
            assert end.data == {"state": "stopped", "note": ""}


def test_a_watcher_that_comes_back_misses_nothing_and_hears_nothing_twice(run: Run) -> None:
    for _ in range(3):
        run.do_epoch()
    runs.end(run.database, run.id, RunState.FINISHED)
    with serving(run.url) as address, httpx2.Client(base_url=address, timeout=10.0) as client:
        for known in range(5):
            headers = {"Last-Event-ID": str(known)}
            with client.stream("GET", f"/v1/runs/{run.id}/events", headers=headers) as response:
                told = list(read(response))
            epochs = [one.number for one in told if one.kind == "epoch"]
            assert epochs == [1, 2, 3][known:]
            assert [one.kind for one in told[len(epochs) :]] == ["status", "end"]


def test_what_is_wrong_is_told_before_the_first_event(run: Run) -> None:
    with serving(run.url) as address, httpx2.Client(base_url=address) as client:
        unknown = client.get("/v1/runs/toy-9/events")
        assert (unknown.status_code, unknown.json()["status"]) == (404, 404)
        odd = client.get(f"/v1/runs/{run.id}/events", headers={"Last-Event-ID": "yesterday"})
        assert (odd.status_code, odd.json()["errors"][0]["parameter"]) == (422, "Last-Event-ID")


def test_a_watcher_that_goes_away_is_let_go(run: Run) -> None:
    """Or the server would have to cut it short in the end, which is a fault."""
    with serving(run.url) as address, httpx2.Client(base_url=address, timeout=10.0) as client:
        for _ in range(3):
            with client.stream("GET", f"/v1/runs/{run.id}/events") as response:
                next(read(response))
        assert client.get("/health").status_code == 200
