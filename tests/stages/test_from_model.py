"""A robot taken from a model file is the robot that the study describes by hand."""

import re

import numpy as np
import pytest

from tests.oracles.urdf_robot import Writing, urdf
from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.errors import ChainError, StudyError
from tradeopt.physics.inertia import box_parameters
from tradeopt.physics.walking.frame import Frame
from tradeopt.services.evaluate import changed
from tradeopt.study.compiled import Evaluation
from tradeopt.study.read import load, loads
from tradeopt.study.study import Study

EXAMPLE = load("levee_rounds")
FRAME = Frame(0.40, 0.40, 0.09, 0.18, 0.24, 0.10, 0.075)
JOINTS = ", ".join(f"{joint}: left_{joint}" for joint in q.JOINTS)
MODEL = f"  model: {{kind: urdf, file: walker.urdf, joints: {{{JOINTS}}}}}\n"
FOOT = "foot: {length: 240 mm, width: 100 mm, heel: 75 mm}"
SOLES = f"  frame: {{kind: from_model, ankle_height: 90 mm, {FOOT}}}\n"
BODIES = {
    "torso": "maturity: minor_change, width: 320 mm",
    "hip_yaw": "maturity: new, width: 90 mm",
    "hip_roll": "maturity: new, width: 110 mm",
    "thigh": "maturity: minor_change, width: 70 mm",
    "shank": "maturity: minor_change, width: 60 mm",
    "ankle": "maturity: new, width: 60 mm",
    "foot": "maturity: minor_change, width: 100 mm",
}
"""What the file does not say of the example's bodies."""

GROWTH = np.array([0.1, 0.2, 0.2, 0.1, 0.1, 0.2, 0.1])
"""What the example allows each of them by its maturity."""


def baseline(study: Study) -> Evaluation:
    return study.problem.evaluate(study.problem.baseline[None])


def bodies_by_hand() -> Array:
    """Bodies of the example without growth, from its own text."""
    bodies: Array = baseline(EXAMPLE).values["structure_inertia"][0]
    return bodies


def robot_file(extra: Array | None = None, writing: Writing | None = None) -> str:
    bodies = bodies_by_hand() + (0.0 if extra is None else extra)
    return urdf(writing, frame=FRAME, inertia=bodies)


def with_model(body: str = "{kind: from_model, %s}", stops: str = "") -> str:
    """Return the example with frame and bodies taken from a model file."""
    bodies = "".join(f"    {name}: {body % said}\n" for name, said in BODIES.items())
    start, end = EXAMPLE.text.index("  frame:"), EXAMPLE.text.index("  drives:")
    text = EXAMPLE.text[:start] + MODEL + SOLES + f"  bodies:\n{bodies}\n" + EXAMPLE.text[end:]
    # the walls of its tubes are part of the file now
    text = re.sub(r"\n  robot\.bodies\..*", "", text)
    return re.sub(r"(\n    knee:\n)", rf"\1{stops}", text) if stops else text


def study_of(text: str, content: str) -> Study:
    return loads(text, dict(EXAMPLE.files) | {"walker.urdf": content})


def test_the_example_read_from_a_model_file_is_the_example() -> None:
    """Twin: bodies and frame by hand, and written as URDF and read; masses and loads agree."""
    by_hand = baseline(EXAMPLE).values
    writing = Writing(split=0.3, turned=("knee",), reversed=("knee",), along={"hip_yaw": 0.05})
    modelled = baseline(study_of(with_model(), robot_file(writing=writing))).values
    sizes = ("body_length", "hip_spacing", "body_width", "hip_width", "knee_gap")
    for name in (*sizes, "structure_mass", "structure_growth", "inertia", "total_mass"):
        np.testing.assert_allclose(modelled[name], by_hand[name], atol=1e-9, err_msg=name)
    for name in ("joint_angle", "joint_torque", "reach_margin", "ground_load_margin"):
        np.testing.assert_allclose(modelled[name], by_hand[name], atol=1e-6, err_msg=name)
    steady = 0
    assert modelled["mean_power"][0, steady] == pytest.approx(by_hand["mean_power"][0, steady])


def test_what_the_study_adds_itself_is_taken_off_the_body() -> None:
    """Drives that the file counts in: the same robot again once they are taken off as points."""
    place = np.array([0.01, 0.0, 0.02])
    drives = np.zeros((7, 10))
    drives[:] = box_parameters(np.array(0.15), place, np.zeros(3))
    without = "without: {mass: 150 g, x: 10 mm, y: 0 mm, z: 20 mm}"
    body = f"{{kind: from_model_without, %s, {without}}}"
    lighter = baseline(study_of(with_model(body), robot_file(drives))).values
    heavier = baseline(study_of(with_model(), robot_file(drives))).values
    by_hand = baseline(EXAMPLE).values
    np.testing.assert_allclose(lighter["inertia"], by_hand["inertia"], atol=1e-9)
    # torso once and six bodies of each leg, with their growth
    added = 0.15 * (1.0 + GROWTH[0] + 2 * (1.0 + GROWTH[1:]).sum())
    assert heavier["total_mass"][0] - by_hand["total_mass"][0] == pytest.approx(added)


def test_more_mass_taken_off_than_a_body_has_is_no_feasible_design() -> None:
    without = "without: {mass: %s, x: 0 mm, y: 0 mm, z: 0 mm}"
    body = f"{{kind: from_model_without, %s, {without % '0 kg'}}}"
    # the torso of 21 kg is the first of them
    text = with_model(body).replace(without % "0 kg", without % "25 kg", 1)
    study = study_of(text, robot_file())
    assert np.isnan(baseline(study).values["total_mass"]).all()
    assert not study.problem.score(study.problem.baseline[None]).feasible[0]


@pytest.mark.parametrize(
    ("stops", "lower", "upper"),
    [
        ("      stops: from_model\n", -2.2, -0.05),
        ("      stops: {kind: fixed, lower: -70 deg, upper: 5 deg}\n", *np.radians([-70.0, 5.0])),
    ],
)
def test_end_stops_are_a_margin(stops: str, lower: float, upper: float) -> None:
    values = baseline(study_of(with_model(stops=stops), robot_file())).values
    knee = q.JOINTS.index("knee")
    angle = values["joint_angle"][0, knee]
    left = min(angle.min() - lower, upper - angle.max()) / ((upper - lower) / 2)
    margin = values["joint_range_margin"][0]
    assert margin[knee] == pytest.approx(left)
    assert (np.delete(margin, knee) == 1.0).all()


def test_an_end_stop_that_is_passed_makes_a_design_infeasible() -> None:
    text = EXAMPLE.text.replace(
        "    knee:\n", "    knee:\n      stops: {kind: fixed, lower: -20 deg, upper: 5 deg}\n"
    )
    study = loads(text, EXAMPLE.files)
    assert baseline(study).values["joint_range_margin"][0, q.JOINTS.index("knee")] < 0.0
    assert not study.problem.score(study.problem.baseline[None]).feasible[0]


def test_a_joint_that_turns_for_ever_has_all_of_its_range_left() -> None:
    endless = robot_file()
    for side in ("left", "right"):
        endless = endless.replace(
            f'{side}_knee" type="revolute"', f'{side}_knee" type="continuous"'
        )
    values = baseline(study_of(with_model(stops="      stops: from_model\n"), endless)).values
    assert values["joint_range_margin"][0, q.JOINTS.index("knee")] == 1.0


def test_bodies_of_a_model_that_is_not_there_are_told_before_anything_runs() -> None:
    text = with_model().replace(MODEL, "")
    with pytest.raises(ChainError, match=r"body size \(from_model\) needs model_inertia"):
        study_of(text, robot_file())


def test_problems_of_the_model_come_with_those_of_the_study() -> None:
    text = with_model().replace("knee: left_knee", "knee: left_kne").replace("28 degC", "28 kg")
    with pytest.raises(StudyError, match="left_kne") as caught:
        study_of(text, robot_file())
    assert {one.where for one in caught.value.problems} == {
        "surroundings.ambient",
        "robot.model.joints.knee",
    }


@pytest.mark.parametrize(
    ("good", "bad", "place", "want"),
    [
        ("left_knee", "7", "joints.knee", "what the file calls the left knee"),
        ("walker.urdf", "7", "file", "the name of a URDF file beside the study file"),
        ("walker.urdf", "walkr.urdf", "file", "a file that was given: .*, walker.urdf"),
    ],
)
def test_what_is_no_name_of_a_file_or_in_it_is_refused(
    good: str, bad: str, place: str, want: str
) -> None:
    text = with_model().replace(f": {good}", f": {bad}")
    with pytest.raises(StudyError, match=rf"robot\.model\.{place}: got .*, want {want}"):
        study_of(text, robot_file())


def test_a_model_of_many_megabytes_is_not_read() -> None:
    with pytest.raises(StudyError, match="want a robot in URDF of at most 2000000"):
        study_of(with_model(), "<" * 2_000_001)


def test_another_name_in_the_file_can_be_said_but_no_other_file() -> None:
    study = study_of(with_model(), robot_file())
    with pytest.raises(StudyError, match=r"'left_kne', which is no turning joint of walker\.urdf"):
        changed(study, {"robot.model.joints.knee": "left_kne"})
    with pytest.raises(StudyError, match=r"robot\.model\.file: got a path that no value has"):
        changed(study, {"robot.model.file": "other.urdf"})


def test_the_file_belongs_to_the_study() -> None:
    one, two = (
        study_of(with_model(), robot_file(writing=way)) for way in (None, Writing(split=0.1))
    )
    assert set(one.files) == {"levee_brisk.csv", "walker.urdf"}
    assert one.digest != two.digest


def test_a_variable_on_what_is_only_read_once_is_refused() -> None:
    for path in ("robot.model.file", "robot.model.joints.knee"):
        text = with_model().replace("variables:", f"variables:\n  {path}: {{choices: [a, b]}}", 1)
        with pytest.raises(StudyError, match=f"variables.{path}"):
            study_of(text, robot_file())
