"""Handing a run over: which designs, the same bytes twice, and runs that have little to show."""

import io
import json
import re
import zipfile
from pathlib import Path

import numpy as np
import pytest
from pptx import Presentation

from tests.services.levee import PLAN, finished
from tradeopt.errors import NotFoundError
from tradeopt.quantities import RANGE, TOTAL_MASS
from tradeopt.report.deck.slides import ORDER, deck_of
from tradeopt.report.review import Review, plain_review
from tradeopt.services import handover, runs
from tradeopt.services.lookup import FoundRun
from tradeopt.services.pictures import draw_design
from tradeopt.store.database import Database
from tradeopt.store.runs import Budget
from tradeopt.study.read import load, loads
from tradeopt.study.study import Study


def edited(old: str, new: str) -> Study:
    study = load("levee_rounds")
    assert old in study.text
    return loads(study.text.replace(old, new), study.files, file=study.name)


def titles(deck: bytes) -> list[str]:
    slides = Presentation(io.BytesIO(deck)).slides
    return [slide.shapes.title.text_frame.text for slide in slides]


def test_picks_are_the_knee_and_the_ends_of_the_front(told: Review) -> None:
    objectives = told.front.designs.objectives
    numbers = told.front.designs.numbers
    roles = {one.role: one.number for one in told.picks}
    farthest, lightest = numbers[objectives[:, 0].argmax()], numbers[objectives[:, 1].argmin()]
    span = objectives.max(axis=0) - objectives.min(axis=0)
    worth = (objectives[:, 0] / span[0]) - (objectives[:, 1] / span[1])
    ends = {farthest: "most range", lightest: "least total mass"}
    for number, role in ends.items():
        assert any(name.endswith(role) and roles[name] == number for name in roles)
    assert told.chosen.number == numbers[worth.argmax()]
    assert told.chosen.role.startswith("knee of the front")


def test_candidates_are_evaluated_again_from_what_is_stored(told: Review) -> None:
    for one in told.picks:
        row = int(np.flatnonzero(told.front.designs.numbers == one.number)[0])
        kept = told.front.designs.objectives[row]
        assert [cell.value for cell in one.objectives] == pytest.approx(kept, rel=1e-9)
    assert float(told.baseline.view.of(RANGE)) == pytest.approx(
        told.baseline.objectives[0].value, rel=1e-12
    )


def test_picks_by_hand_come_in_their_order(
    levee: FoundRun, told: Review, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(handover, "insights_of", lambda _subject, _seed: told.insights)
    numbers = levee.front().designs.numbers[[2, 0]].tolist()
    chosen = handover.review(levee, numbers)
    assert [one.number for one in chosen.picks] == numbers
    assert chosen.chosen.role == "recommended by hand"


def test_too_many_picks_are_refused(levee: FoundRun) -> None:
    with pytest.raises(NotFoundError, match="got 7 designs, want 6 or fewer"):
        handover.review(levee, range(1, 8))


def test_a_pick_that_is_not_there_is_refused(levee: FoundRun) -> None:
    with pytest.raises(NotFoundError, match="987654321"):
        handover.deck(levee.database, levee.run.id, [987654321])


def test_a_run_that_tried_nothing_has_no_deck(database: Database) -> None:
    run = runs.start_or_resume(database, load("levee_rounds"), plan=PLAN, budget=Budget(None, 1))
    with pytest.raises(NotFoundError, match="has tried no design yet"):
        handover.deck(database, run.id)


def test_a_run_in_which_nothing_meets_the_limits_says_so(database: Database) -> None:
    found = finished(database, edited('total_mass: "<= 95 kg"', 'total_mass: "<= 30 kg"'))
    made = handover.deck(database, found.run.id)
    assert len(titles(made)) == len(ORDER)
    assert titles(made)[0] == "No design meets every limit yet"
    page = handover.report_page(database, found.run.id)
    assert "Decision asked: which limits to relax." in page
    assert "would meet every limit if relaxed" in page


def test_a_study_with_one_objective_has_a_deck(database: Database) -> None:
    found = finished(database, edited("  total_mass: lowest\n", ""))
    assert len(titles(handover.deck(database, found.run.id))) == len(ORDER)


def test_the_deck_is_the_same_when_it_is_made_again(levee: FoundRun, told: Review) -> None:
    """The review was gathered, and is gathered again: searches and draws included."""
    assert handover.deck(levee.database, levee.run.id) == deck_of(told)


def test_a_deck_says_when_its_run_was_started_and_not_when_it_was_made(
    levee: FoundRun, told: Review
) -> None:
    with zipfile.ZipFile(io.BytesIO(deck_of(told))) as archive:
        assert {member.date_time for member in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        core = archive.read("docProps/core.xml").decode()
        books = [archive.read(name) for name in archive.namelist() if name.endswith(".xlsx")]
    started = levee.run.created[:19] + "Z"
    assert set(re.findall(r"\d{4}-\d\d-\d\dT[\d:]+Z", core)) == {started}
    assert books
    for book in books:
        with zipfile.ZipFile(io.BytesIO(book)) as workbook:
            inner = workbook.read("docProps/core.xml").decode()
            assert set(re.findall(r"\d{4}-\d\d-\d\dT[\d:]+Z", inner)) == {started}


def test_a_design_is_drawn_into_a_folder(levee: FoundRun, tmp_path: Path) -> None:
    number = int(levee.front().designs.numbers[0])
    paths = draw_design(levee, number, tmp_path / "pictures")
    assert [path.name for path in paths] == [
        f"design_{number}_{name}.png" for name in ("torque_speed", "ratio", "temperatures")
    ]
    assert all(path.read_bytes().startswith(b"\x89PNG") for path in paths)


def test_the_statement_of_masses_adds_up_to_the_objective(told: Review) -> None:
    whole = told.chosen.sheet.section("mass").row("whole robot")["predicted"]
    place = [one.name for one in told.front.outline.objectives].index(TOTAL_MASS.name)
    assert str(whole) == str(told.chosen.objectives[place])


def test_a_review_can_be_told_as_json(told: Review) -> None:
    data = json.loads(json.dumps(plain_review(told), allow_nan=False))
    assert data["recommended"] == told.chosen.number
    assert [one["design"] for one in data["designs"]] == [one.number for one in told.candidates]
    mass = data["designs"][1]["objectives"]["total_mass"]
    assert mass["unit"] == "kg"
    assert mass["value"] == pytest.approx(float(told.chosen.view.of(TOTAL_MASS)), rel=1e-12)
    assert {one["limit"] for one in data["requirements"]} == {
        one.name.replace("_", " ") for one in told.front.outline.limits
    }
