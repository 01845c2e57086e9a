from dataclasses import fields, replace

import numpy as np
import pytest

from tests.oracles.robot import FRAME, INERTIA, MASS, parameters
from tradeopt.arrays import Array
from tradeopt.physics.walking.contact import least_load, zero_moment_point
from tradeopt.physics.walking.dynamics import ground_wrench, mass_centre
from tradeopt.physics.walking.feet import standing_feet, walking_feet, zero_moment_reference
from tradeopt.physics.walking.frame import JOINTS
from tradeopt.physics.walking.gait import StandingPose, WalkingGait
from tradeopt.physics.walking.leg import leg_pose
from tradeopt.physics.walking.motion import body_motion
from tradeopt.physics.walking.pattern import stand, walk
from tradeopt.physics.walking.periodic import derivatives
from tradeopt.physics.walking.stride import Stride

STEP_TIMES = {0.3: 0.75, 0.6: 0.65, 0.8: 0.6, 1.0: 0.55}
KNEE, ANKLE_PITCH = JOINTS.index("knee"), JOINTS.index("ankle_pitch")


def gait(speed: float, *, slope: float = 0.0, toe_off_angle: float = 0.0) -> WalkingGait:
    return WalkingGait(
        speed, STEP_TIMES[speed], 0.25, 0.25, 0.05, 0.18, slope=slope, toe_off_angle=toe_off_angle
    )


def zero_moment_error(stride: Stride, reference: Array) -> Array:
    wrench = ground_wrench(body_motion(FRAME, stride), INERTIA)
    point = zero_moment_point(wrench, least_force=1.0, height=reference[2])
    return np.asarray(np.abs(point - reference[:2]).max(axis=1))


def finite(stride: Stride) -> bool:
    # the clearance over steps is infinite where there are none
    names = {field.name for field in fields(stride)} - {"step_clearance"}
    return all(np.isfinite(getattr(stride, name)).all() for name in names)


@pytest.mark.parametrize("speed", STEP_TIMES)
@pytest.mark.parametrize("slope", [-0.1, 0.0, 0.1])
@pytest.mark.parametrize("toe_off_angle", [0.0, 0.4])
def test_the_zero_moment_point_is_where_the_feet_want_it(
    speed: float, slope: float, toe_off_angle: float
) -> None:
    """Within 2 mm, where the pendulum alone leaves 60 to 260 mm."""
    order = gait(speed, slope=slope, toe_off_angle=toe_off_angle)
    reference = zero_moment_reference(walking_feet(FRAME, order, 60))
    assert zero_moment_error(walk(FRAME, order, INERTIA, 60), reference).max() < 2e-3


def test_the_feet_of_the_stride_are_where_the_paths_put_them() -> None:
    order = gait(0.8, toe_off_angle=0.4)
    stride, feet = walk(FRAME, order, INERTIA, 60), walking_feet(FRAME, order, 60)
    pose = leg_pose(FRAME, stride.base_position, stride.base_rotation, stride.joint_angle)
    np.testing.assert_allclose(pose.position[-1], feet.ankle_position, atol=1e-9)
    np.testing.assert_allclose(pose.rotation[-1, 2, 0], -np.sin(feet.pitch), atol=1e-9)
    np.testing.assert_allclose(pose.rotation[-1, :, 1].T, [[0.0, 1.0, 0.0]] * 60, atol=1e-9)


def test_rates_of_the_stride_are_those_of_its_angles() -> None:
    stride = walk(FRAME, gait(0.6), INERTIA, 60)
    speed, acceleration = derivatives(stride.joint_angle, stride.period)
    np.testing.assert_array_equal(stride.joint_speed, speed)
    np.testing.assert_array_equal(stride.joint_acceleration, acceleration)
    sway = derivatives(stride.base_position, stride.period)[1]
    np.testing.assert_array_equal(stride.base_acceleration, sway)


def test_the_pelvis_is_as_high_as_the_least_bend_of_the_knee_allows() -> None:
    low, high = (
        walk(FRAME, replace(gait(0.6), knee_flexion_min=bend), INERTIA, 60) for bend in (0.5, 0.2)
    )
    assert low.joint_angle[KNEE].max() == pytest.approx(-0.5)
    # 0.5 rad over the 0.15 rad that a knee has to keep
    assert low.knee_flexion_margin == pytest.approx(0.5 / 0.15 - 1.0)
    # hip to ankle, by the place of the ankle with the thigh along the first axis
    left, guard = (
        FRAME.thigh
        + FRAME.shank
        - np.hypot(FRAME.thigh + FRAME.shank * np.cos(bend), FRAME.shank * np.sin(bend))
        for bend in (0.5, 0.15)
    )
    assert low.reach_margin == pytest.approx(left / guard)
    assert high.base_position[2, 0] > low.base_position[2, 0]
    assert high.reach_margin < low.reach_margin


def test_the_torso_is_upright_on_a_slope_and_leans_when_told() -> None:
    order = replace(gait(0.6, slope=0.1), body_lean=0.05)
    stride = walk(FRAME, order, INERTIA, 20)
    up = -stride.gravity / np.linalg.norm(stride.gravity)
    torso = stride.base_rotation[:, 2, 0]
    assert torso @ up == pytest.approx(np.cos(0.05))
    assert torso[0] > up[0] > 0.0


@pytest.mark.parametrize("slope", [-0.1, 0.0, 0.1])
def test_standing_has_its_weight_over_the_middle_of_the_soles(slope: float) -> None:
    pose = StandingPose(0.4, 0.2, slope=slope, gravity=9.81)
    stride = stand(FRAME, pose, INERTIA, 2)
    error = zero_moment_error(stride, zero_moment_reference(standing_feet(FRAME, pose, 2)))
    assert error.max() < 1e-5
    legs = leg_pose(FRAME, stride.base_position, stride.base_rotation, stride.joint_angle)
    centre = mass_centre(legs, INERTIA)[:, 0]
    # plumb over mid-sole: up the slope by height times its tangent
    assert centre[0] == pytest.approx(0.05 + centre[2] * np.tan(slope), abs=1e-5)
    assert stride.joint_angle[KNEE] == pytest.approx(-0.4)


def test_standing_is_still_and_alike_at_every_phase() -> None:
    stride = stand(FRAME, StandingPose(0.4, 0.2, slope=0.05), INERTIA, 100)
    for rate in (stride.joint_speed, stride.joint_acceleration, stride.base_acceleration):
        np.testing.assert_array_equal(rate, 0.0)
    for pose in (stride.joint_angle, stride.base_position):
        np.testing.assert_allclose(np.ptp(pose, axis=1), 0.0, atol=1e-15)
    np.testing.assert_array_equal(stride.load_share, 0.5)


@pytest.mark.parametrize(
    "order",
    [
        replace(gait(1.0), speed=3.0, step_time=0.8),
        replace(gait(1.0), speed=2.5, step_time=0.2),
        replace(gait(0.3), step_width=3.0),
        replace(gait(0.3), knee_flexion_min=0.0, double_support=0.0),
    ],
    ids=["long steps", "fast steps", "wide steps", "straight knees"],
)
def test_a_walk_that_cannot_be_walked_has_a_negative_margin(order: WalkingGait) -> None:
    stride = walk(FRAME, order, INERTIA, 40)
    wrench = ground_wrench(body_motion(FRAME, stride), INERTIA)
    load = float(least_load(wrench[2], weight=np.array(MASS * order.gravity)))
    assert min(stride.reach_margin, stride.knee_flexion_margin, load) < 0.0
    assert finite(stride)
    # ten corrections of a leg length at most, about the middle of a stride of feet
    feet = np.abs(walking_feet(FRAME, order, 40).pressure_point).max()
    assert np.abs(stride.base_position).max() < feet + 10 * FRAME.leg_length


def test_an_odd_number_of_phases_is_refused() -> None:
    with pytest.raises(ValueError, match="got 51 phases, want an even number"):
        walk(FRAME, gait(0.6), INERTIA, 51)
    with pytest.raises(ValueError, match="got 3 phases, want an even number"):
        stand(FRAME, StandingPose(0.4, 0.2), INERTIA, 3)


def test_a_heavier_robot_walks_with_the_same_motion() -> None:
    """Balance depends on where the mass is, not on how much there is."""
    light, heavy = (walk(FRAME, gait(0.6), scale * INERTIA, 40) for scale in (1.0, 1.7))
    np.testing.assert_allclose(light.joint_angle, heavy.joint_angle, atol=1e-12)


def test_a_top_heavy_robot_is_balanced_too() -> None:
    """Its centre of mass is 0.35 m above the hips: the pendulum has to know its own height."""
    inertia = INERTIA.copy()
    inertia[0] = parameters(48.0, [0.01, 0.0, 0.75], [1.7, 0.0, 1.4, 0.05, 0.0, 0.7])
    order = gait(1.0, toe_off_angle=0.4)
    wrench = ground_wrench(body_motion(FRAME, walk(FRAME, order, inertia, 60)), inertia)
    reference = zero_moment_reference(walking_feet(FRAME, order, 60))
    assert np.abs(zero_moment_point(wrench, least_force=1.0) - reference[:2]).max() < 5e-4
