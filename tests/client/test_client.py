"""The client against a service on this machine, over real connections."""

import time
from collections.abc import Iterator
from pathlib import Path
from threading import Thread

import numpy as np
import pytest

import tradeopt
from tests.api.served import serving
from tests.services.toy import SMALL, ToyStudy
from tests.services.workers import finish
from tradeopt.client import RunStatus
from tradeopt.errors import (
    AccessError,
    MissingError,
    NotFoundError,
    SearchError,
    ServiceError,
    StudyError,
    UnreachableError,
)
from tradeopt.report.amount import Amount
from tradeopt.report.html import sheet_html
from tradeopt.report.terminal import Look, sheet_text
from tradeopt.search.plan import SearchPlan
from tradeopt.services import runs, tokens
from tradeopt.services.lookup import find
from tradeopt.services.studies import StudyLike
from tradeopt.store.database import Database
from tradeopt.store.runs import Budget, RunState
from tradeopt.study.read import load, loads

STUDY = load("levee_rounds")
TINY = SearchPlan(seed=7, method="trials", population=4, islands=1, evaluations=8)


def start(database: Database, study: StudyLike, plan: SearchPlan = SMALL) -> str:
    budget = Budget(None, plan.epoch_size)
    return runs.start_or_resume(database, study, plan=plan, budget=budget).id


class Home:
    """A service with one finished run of the levee study and one of the toy."""

    def __init__(self, url: str, address: str) -> None:
        self.database = Database(url)
        self.client = tradeopt.Client(address, patience=5.0)
        self.levee = start(self.database, STUDY, TINY)
        finish(self.database, self.levee, loads)
        self.toy = start(self.database, ToyStudy())
        finish(self.database, self.toy)


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Home]:
    url = f"sqlite:///{tmp_path_factory.mktemp('client')}/runs.db"
    with serving(url) as address:
        made = Home(url, address)
        with made.client:
            yield made
        made.database.close()


def test_a_study_is_submitted_and_stopped(home: Home) -> None:
    run = home.client.submit(STUDY, designs=2000, seed=5)
    assert (run.state, run["seed"], run["designs_left"]) == ("running", 5, 2000)
    assert run["study_sha256"] == STUDY.digest
    again = home.client.submit("levee_rounds", designs=3000, seed=5)
    assert (again.id, again["designs_left"]) == (run.id, 3000)
    text = home.client.submit(STUDY.text, files=STUDY.files, time="1 h", seed=5)
    assert (text.id, text["seconds_left"]) == (run.id, 3600.0)
    stopped = home.client.stop(run)
    assert stopped.state == "stopped"
    resumed = home.client.resume(run, designs=1000)
    assert resumed.state == "running"
    assert home.client.runs(most=1)[0].id == run.id


def test_runs_are_listed_over_all_pages(home: Home) -> None:
    known = [run.id for run in home.client.runs()]
    assert home.toy in known
    assert home.levee in known
    assert len(set(known)) == len(known)
    assert [run.id for run in home.client.runs(most=2)] == known[:2]


def test_the_front_comes_as_a_table_with_units(home: Home) -> None:
    table = home.client.front(home.levee)
    front = find(home.database, home.levee).front()
    assert len(table) == len(front.designs) > 0
    assert list(table.index) == front.designs.numbers[front.sorted_rows()].tolist()
    reach = front.designs.objectives[front.sorted_rows(), 0]
    np.testing.assert_allclose(table["range [km]"], reach / 1000.0, rtol=1e-12)
    place = [one.path for one in STUDY.problem.variables].index("robot.battery.cell")
    choices = STUDY.problem.variables[place].choices
    cells = front.designs.values[front.sorted_rows(), place].astype(int)
    assert list(table["robot.battery.cell"]) == [choices[cell] for cell in cells]
    toys = home.client.front(home.toy)
    middle = float(toys["range [km]"].median())
    near = home.client.front(home.toy, at_least={"range": f"{middle} km"})
    assert 0 < len(near) < len(toys)
    assert len(near) == (toys["range [km]"] >= middle).sum()


def test_designs_come_within_bounds(home: Home) -> None:
    table = home.client.designs(home.toy, feasible=True, columns=["mass", "fan"])
    assert list(table.columns) == ["mass [kg]", "fan"]
    assert len(table) == home.client.status(home.toy)["feasible"]
    light = home.client.designs(home.toy, at_most={"mass": "4 kg"})
    assert 0 < len(light) < 128
    assert light["mass [kg]"].max() <= 4.0


def test_all_pages_of_designs_are_fetched(home: Home, monkeypatch: pytest.MonkeyPatch) -> None:
    whole = home.client.designs(home.toy)
    monkeypatch.setattr("tradeopt.client._PAGE", 50)
    assert home.client.designs(home.toy).equals(whole)
    assert len(whole) == 128


def test_where_no_design_meets_every_limit_there_is_a_way_out(home: Home) -> None:
    text = STUDY.text.replace('endurance: ">= 4 h"', 'endurance: ">= 400 h"')
    assert text != STUDY.text
    run_id = start(home.database, loads(text, STUDY.files), TINY)
    finish(home.database, run_id, loads)
    assert len(home.client.front(run_id)) == 0
    nearest = home.client.nearest(run_id)
    assert len(nearest) == TINY.population
    assert (nearest["left.endurance [h]"] < 0.0).all()
    way_out = nearest.attrs["way_out"]
    assert "would meet every limit if relaxed in this order: " in way_out
    assert "endurance >= " in way_out
    assert home.client.nearest(home.levee).attrs["way_out"] == ""


def test_designs_are_picked_and_reused(home: Home) -> None:
    cells = "robot.battery.parallel"
    run = home.client.submit(STUDY, designs=8, seed=9, picked=[{cells: "14"}], reuse=home.levee)
    assert f"of run {home.levee} scored again" in run["began_with"]
    started = find(home.database, run.id).run.start
    place = [one.path for one in STUDY.problem.variables].index(cells)
    assert started.origins[:3] == ("baseline", "picked", "reused")
    assert started.values[1, place] == 14.0
    with pytest.raises(StudyError, match="got a path that no variable has"):
        home.client.submit(STUDY, picked=[{"robot.battery.paralel": "14"}])
    with pytest.raises(MissingError, match="got 'levee-rounds-99'"):
        home.client.submit(STUDY, reuse="levee-rounds-99")


def test_a_sheet_shows_itself_as_on_the_spot(home: Home) -> None:
    sheet = home.client.sheet(home.levee, 0)
    expected = find(home.database, home.levee).sheet(0)
    title = f"{home.levee}, design 0"
    assert str(sheet) == sheet_text(expected, title, Look())
    assert sheet._repr_html_() == sheet_html(expected, title)
    assert sheet.feasible is expected.feasible
    assert repr(sheet) == f"<{title}: {expected.verdict}>"
    here = expected.section("mission").row("range")["value"]
    assert isinstance(here, Amount)
    (reach,) = [row for row in sheet.sections["mission"] if row["quantity"] == "range"]
    assert reach["value"]["value"] == here.value


def test_a_design_is_evaluated_there_as_here(home: Home) -> None:
    changes = {"robot.battery.parallel": "14"}
    sheet = home.client.evaluate("levee_rounds", changes)
    here = tradeopt.evaluate(STUDY, changes)
    (row,) = [one for one in sheet.sections["mission"] if one["quantity"] == "range"]
    assert row["value"]["value"] == here["range"]


def test_waiting_shows_how_a_run_comes_along(home: Home) -> None:
    run_id = start(home.database, ToyStudy("pause 0.05"))
    worker = Thread(target=finish, args=(home.database, run_id))
    worker.start()
    seen: list[RunStatus] = []
    last = home.client.wait(run_id, seen.append)
    worker.join()
    assert (last.state, last["designs"]) == ("finished", 128)
    assert (seen[0].state, seen[-1].state) == ("running", "finished")
    assert "of 128 designs tried meet every limit" in str(last)
    assert last._repr_html_().startswith(f"<p>{run_id}: ")


def test_waiting_for_a_search_that_fails_says_why(home: Home) -> None:
    run_id = start(home.database, ToyStudy("pause 0.1"))
    runs.end(home.database, run_id, RunState.FAILED, "exit code 1")
    with pytest.raises(SearchError, match="exit code 1"):
        home.client.wait(run_id, lambda _: None)


def test_events_are_numbered(home: Home) -> None:
    events = list(home.client.events(home.toy))
    assert [(event.kind, event.number) for event in events] == [
        ("epoch", 1),
        ("status", None),
        ("end", 1),
    ]
    assert [event.kind for event in home.client.events(home.toy, after=1)] == ["status", "end"]


def test_refusals_are_typed_and_carry_the_problem(home: Home) -> None:
    with pytest.raises(MissingError, match="got 'toy-77'") as missing:
        home.client.status("toy-77")
    assert isinstance(missing.value, NotFoundError)
    assert (missing.value.status, missing.value.document["title"]) == (404, "Not Found")
    with pytest.raises(NotFoundError, match="design of toy-1: got 999"):
        home.client.sheet(home.toy, 999)
    with pytest.raises(ServiceError, match="got 'rang', want the name of a column") as bad:
        home.client.front(home.toy, at_least={"rang": "1"})
    assert bad.value.document["errors"][0]["near"] == "range"


def test_a_study_that_is_not_valid_is_told_as_if_read_here(home: Home) -> None:
    text = STUDY.text.replace("stiffness: 60 N*m/rad", "stiffness: 60 kg")
    with pytest.raises(StudyError) as here:
        loads(text, STUDY.files)
    with pytest.raises(StudyError, match="got '60 kg', which is a mass") as there:
        home.client.submit(text, files=STUDY.files, designs=100)
    assert there.value.problems == here.value.problems
    assert isinstance(there.value.__cause__, ServiceError)


def test_a_token_opens(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path}/runs.db"
    with serving(url) as address:
        database = Database(url)
        token = tokens.new(database, "script")
        database.close()
        with tradeopt.Client(address, token) as client:
            assert client.runs() == []
            assert token not in repr(client)
        with (
            tradeopt.Client(address) as client,
            pytest.raises(AccessError, match="want one as a bearer token"),
        ):
            client.runs()


def test_a_service_that_is_not_there_is_given_up_in_time() -> None:
    began = time.monotonic()
    with (
        tradeopt.Client("http://127.0.0.1:9", patience=0.5) as client,
        pytest.raises(
            UnreachableError, match=r"no answer from http://127\.0\.0\.1:9 \(ConnectError"
        ),
    ):
        client.runs()
    assert time.monotonic() - began < 10.0
    with pytest.raises(UnreachableError, match=r"got '127\.0\.0\.1:9', want its address"):
        tradeopt.Client("127.0.0.1:9")
