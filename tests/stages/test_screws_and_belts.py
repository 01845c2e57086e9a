"""A knee pushed by a screw, and one turned by a belt."""

import math

import numpy as np
import pytest

from tests.stages.drivetrains import BELT, KNEE, SCREW_LEVER, at_knee


def knee(text: str, name: str) -> np.ndarray:
    return np.asarray(at_knee(text).values[name][0, KNEE])


def screw_length(angle: np.ndarray) -> np.ndarray:
    """Between two points of the drawing."""
    turned = np.radians(130.0) + angle
    return np.asarray(np.hypot(0.05 * np.cos(turned) - 0.25, 0.05 * np.sin(turned)))


def screw_arm(angle: np.ndarray) -> np.ndarray:
    step = 1e-6
    return np.asarray((screw_length(angle + step) - screw_length(angle - step)) / (2 * step))


def test_a_screw_turns_as_its_nut_moves() -> None:
    angle, speed = knee(SCREW_LEVER, "joint_angle"), knee(SCREW_LEVER, "joint_speed")
    expected = 2 * np.pi / 0.010 * screw_arm(angle) * speed
    np.testing.assert_allclose(knee(SCREW_LEVER, "motor_speed"), expected, rtol=1e-6, atol=1e-6)


def test_power_through_a_screw_adds_up_over_the_stride() -> None:
    """Motor work = joint work + loss: the rotor gives back what it took, phi'' included."""
    angle, speed, torque = (
        knee(SCREW_LEVER, name)[0] for name in ("joint_angle", "joint_speed", "motor_torque")
    )
    motor = torque * knee(SCREW_LEVER, "motor_speed")[0]
    joint = knee(SCREW_LEVER, "drive_torque")[0] * speed
    lost = knee(SCREW_LEVER, "transmission_loss")[0]
    assert angle.std() > 0.1
    assert motor.mean() == pytest.approx(joint.mean() + lost, abs=0.02 * np.abs(motor).max())


def test_a_screw_buckles_or_its_nut_fails() -> None:
    angle = knee(SCREW_LEVER, "joint_angle")
    force = np.abs(knee(SCREW_LEVER, "drive_torque") / screw_arm(angle))
    holds = math.pi**2 * 205e9 * math.pi * 0.012**4 / 64.0 / screw_length(angle) ** 2
    use = max((force / 6000.0).max(), (2.0 * force / holds).max())
    assert knee(SCREW_LEVER, "transmission_torque_margin") == pytest.approx(1.0 - use, rel=1e-5)


def test_a_belt_holds_by_its_strength_and_pretension() -> None:
    small = 18 * 0.005 / math.pi
    pull = 2.0 * np.abs(knee(BELT, "drive_torque")).max() / (5.0 * small)
    tension = max(1200.0 + pull / 2.0, pull)
    assert knee(BELT, "pretension_margin") == pytest.approx(1.0 - pull / 2400.0)
    left = 1.0 - tension / (120e3 * 0.030)
    assert knee(BELT, "transmission_torque_margin") == pytest.approx(left)
    apart = 1.0 - (small + 5.0 * small) / (2.0 * 0.25)
    assert knee(BELT, "transmission_room_margin") == pytest.approx(apart)
    np.testing.assert_allclose(knee(BELT, "stance_ratio"), 5.0)


@pytest.mark.parametrize(
    ("text", "before", "after", "broken"),
    [
        (SCREW_LEVER, "shortest: 200", "shortest: 240", "transmission_reach_margin"),
        (SCREW_LEVER, "longest: 300", "longest: 270", "transmission_reach_margin"),
        (SCREW_LEVER, "lever_angle: 130", "lever_angle: 178", "transmission_angle_margin"),
        (SCREW_LEVER, "lowest_angle: -75", "lowest_angle: -60", "transmission_range_margin"),
        (SCREW_LEVER, "screw_force: 6", "screw_force: 1", "transmission_torque_margin"),
        (SCREW_LEVER, "core_diameter: 12", "core_diameter: 5", "transmission_torque_margin"),
        (BELT, "ratio: 5", "ratio: 9", "transmission_ratio_margin"),
        (BELT, "least_teeth_in_mesh: 6", "least_teeth_in_mesh: 9", "transmission_ratio_margin"),
        (BELT, "shaft_distance: 250", "shaft_distance: 80", "transmission_room_margin"),
        (BELT, "belt_width: 30", "belt_width: 10", "transmission_torque_margin"),
        (BELT, "belt_pretension: 1200", "belt_pretension: 400", "pretension_margin"),
    ],
)
def test_a_bad_one_has_a_negative_margin(text: str, before: str, after: str, broken: str) -> None:
    assert before in text
    sound, bad = (knee(one, broken) for one in (text, text.replace(before, after)))
    assert bad < 0.0 < sound
    assert np.isfinite(knee(text.replace(before, after), "motor_torque")).all()
