"""Side steps and turns on the spot."""

import numpy as np
import pytest

from tests.oracles.robot import FRAME, INERTIA, MASS
from tradeopt.physics.walking.contact import zero_moment_point
from tradeopt.physics.walking.dynamics import stride_loads
from tradeopt.physics.walking.feet import zero_moment_reference
from tradeopt.physics.walking.frame import JOINTS
from tradeopt.physics.walking.gait import SideStepGait
from tradeopt.physics.walking.leg import leg_pose
from tradeopt.physics.walking.pattern import side_step
from tradeopt.physics.walking.sidesteps import side_step_feet
from tradeopt.physics.walking.vectors import mirrored

SIDEWAYS = SideStepGait(0.15, 0.0, 0.8, 0.25, 0.35, 0.05, 0.18, gravity=9.81)
TURNING = SideStepGait(0.0, 0.4, 0.8, 0.25, 0.35, 0.05, 0.18, gravity=9.81)
BOTH = pytest.mark.parametrize("gait", [SIDEWAYS, TURNING], ids=["sideways", "turning"])


@BOTH
def test_a_foot_moves_only_while_the_other_one_carries_all(gait: SideStepGait) -> None:
    feet = side_step_feet(FRAME, gait, 400)
    path = np.vstack((feet.ankle_position, feet.yaw))
    moving = np.abs(np.roll(path, -1, axis=1) - path).max(axis=0) > 1e-12
    assert moving.any()
    assert not feet.load_share[moving].any()
    share = feet.load_share
    np.testing.assert_allclose(share + np.roll(share, 200), 1.0, atol=1e-12)


def test_both_feet_go_to_the_left_and_come_back() -> None:
    feet = side_step_feet(FRAME, SIDEWAYS, 400)
    left, right = feet.ankle_position[1], mirrored(feet.ankle_position)[1]
    # closed, apart, closed further left, apart, closed again: at the touchdowns
    at = [0, 100, 200, 300]
    np.testing.assert_allclose((left - right)[at], [0.18, 0.33, 0.18, 0.33], atol=1e-12)
    np.testing.assert_allclose((left + right)[at] / 2, [-0.075, 0.0, 0.075, 0.0], atol=1e-12)


def test_both_feet_turn_to_the_left_and_back() -> None:
    feet = side_step_feet(FRAME, TURNING, 400)
    right_yaw = -np.roll(feet.yaw, 200)
    np.testing.assert_allclose(feet.yaw[[0, 100, 200, 300]], [-0.2, 0.2, 0.2, 0.2], atol=1e-12)
    np.testing.assert_allclose(right_yaw[[0, 100, 200, 300]], [-0.2, -0.2, 0.2, -0.2], atol=1e-12)
    # each ankle stays on the circle about the middle
    np.testing.assert_allclose(np.hypot(*feet.ankle_position[:2]), 0.09, atol=1e-12)


@BOTH
def test_the_zero_moment_point_is_where_the_feet_want_it(gait: SideStepGait) -> None:
    wanted = zero_moment_reference(side_step_feet(FRAME, gait, 100))
    wrench = stride_loads(FRAME, side_step(FRAME, gait, INERTIA, 100), INERTIA)[6:12]
    found = zero_moment_point(wrench, least_force=1.0)
    assert np.abs(found - wanted[:2]).max() < 1e-4


@BOTH
def test_the_joints_put_the_feet_where_they_are_told(gait: SideStepGait) -> None:
    stride, feet = side_step(FRAME, gait, INERTIA, 100), side_step_feet(FRAME, gait, 100)
    pose = leg_pose(FRAME, stride.base_position, stride.base_rotation, stride.joint_angle)
    np.testing.assert_allclose(pose.position[-1], feet.ankle_position, atol=1e-9)
    # the sole's own forward axis
    forward = np.stack((np.cos(feet.yaw), np.sin(feet.yaw), np.zeros(100)))
    np.testing.assert_allclose(pose.rotation[-1, :, 0], forward, atol=1e-9)


@BOTH
def test_all_work_comes_back_on_the_level(gait: SideStepGait) -> None:
    stride = side_step(FRAME, gait, INERTIA, 100)
    power = stride_loads(FRAME, stride, INERTIA)[:6] * stride.joint_speed
    assert abs(power.sum(axis=0).mean()) < 1e-3 * np.maximum(power, 0.0).sum(axis=0).mean()


def test_wider_side_steps_load_the_hips_more() -> None:
    hip = JOINTS.index("hip_roll")
    peaks = []
    for way in (0.05, 0.15, 0.25):
        gait = SideStepGait(way, 0.0, 0.6, 0.25, 0.35, 0.05, 0.18)
        peaks.append(stride_loads(FRAME, side_step(FRAME, gait, INERTIA), INERTIA)[hip].max())
    assert peaks[0] < peaks[1] < peaks[2]


def test_only_a_turn_needs_the_hip_yaw() -> None:
    yaw = JOINTS.index("hip_yaw")
    assert not side_step(FRAME, SIDEWAYS, INERTIA).joint_angle[yaw].any()
    # the swinging foot leads the torso by half of the turn's 0.4 rad
    assert side_step(FRAME, TURNING, INERTIA).joint_angle[yaw].max() == pytest.approx(0.2)


def test_the_ground_carries_the_weight_on_average() -> None:
    for gait in (SIDEWAYS, TURNING):
        loads = stride_loads(FRAME, side_step(FRAME, gait, INERTIA), INERTIA)
        assert loads[8].mean() == pytest.approx(MASS * 9.81, rel=1e-5)
