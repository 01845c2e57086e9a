"""A knee behind a linkage: what it gives, and that a bad one only has negative margins."""

import numpy as np
import pytest

from tests.stages.drivetrains import (
    CONSTANT,
    FOUR_BAR,
    KNEE,
    TABLE,
    at_knee,
    with_knee,
    with_knee_source,
)
from tests.stages.studies import EXAMPLE
from tradeopt import quantities as q
from tradeopt.study.read import loads

MARGINS = (
    "transmission_reach_margin",
    "transmission_angle_margin",
    "transmission_room_margin",
    "transmission_range_margin",
    "transmission_torque_margin",
)
PARALLELOGRAM = (
    FOUR_BAR.replace("input: 58", "input: 47")
    .replace("ground: 218", "ground: 235")
    .replace(
        "output_angle: 146 deg, input_side: behind", "output_angle: 120 deg, input_side: ahead"
    )
)


def test_a_parallelogram_is_a_constant_ratio() -> None:
    """Two kinds agree: cranks of one length, coupler and ground of one length, pass every turn."""
    # links of 0.8 kg/m and pivots of 0.2 kg
    as_heavy = CONSTANT.replace("base_mass: 0.5", f"base_mass: {0.5 + 0.8 * 0.329 + 0.2}")
    linkage, constant = (at_knee(one).values for one in (PARALLELOGRAM, as_heavy))
    for name in ("motor_torque", "motor_speed", "transmission_loss", "reflected_inertia", "range"):
        np.testing.assert_allclose(
            linkage[name], constant[name], rtol=1e-9, atol=1e-9, err_msg=name
        )


def test_ratio_in_stance_and_in_swing() -> None:
    values = at_knee(FOUR_BAR).values
    steady, brisk, standing = range(3)
    ratio, load = 25.0 * ratios(values["joint_angle"][0, KNEE]), values["foot_load"][0]
    stance, swing = values["stance_ratio"][0, KNEE], values["swing_ratio"][0, KNEE]
    carries = load[steady] > 0.05 * load[steady].max()
    assert stance[steady] == pytest.approx(ratio[steady, carries].mean(), rel=1e-6)
    assert swing[steady] == pytest.approx(ratio[steady, ~carries].mean(), rel=1e-6)
    assert stance[standing] == pytest.approx(ratio[standing].mean(), rel=1e-6)
    # a standing foot never leaves the ground, a recording of torques does not tell
    assert np.isnan([swing[standing], stance[brisk], swing[brisk]]).all()
    # nearly straight the knee is geared higher than bent
    assert stance[standing] > 1.2 * swing[steady]


def test_a_sound_linkage_keeps_its_margins_and_its_neighbours_their_ratio() -> None:
    values = at_knee(FOUR_BAR).values
    np.testing.assert_array_less(0.0, [values[name][0, KNEE] for name in MARGINS])
    hip = q.JOINTS.index("hip_pitch")
    np.testing.assert_allclose(values["stance_ratio"][0, hip], 26.0)


def test_motor_turns_as_far_as_the_input_link() -> None:
    """Speed summed up over half a stride is the turn of the linkage between both angles."""
    values = at_knee(FOUR_BAR).values
    angle, speed = values["joint_angle"][0, KNEE, 0], values["motor_speed"][0, KNEE, 0]
    step = values["stride_time"][0, 0] / q.PHASES
    turned = step * np.cumsum((speed[:-1] + speed[1:]) / 2.0)
    turns = [25.0 * input_angle(one) for one in angle]
    np.testing.assert_allclose(turned, np.array(turns[1:]) - turns[0], atol=0.1)


def input_angle(angle: float) -> float:
    """By the law of cosines, one triangle at a time."""
    a, b, c, d = 0.058, 0.235, 0.047, 0.218
    output = np.radians(146.0) + angle
    diagonal = np.sqrt(c**2 + d**2 + 2 * c * d * np.cos(output))
    lift = np.arctan2(c * np.sin(output), d + c * np.cos(output))
    return float(lift - np.arccos((a**2 + diagonal**2 - b**2) / (2 * a * diagonal)))


def ratios(angles: np.ndarray) -> np.ndarray:
    """Size of the turn of the input link per turn of the joint, by finite differences."""
    turned = np.vectorize(input_angle)
    step = 1e-6
    return np.asarray(np.abs(turned(angles + step) - turned(angles - step)) / (2 * step))


def test_loads_of_gear_and_coupler() -> None:
    """Gear and coupler pass the joint's torque; the worse one makes the margin."""
    values = at_knee(FOUR_BAR).values
    torque, angle = (values[name][0, KNEE] for name in ("drive_torque", "joint_angle"))
    in_gear = (np.abs(torque) / ratios(angle)).max() / 180.0
    output, motor = np.radians(146.0) + angle, np.vectorize(input_angle)(angle)
    coupler = np.arctan2(
        0.047 * np.sin(output) - 0.058 * np.sin(motor),
        0.218 + 0.047 * np.cos(output) - 0.058 * np.cos(motor),
    )
    in_coupler = np.abs(torque / (0.047 * np.sin(output - coupler))).max() / 6000.0
    margin = values["transmission_torque_margin"][0, KNEE]
    assert margin == pytest.approx(1.0 - max(in_gear, in_coupler), abs=1e-5)


def test_reflected_inertia_and_backdriving_are_those_of_the_largest_ratio() -> None:
    values = at_knee(FOUR_BAR).values
    largest = 25.0 * ratios(values["joint_angle"][0, KNEE]).max()
    rotor = values["rotor_inertia"][0, KNEE] + 1e-5
    assert values["reflected_inertia"][0, KNEE] == pytest.approx(rotor * largest**2, rel=1e-6)
    backward = 2.0 - 1.0 / (0.92 * 0.98)
    expected = 0.03 * largest / backward
    assert values["backdriving_torque"][0, KNEE] == pytest.approx(expected, rel=1e-6)


def test_wind_up_is_torque_by_stiffness() -> None:
    values = at_knee(CONSTANT).values
    peak = np.abs(values["drive_torque"][0, KNEE]).max()
    assert values["wind_up"][0, KNEE] == pytest.approx(peak / 12e3)


@pytest.mark.parametrize(
    ("before", "after", "broken"),
    [
        ("coupler: 235", "coupler: 80", "transmission_reach_margin"),
        ("coupler: 235", "coupler: 900", "transmission_reach_margin"),
        ("output_angle: 146", "output_angle: 20", "transmission_angle_margin"),
        ("output_angle: 146", "output_angle: 210", "transmission_angle_margin"),
        ("across: 150", "across: 60", "transmission_room_margin"),
        ("along: 320", "along: 200", "transmission_room_margin"),
        ("lowest_angle: -75", "lowest_angle: -60", "transmission_range_margin"),
        ("highest_angle: 0", "highest_angle: -20", "transmission_range_margin"),
        ("highest_angle: 0", "highest_angle: -80", "transmission_range_margin"),
        ("gear_torque: 180", "gear_torque: 60", "transmission_torque_margin"),
        ("coupler_force: 6", "coupler_force: 1", "transmission_torque_margin"),
    ],
)
def test_a_bad_linkage_has_a_negative_margin_and_finite_numbers(
    before: str, after: str, broken: str
) -> None:
    assert before in FOUR_BAR
    text = FOUR_BAR.replace(before, after)
    problem = with_knee(text)
    values = at_knee(text).values
    assert values[broken][0, KNEE] < 0.0 < at_knee(FOUR_BAR).values[broken][0, KNEE]
    assert np.isfinite(values["motor_torque"]).all()
    scores = problem.score(problem.baseline[None])
    assert not scores.feasible[0]
    assert np.isfinite(scores.violations).all()


def test_a_table_of_a_linkage_is_that_linkage() -> None:
    """Two kinds agree: the ratio drawn every degree, and the links themselves."""
    degrees = np.arange(-76.0, 1.0)
    rows = zip(degrees, -25.0 * ratios(np.radians(degrees)), strict=True)
    csv = "joint_angle [deg],ratio [1]\n" + "\n".join(f"{at},{one:.9f}" for at, one in rows)
    study = loads(with_knee_source(TABLE), {**EXAMPLE.files, "knee_ratio.csv": csv})
    found = study.problem.evaluate(study.problem.baseline[None]).values
    links = at_knee(FOUR_BAR).values
    for name in ("motor_torque", "motor_speed", "transmission_loss", "stance_ratio"):
        one, other = found[name][0, KNEE], links[name][0, KNEE]
        scale = np.nanmax(np.abs(other))
        np.testing.assert_allclose(one, other, atol=2e-3 * scale, err_msg=name)
    # the first and last angle are the ends of its range
    angle = np.degrees(found["joint_angle"][0, KNEE])
    left = min(angle.min() + 76.0, -angle.max()) / 76.0
    assert found["transmission_range_margin"][0, KNEE] == pytest.approx(left)
