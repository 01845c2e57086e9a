import numpy as np
from hypothesis import assume, given
from hypothesis import strategies as st

from tests.oracles.robot import FRAME
from tradeopt.arrays import Array
from tradeopt.physics.walking.frame import BODIES, JOINTS, joint_offsets
from tradeopt.physics.walking.leg import joint_angles, leg_pose
from tradeopt.physics.walking.vectors import pitch_rotation

RANGES = {
    "hip_yaw": (-1.0, 1.0),
    "hip_roll": (-0.8, 0.8),
    "hip_pitch": (-1.5, 1.0),
    "knee": (-2.4, -0.02),
    "ankle_pitch": (-0.9, 0.9),
    "ankle_roll": (-0.6, 0.6),
}
ANGLES = st.tuples(*(st.floats(*RANGES[joint]) for joint in JOINTS))
HIPS = np.array([[0.1], [-0.02], [0.8]])


def upright() -> Array:
    return pitch_rotation(np.zeros(1))


def test_frame_knows_the_straight_leg_and_the_toe() -> None:
    # 0.40 + 0.38 + 0.09 m, and 0.24 - 0.07 m
    np.testing.assert_allclose([FRAME.leg_length, FRAME.toe], [0.87, 0.17])
    assert len(joint_offsets(FRAME)) == len(JOINTS) == len(BODIES) - 1


@given(angles=ANGLES, lean=st.floats(-0.4, 0.4))
def test_angles_come_back_from_the_place_of_the_foot(
    angles: tuple[float, ...], lean: float
) -> None:
    torso, told = pitch_rotation(np.array([lean])), np.array(angles)[:, np.newaxis]
    pose = leg_pose(FRAME, HIPS, torso, told)
    hip_above = (pose.position[1] - pose.position[-1])[:, 0] @ pose.rotation[-1, :, 2, 0]
    assume(hip_above > 0.01)
    found, stretch = joint_angles(FRAME, HIPS, torso, pose.position[-1], pose.rotation[-1])
    np.testing.assert_allclose(found, told, atol=1e-6)
    reach = np.linalg.norm(pose.position[-1] - pose.position[1]) / (FRAME.thigh + FRAME.shank)
    np.testing.assert_allclose(stretch, reach, atol=1e-12)


def test_positive_angles_extend_the_leg() -> None:
    def moved(joint: str, angle: float) -> tuple[Array, Array]:
        told = np.zeros((6, 1))
        told[JOINTS.index("knee")] = -0.5
        told[JOINTS.index(joint)] += angle
        pose = leg_pose(FRAME, HIPS, upright(), told)
        ankle = pose.position[-1, :, 0] - pose.position[1, :, 0]
        return ankle, pose.rotation[-1, :, 0, 0]

    rest, toe = moved("knee", 0.0)
    assert moved("hip_pitch", 0.1)[0][0] < rest[0]
    assert np.linalg.norm(moved("knee", 0.1)[0]) > np.linalg.norm(rest)
    assert moved("ankle_pitch", 0.1)[1][2] < toe[2]


def test_a_foot_out_of_reach_gives_a_straight_leg_that_points_at_it() -> None:
    ankle = np.array([[0.9], [0.07], [0.1]])
    angle, stretch = joint_angles(FRAME, HIPS, upright(), ankle, upright())
    hip = HIPS[:, 0] + [0.0, FRAME.hip_spacing / 2, 0.0]
    aim = ankle[:, 0] - hip
    assert stretch[0] == np.linalg.norm(aim) / (FRAME.thigh + FRAME.shank) > 1.0
    assert angle[JOINTS.index("knee"), 0] == 0.0
    reached = leg_pose(FRAME, HIPS, upright(), angle).position[-1, :, 0] - hip
    # forward and sideways as the ankle lies, as long as the leg is
    direction = aim / np.linalg.norm(aim) * (FRAME.thigh + FRAME.shank)
    np.testing.assert_allclose(reached, direction, atol=1e-12)


def test_a_foot_too_near_the_hip_gives_finite_angles() -> None:
    frame = FRAME.__class__(0.45, 0.3, 0.09, 0.18, 0.24, 0.1, 0.07)
    ankle = HIPS + np.array([[0.0], [0.09], [-0.05]])
    angle, _ = joint_angles(frame, HIPS, upright(), ankle, upright())
    np.testing.assert_allclose(angle[JOINTS.index("knee")], -np.pi)
    assert np.isfinite(angle).all()
