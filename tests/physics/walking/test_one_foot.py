"""Standing on one foot, by statics."""

import numpy as np
import pytest

from tests.oracles.robot import FRAME, INERTIA, MASS
from tradeopt.physics.walking.dynamics import mass_centre, stride_loads
from tradeopt.physics.walking.frame import JOINTS
from tradeopt.physics.walking.gait import OneFootPose, StandingPose
from tradeopt.physics.walking.leg import leg_pose
from tradeopt.physics.walking.pattern import stand, stand_on_one_foot

POSE = OneFootPose(0.4, 0.18, 0.05, gravity=9.81)
STRIDE = stand_on_one_foot(FRAME, POSE, INERTIA, 2)
LOADS = stride_loads(FRAME, STRIDE, INERTIA)
HIP_ROLL, KNEE, ANKLE = (JOINTS.index(name) for name in ("hip_roll", "knee", "ankle_pitch"))


def test_the_weight_is_over_the_middle_of_the_sole_that_carries() -> None:
    legs = leg_pose(FRAME, STRIDE.base_position, STRIDE.base_rotation, STRIDE.joint_angle)
    centre = mass_centre(legs, INERTIA)
    np.testing.assert_allclose(centre[:2], [[0.05, 0.05], [0.09, -0.09]], atol=1e-6)


def test_one_foot_carries_all_and_the_other_nothing() -> None:
    np.testing.assert_allclose(LOADS[14], [MASS * 9.81, 0.0], atol=1e-9)


def test_the_ankle_holds_the_weight_ahead_of_it_less_its_foot() -> None:
    """The whole weight at mid-sole, 0.05 m ahead of the ankle; of the foot, its first moment."""
    expected = MASS * 9.81 * 0.05 - INERTIA[6, 1] * 9.81
    # the ankle is rolled a few degrees, so that its axis is not quite level
    assert LOADS[ANKLE, 0] == pytest.approx(expected, rel=0.01)


def test_the_leg_that_carries_has_about_twice_the_load_of_standing_on_both() -> None:
    both = stride_loads(
        FRAME, stand(FRAME, StandingPose(0.4, 0.18, gravity=9.81), INERTIA, 2), INERTIA
    )
    assert 1.7 < LOADS[KNEE, 0] / both[KNEE, 0] < 2.5
    # all but one leg hangs on the hip, a foot's width and more to the side
    above = (MASS - INERTIA[1:, 0].sum()) * 9.81
    assert 0.9 * above * 0.09 < LOADS[HIP_ROLL, 0] < 1.5 * above * 0.09


def test_nothing_moves() -> None:
    for still in (STRIDE.joint_speed, STRIDE.joint_acceleration, STRIDE.base_acceleration):
        assert not still.any()


def test_the_lifted_foot_is_as_high_as_told() -> None:
    legs = leg_pose(FRAME, STRIDE.base_position, STRIDE.base_rotation, STRIDE.joint_angle)
    np.testing.assert_allclose(legs.position[-1, 2], [0.09, 0.14], atol=1e-9)
