"""Recorded motion of a walk that we laid out ourselves gives that walk's torques back."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from tests.oracles.robot import FRAME, INERTIA
from tradeopt.arrays import Array
from tradeopt.physics.walking.dynamics import load_matrices, weighted_loads
from tradeopt.physics.walking.following import RecordedMotion, follow
from tradeopt.physics.walking.gait import WalkingGait
from tradeopt.physics.walking.pattern import walk
from tradeopt.physics.walking.stride import Stride

PHASES = 100
FLAT = WalkingGait(0.6, 0.65, 0.25, 0.25, 0.05, 0.18, gravity=9.81)
GAITS = {
    "flat": FLAT,
    "uphill": replace(FLAT, speed=0.5, slope=0.1, body_lean=0.05),
    "rolling": replace(FLAT, speed=0.8, step_time=0.6, toe_off_angle=0.4),
}
WALKS = {name: walk(FRAME, gait, INERTIA, PHASES) for name, gait in GAITS.items()}


def torques(stride: Stride) -> Array:
    return weighted_loads(load_matrices(FRAME, stride).torque, INERTIA)


def recording(name: str, start: int = 0, **more: Any) -> RecordedMotion:
    """What was recorded of a walk, from another phase than its heel strike."""
    gait, walked = GAITS[name], WALKS[name]
    motion = RecordedMotion(
        period=walked.period,
        joint_angle=np.roll(walked.joint_angle, start, axis=1),
        double_support=gait.double_support,
        rolling=gait.toe_off_angle > 0,
        harmonics=50,
        torso_harmonics=50,
        gravity=gait.gravity,
        slope=gait.slope,
    )
    return replace(motion, **more)


def torso(name: str, what: str, start: int) -> dict[str, Any]:
    """Torso and foot load as they would be recorded: the path from anywhere, the heading any."""
    gait, walked = GAITS[name], WALKS[name]
    attitude = np.zeros((3, PHASES))
    attitude[1], attitude[2] = gait.body_lean, 0.7
    path = np.roll(walked.base_position, start, axis=1) + np.array([[3.0], [-1.0], [0.02]])
    return {
        "over_flat_foot": {},
        "attitude": {"attitude": attitude},
        "motion": {"attitude": attitude, "position": path},
        "foot_load": {"foot_load": np.roll(walked.load_share, start)},
    }[what]


@pytest.mark.parametrize("what", ["over_flat_foot", "attitude", "motion", "foot_load"])
@pytest.mark.parametrize("start", [0, 17, 63])
@pytest.mark.parametrize("name", GAITS)
def test_a_recorded_walk_has_the_torques_of_the_walk(name: str, start: int, what: str) -> None:
    """Twin: a generated walk, and its own joint angles followed; both have all harmonics."""
    stride = follow(FRAME, recording(name, start, **torso(name, what, start)))
    np.testing.assert_allclose(torques(stride), torques(WALKS[name]), atol=1e-5)
    assert stride.speed == pytest.approx(GAITS[name].speed, rel=1e-9)
    assert stride.reach_margin == pytest.approx(WALKS[name].reach_margin, abs=1e-9)
    assert stride.knee_flexion_margin == pytest.approx(WALKS[name].knee_flexion_margin, abs=1e-9)


def test_toes_that_point_out_are_no_yaw_of_the_torso() -> None:
    walked = WALKS["flat"]
    turned = walked.joint_angle.copy()
    out = 0.1
    # a foot that is turned about the vertical under a level ankle: hip yaw alone, straight above
    turned[0] += out
    level = recording("flat", joint_angle=turned)
    stride = follow(FRAME, level)
    heading = np.arctan2(stride.base_rotation[1, 0], stride.base_rotation[0, 0])
    # the legs are not quite plumb, so turning the hip alone moves the feet a little
    assert np.abs(heading).max() < 0.02


def test_a_longer_leg_takes_longer_steps_with_the_same_angles() -> None:
    longer = replace(
        FRAME,
        thigh=1.1 * FRAME.thigh,
        shank=1.1 * FRAME.shank,
        hip_spacing=1.1 * FRAME.hip_spacing,
    )
    stride = follow(longer, recording("flat"))
    assert stride.speed == pytest.approx(1.1 * FLAT.speed, rel=1e-9)


def test_left_and_right_share_what_does_not_fit_both() -> None:
    """A torso that leans to one side only is taken for upright."""
    attitude = np.zeros((3, PHASES))
    attitude[0] = 0.1
    stride = follow(FRAME, recording("flat", attitude=attitude))
    np.testing.assert_allclose(torques(stride), torques(WALKS["flat"]), atol=1e-5)


@pytest.mark.parametrize("name", GAITS)
def test_noise_in_the_angles_makes_bounded_errors_in_the_torques(name: str) -> None:
    """0.1 deg rms on the mean stride, cut at 12 harmonics, the torso at 4.

    Median over draws of the rms error over the peak. Measured over 40 draws: 0.06 to 0.11 at hips
    and knee, of which the cut alone makes 0.03 to 0.08; 0.10 to 0.21 at ankle pitch, of which the
    cut alone makes 0.07 to 0.13. Ankle roll peaks at 6 N m and drowns in either.
    """
    rng = np.random.default_rng(8)
    peak = np.abs(torques(WALKS[name])).max(axis=1)
    shares = []
    for _ in range(9):
        noisy = WALKS[name].joint_angle + np.radians(0.1) * rng.normal(size=(6, PHASES))
        motion = recording(name, joint_angle=noisy, harmonics=12, torso_harmonics=4)
        error = torques(follow(FRAME, motion)) - torques(WALKS[name])
        shares.append(np.sqrt((error**2).mean(axis=1)) / peak)
    share = np.median(shares, axis=0)
    assert (share[:4] < 0.14).all(), share
    assert share[4] < 0.27
