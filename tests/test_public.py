"""The face for Python: what a user of the package types."""

import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import tradeopt
from tradeopt.errors import NotFoundError, SearchError, StudyError
from tradeopt.services import pool
from tradeopt.services.pool import RunSummary
from tradeopt.store.runs import RunState
from tradeopt.study.study import Study

CELLS = "robot.battery.parallel"


@pytest.fixture(scope="module")
def study() -> Study:
    return tradeopt.load("levee_rounds")


@pytest.fixture(scope="module")
def front(study: Study) -> tradeopt.Front:
    return tradeopt.search(study, designs=2048, workers=2, seed=11)


def test_import_is_quick_and_imports_nothing_heavy() -> None:
    code = (
        "import sys, time; began = time.process_time(); import tradeopt; "
        "print(time.process_time() - began, 'numpy' in sys.modules, dir(tradeopt))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    seconds, heavy, names = done.stdout.split(maxsplit=2)
    assert float(seconds) < 0.1
    assert heavy == "False"
    for name in tradeopt.__all__:
        assert f"'{name}'" in names


def test_the_folder_of_the_same_name_does_not_hide_the_function() -> None:
    code = (
        "import tradeopt.search.front, tradeopt.services.pool, tradeopt; "
        "from tradeopt.search import designs; "
        "print(tradeopt.search.__name__, tradeopt.search.__module__, designs.__name__)"
    )
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", code], capture_output=True, text=True, check=True
    )
    assert done.stdout.split() == [
        "search",
        "tradeopt.services.notebook",
        "tradeopt.search.designs",
    ]


def test_unknown_names_are_refused() -> None:
    with pytest.raises(AttributeError, match="'tradeopt' has no attribute 'optimise'"):
        _ = tradeopt.optimise  # type: ignore[attr-defined]


def test_a_design_gives_its_quantities(study: Study) -> None:
    design = tradeopt.evaluate(study)
    mass = design["total_mass"]
    assert isinstance(mass, float)
    assert mass == study.problem.evaluate(study.problem.baseline[None]).values["total_mass"][0]
    assert np.shape(design["winding_temperature"]) == (6, 3)
    with pytest.raises(NotFoundError, match=r"got 'totl_mass'.*near: 'total_mass'"):
        design["totl_mass"]


def test_a_design_with_values_said_otherwise(study: Study) -> None:
    design = tradeopt.evaluate(study, {CELLS: "14"})
    assert design.variables[CELLS] == 14
    before = tradeopt.evaluate(study)
    strings = before.variables[CELLS]
    assert isinstance(strings, int)
    assert design["battery_mass"] == pytest.approx(before["battery_mass"] * 14 / strings)
    with pytest.raises(StudyError, match="got '14 kg', which is a mass"):
        tradeopt.evaluate(study, {CELLS: "14 kg"})


def test_margins_are_the_violations_turned_round(study: Study) -> None:
    design = tradeopt.evaluate(study)
    scores = study.problem.score(design.values[None])
    names = [limit.name for limit in study.problem.limits]
    expected = dict(zip(names, -scores.violations[0], strict=True))
    assert design.margins == expected
    assert list(design.margins.values()) == sorted(expected.values())
    assert design.feasible == bool(scores.feasible[0])


def test_a_design_shows_itself(study: Study) -> None:
    design = tradeopt.evaluate(study)
    assert repr(design).startswith("<levee-rounds: meets every limit")
    assert "Mass statement" in str(design)
    assert "<h4>Mass statement</h4>" in design._repr_html_()
    assert str(design.sheet().section("mission").row("range")["value"]) in str(design)


def test_search_finds_designs_that_score_as_they_say(front: tradeopt.Front, study: Study) -> None:
    assert len(front) > 2
    for number, design in zip(front.to_pandas().index, front, strict=True):
        assert design.number == number
        assert study.problem.score(design.values[None]).feasible[0]
    table = front.to_pandas()
    first = next(iter(front))
    assert first.number is not None
    assert table["range [km]"].iloc[0] == pytest.approx(first["range"] / 1000.0)
    assert table["range [km]"].is_monotonic_decreasing
    assert front.design(first.number)["range"] == first["range"]
    assert f"{len(front)} designs" in str(front) or len(front) <= 15
    assert "levee-rounds-1" in repr(front)
    assert "<table>" in front._repr_html_()


def test_a_number_that_is_not_on_the_front_is_refused(front: tradeopt.Front) -> None:
    with pytest.raises(NotFoundError, match="got -1, want the number of one on the front"):
        front.design(-1)


def test_a_search_in_a_folder_goes_on_there(
    study: Study, front: tradeopt.Front, tmp_path: Path
) -> None:
    first = tradeopt.search(study, designs=2048, workers=1, seed=11, folder=tmp_path)
    assert (tmp_path / "tradeopt.db").exists()
    again = tradeopt.search(study, designs=2048, workers=1, seed=11, folder=tmp_path)
    assert again.standing.tried == first.standing.tried  # that budget was spent before
    # the same seed finds the same, whoever searches and wherever it is kept
    for other in (again, front):
        assert other.to_pandas().equals(first.to_pandas())
    assert again.standing.state is RunState.FINISHED


def test_a_bare_script_can_search(tmp_path: Path) -> None:
    script = tmp_path / "script.py"
    script.write_text(
        "import tradeopt\n"
        "study = tradeopt.load('levee_rounds')\n"
        "print(len(tradeopt.search(study, designs=1, workers=2, seed=3)) > 0)\n",
        encoding="utf-8",
    )
    ended = subprocess.run(
        [sys.executable, script], capture_output=True, text=True, check=False, timeout=120
    )
    assert (ended.returncode, ended.stdout) == (0, "True\n"), ended.stderr


def test_a_search_that_fails_says_why(
    study: Study, front: tradeopt.Front, monkeypatch: pytest.MonkeyPatch
) -> None:
    def failing(*_: object, **__: object) -> RunSummary:
        standing = replace(front.standing, state=RunState.FAILED, note="exit code 1")
        return RunSummary(standing, front.view.designs)

    monkeypatch.setattr(pool, "run_local", failing)
    with pytest.raises(SearchError, match=r"search: exit code 1"):
        tradeopt.search(study, designs=1)
