"""A study with some of its values said otherwise."""

import json

import numpy as np
import pytest

from tradeopt.errors import StudyError
from tradeopt.report.sheet import evaluate_design
from tradeopt.services.evaluate import changed
from tradeopt.study.read import load
from tradeopt.study.study import Study

CELLS = "robot.battery.parallel"
KNEE = "robot.drives.knee"


@pytest.fixture(scope="module")
def study() -> Study:
    return load("levee_rounds")


def test_without_changes_it_is_the_study_and_its_baseline(study: Study) -> None:
    made, design = changed(study, {})
    assert made is study
    assert design.tolist() == study.problem.baseline.tolist()


def test_a_variable_makes_another_design_of_the_same_study(study: Study) -> None:
    made, design = changed(study, {CELLS: "14"})
    assert made is study
    differs = [
        one.path
        for one, was, now in zip(
            study.problem.variables, study.problem.baseline, design, strict=True
        )
        if was != now
    ]
    assert differs == [CELLS]


def test_any_other_value_makes_another_study_with_its_own_balance(study: Study) -> None:
    made, design = changed(study, {"robot.bodies.torso.mass": "30 kg"})
    assert made.digest != study.digest
    assert made.problem.values["robot.bodies.torso.mass"] == 30.0
    # the gaits are balanced for the masses of the study that results
    values = evaluate_design(made, design).values
    assert np.array_equal(values["reference_inertia"], values["inertia"])


def test_the_study_itself_stays_as_it_was(study: Study) -> None:
    text, baseline = study.text, study.problem.baseline.copy()
    changed(study, {CELLS: "14", "robot.bodies.torso.mass": "30 kg"})
    assert study.text == text
    assert np.array_equal(study.problem.baseline, baseline)


def test_saying_what_the_file_says_changes_no_number(study: Study) -> None:
    said = f"{1000.0 * float(study.problem.values['robot.frame.thigh']):g} mm"
    made, design = changed(study, {"robot.frame.thigh": said})
    before = evaluate_design(study, study.problem.baseline).values
    after = evaluate_design(made, design).values
    for name in ("range", "total_mass", "winding_temperature"):
        assert np.array_equal(before[name], after[name])


@pytest.mark.parametrize(
    "path", ["robot.drives.hip_yaw.spring", "robot.drives.hip_yaw.spring.kind"]
)
def test_a_kind_that_needs_more_names_what_is_missing(study: Study, path: str) -> None:
    with pytest.raises(StudyError, match=r"hip_yaw\.spring\.stiffness: got nothing"):
        changed(study, {path: "two_way"})


def test_a_kind_that_needs_less_leaves_the_rest_behind(study: Study) -> None:
    spring = {
        "kind": "two_way",
        "stiffness": "30 N*m/rad",
        "rest_angle": "0 deg",
        "travel": "90 deg",
        "energy_per_volume": "1.5 MJ/m^3",
        "density": "7850 kg/m^3",
        "mount_factor": "1.6",
        "maturity": "new",
    }
    place = "robot.drives.hip_yaw.spring"
    sprung, _ = changed(study, {f"{place}.{name}": value for name, value in spring.items()})
    assert sprung.problem.values[f"{place}.stiffness"] == 30.0
    bare, _ = changed(sprung, {place: "none"})
    assert f"{place}.stiffness" not in bare.problem.values
    assert json.loads(bare.text)["robot"]["drives"]["hip_yaw"]["spring"] == {"kind": "none"}


def test_a_limit_moves_or_is_added(study: Study) -> None:
    made, _ = changed(
        study,
        {"limits.endurance": ">= 5 h", "limits.winding_temperature.knee": "<= 60 degC"},
    )
    limits = {one.name: one for one in made.problem.limits}
    assert limits["endurance"].value == 5 * 3600.0
    assert limits["winding_temperature.knee"].value == pytest.approx(333.15)


def test_all_problems_are_told_at_once_without_a_place_in_a_file(study: Study) -> None:
    with pytest.raises(StudyError) as caught:
        changed(study, {CELLS: "1.5", f"{KNEE}.motor.family": "x", "robot.frame.thigh": "6 kg"})
    problems = caught.value.problems
    assert [one.where for one in problems] == [
        CELLS,
        f"{KNEE}.motor.family",
        "robot.frame.thigh",
    ]
    assert all(one.line is None and one.file is None for one in problems)


@pytest.mark.parametrize("path", ["", "name", "robot..frame", "variables.x", "gaits.brisk.stride"])
def test_what_is_no_value_cannot_be_said_otherwise(study: Study, path: str) -> None:
    with pytest.raises(StudyError, match="got a path that no value has"):
        changed(study, {path: "3"})
