from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.oracles.robot import FRAME, INERTIA, MASS
from tests.oracles.state import random_stride
from tradeopt.arrays import Array
from tradeopt.physics.walking.contact import zero_moment_point
from tradeopt.physics.walking.dynamics import (
    ground_wrench,
    load_matrices,
    stride_loads,
    weighted_loads,
)
from tradeopt.physics.walking.frame import JOINTS
from tradeopt.physics.walking.gait import StandingPose, WalkingGait
from tradeopt.physics.walking.motion import body_motion
from tradeopt.physics.walking.pattern import stand, walk
from tradeopt.physics.walking.stride import Stride
from tradeopt.physics.walking.vectors import mirrored

KNEE, ANKLE_PITCH = JOINTS.index("knee"), JOINTS.index("ankle_pitch")
FLAT = WalkingGait(0.6, 0.65, 0.25, 0.25, 0.05, 0.18, gravity=9.81)
ROLLING = replace(FLAT, speed=0.8, step_time=0.6, toe_off_angle=0.4)
RANDOM = load_matrices(FRAME, random_stride(21))
GAITS = pytest.mark.parametrize("gait", [FLAT, ROLLING], ids=["flat", "rolling"])
SLOPES = pytest.mark.parametrize("slope", [-0.1, 0.0, 0.1])


def whole_wrench(stride: Stride) -> Array:
    return ground_wrench(body_motion(FRAME, stride), INERTIA)


def torques(stride: Stride) -> Array:
    return weighted_loads(load_matrices(FRAME, stride).torque, INERTIA)


@GAITS
@SLOPES
def test_both_legs_do_the_work_of_lifting_the_robot(gait: WalkingGait, slope: float) -> None:
    """Net joint work of a stride is m g sin(slope) times its length, nothing on the level.

    The kinetic energy comes back, flat feet stand still and rolling feet turn about the edge
    that carries them. Sampling leaves 0.2 % of the positive work at 100 phases.
    """
    stride = walk(FRAME, replace(gait, slope=slope), INERTIA, 100)
    power = torques(stride) * stride.joint_speed
    work, positive = (
        2 * stride.period * x.sum(axis=0).mean() for x in (power, np.maximum(power, 0.0))
    )
    lifting = MASS * 9.81 * np.sin(slope) * gait.speed * stride.period
    assert abs(work - lifting) < 2e-3 * positive
    assert positive > 50.0


@GAITS
@SLOPES
def test_the_ground_carries_the_weight_on_average(gait: WalkingGait, slope: float) -> None:
    wrench = whole_wrench(walk(FRAME, replace(gait, slope=slope), INERTIA, 60))
    weight = MASS * 9.81 * np.array([np.sin(slope), 0.0, np.cos(slope)])
    np.testing.assert_allclose(wrench[:3].mean(axis=1), weight, atol=1e-5 * MASS * 9.81)


@GAITS
def test_the_ground_wrench_is_the_same_on_the_other_side_half_a_stride_later(
    gait: WalkingGait,
) -> None:
    wrench = whole_wrench(walk(FRAME, gait, INERTIA, 60))
    np.testing.assert_allclose(mirrored(wrench[:3]), wrench[:3], atol=1e-7)
    np.testing.assert_allclose(mirrored(wrench[3:], axial=True), wrench[3:], atol=1e-7)


@GAITS
def test_the_two_feet_carry_the_robot_and_the_pressure_is_where_it_should_be(
    gait: WalkingGait,
) -> None:
    stride = walk(FRAME, gait, INERTIA, 60)
    matrices = load_matrices(FRAME, stride)
    foot = weighted_loads(matrices.foot_wrench, INERTIA)
    whole = weighted_loads(matrices.ground_wrench, INERTIA)
    np.testing.assert_allclose(foot[:3] + mirrored(foot[:3]), whole[:3], atol=1e-7)
    assert np.abs(zero_moment_point(foot, least_force=80.0)).max() < 3e-3


def test_the_wrench_of_one_robot_is_that_of_the_matrices() -> None:
    stride = random_stride(3)
    whole = weighted_loads(load_matrices(FRAME, stride).ground_wrench, INERTIA)
    np.testing.assert_allclose(whole_wrench(stride), whole, atol=1e-9)


def test_the_loads_of_one_robot_are_those_of_the_matrices() -> None:
    stride = random_stride(4)
    matrices = load_matrices(FRAME, stride)
    parts = (matrices.torque, matrices.ground_wrench, matrices.foot_wrench)
    wanted = np.concatenate([weighted_loads(part, INERTIA) for part in parts])
    np.testing.assert_allclose(stride_loads(FRAME, stride, INERTIA), wanted, atol=1e-9)


@given(
    st.lists(st.floats(0.1, 50.0), min_size=7, max_size=7),
    st.lists(st.floats(0.1, 50.0), min_size=7, max_size=7),
    st.floats(0.0, 3.0),
)
def test_torque_is_linear_in_the_masses(
    first: list[float], second: list[float], factor: float
) -> None:
    one, two = (INERTIA * np.array(scale)[:, np.newaxis] for scale in (first, second))
    both = weighted_loads(RANDOM.torque, np.stack((one, two, one + factor * two)))
    scale = np.abs(both).max()
    np.testing.assert_allclose(both[0] + factor * both[1], both[2], atol=1e-12 * scale)


def test_crouching_loads_the_knees_in_the_sense_of_extension() -> None:
    shallow, deep = (
        torques(stand(FRAME, StandingPose(bend, 0.18), INERTIA, 2))[KNEE, 0] for bend in (0.4, 1.2)
    )
    assert deep > shallow > 0.0


def test_standing_ankles_hold_half_the_weight_ahead_of_them() -> None:
    """Statics by hand: half the weight at mid-sole, 0.05 m ahead of the ankle, less the foot."""
    torque = torques(stand(FRAME, StandingPose(0.4, 0.18, gravity=9.81), INERTIA, 2))
    foot = INERTIA[6, 1] * 9.81
    expected = 0.5 * MASS * 9.81 * 0.05 - foot
    assert torque[ANKLE_PITCH, 0] == pytest.approx(expected, rel=1e-4)


@GAITS
def test_late_stance_pushes_the_toe_down(gait: WalkingGait) -> None:
    stride = walk(FRAME, gait, INERTIA, 60)
    late = slice(int(0.42 * 60), int(0.5 * 60))
    assert (torques(stride)[ANKLE_PITCH, late] > 0.0).all()


def test_a_flat_foot_at_speed_asks_for_twice_the_hip_torque() -> None:
    order = replace(FLAT, speed=1.0, step_time=0.55)
    hip = JOINTS.index("hip_pitch")
    flat, rolling = (
        np.abs(torques(walk(FRAME, replace(order, toe_off_angle=angle), INERTIA, 60))[hip]).max()
        for angle in (0.0, 0.4)
    )
    assert 1.6 < flat / rolling < 2.8
