"""What people are told: who works on what, and why a run does not come along."""

import json
import logging
from pathlib import Path

import pytest

from tests.cli.conftest import Command, home, tradeopt
from tests.services.toy import SMALL, ToyStudy
from tests.services.workers import worker
from tradeopt.services import logs, runs
from tradeopt.services.sight import seen_workers, waits_for
from tradeopt.services.views import run_view
from tradeopt.store import claims
from tradeopt.store import runs as store
from tradeopt.store.claims import Place
from tradeopt.store.database import Database
from tradeopt.store.runs import Budget, Run

__all__ = ["home", "tradeopt"]


def start(database: Database, name: str = "toy") -> Run:
    return runs.start_or_resume(
        database, ToyStudy(name=name), plan=SMALL, budget=Budget(None, 256)
    )


def test_a_run_says_that_no_worker_is_there(database: Database) -> None:
    run = start(database)
    assert waits_for(database, run) == "waiting for a worker: none is there"
    assert run_view(database, run.id)["waiting"] == "waiting for a worker: none is there"


def test_a_run_says_how_long_no_worker_has_been_seen(
    database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    run = start(database)
    with worker(database):
        assert waits_for(database, run) == ""
        monkeypatch.setattr("tradeopt.services.sight._age", lambda _moment: 40.2)
        assert waits_for(database, run) == "waiting for a worker: none has been seen for 40 s"


def test_a_run_says_that_it_waits_its_turn(database: Database) -> None:
    first, second = start(database), start(database, "other")
    with worker(database) as one:
        claim = claims.take(database, Place(first.id, 0, 0), one.name)
        assert claim is not None
        assert waits_for(database, first) == ""
        words = "waiting its turn: every worker is busy with other runs"
        assert waits_for(database, second) == words
        (seen,) = seen_workers(database)
        assert (seen.name, seen.in_hand, seen.lives) == (one.name, "toy-1 0/0", True)


def test_a_run_that_has_ended_waits_for_nothing(database: Database) -> None:
    run = start(database)
    runs.stop(database, run.id)
    assert waits_for(database, store.get(database, run.id)) == ""


def test_status_shows_runs_and_workers(home: Path, tradeopt: Command) -> None:
    database = Database(f"sqlite:///{home}/tradeopt.db")
    run = start(database)
    assert "none is there" in tradeopt("status").stdout
    with worker(database) as one:
        claims.take(database, Place(run.id, 0, 0), one.name)
        text = tradeopt("status").stdout
        told = json.loads(tradeopt("status", "--json").stdout)
    database.close()
    assert "worked on" in text
    assert one.name in text
    assert told["runs"][0]["run"] == run.id
    assert told["workers"][0]["in_hand"] == "toy-1 0/0"


def test_status_of_a_quiet_database(home: Path, tradeopt: Command) -> None:
    Database(f"sqlite:///{home}/tradeopt.db").close()
    assert tradeopt("status").stdout == "no run is under way\nno worker has been seen\n"


def test_logs_are_lines_of_json_with_the_step(capsys: pytest.CaptureFixture[str]) -> None:
    before = logging.getLogger().handlers[:]
    logs.set_up("INFO")
    logs.log("step done", Place("toy-1", 3, 1), seconds=0.25)
    logs.log_fault("a round failed", ArithmeticError("half way"))
    logging.getLogger().handlers[:] = before
    done, failed = (json.loads(line) for line in capsys.readouterr().err.splitlines())
    assert (done["event"], done["run"], done["epoch"], done["place"]) == (
        "step done",
        "toy-1",
        3,
        1,
    )
    assert done["seconds"] == 0.25
    assert failed["level"] == "error"
    assert failed["trace"].endswith("ArithmeticError: half way\n")
