"""Where the bodies of a leg are for given joint angles, and the other way round."""

from dataclasses import dataclass

import numpy as np

from tradeopt.arrays import Array
from tradeopt.physics.walking.frame import (
    BODIES,
    JOINT_AXES,
    JOINT_SENSES,
    JOINTS,
    Frame,
    joint_offsets,
)


@dataclass(frozen=True)
class LegPose:
    """Places and attitudes of the bodies of the left leg, in the walking frame.

    Parameters
    ----------
    position : Array, shape (7, 3, phase)
        Origins of the bodies [m].
    rotation : Array, shape (7, 3, 3, phase)
        Attitudes: component in the walking frame, then axis of the body [1].
    joint_axis : Array, shape (6, 3, phase)
        Directions of the joint axes, in the sense in which the joint counts as positive [1].
    """

    position: Array
    rotation: Array
    joint_axis: Array


def leg_pose(
    frame: Frame, base_position: Array, base_rotation: Array, joint_angle: Array
) -> LegPose:
    """Forward kinematics of the left leg.

    Parameters
    ----------
    frame : Frame
        Lengths of the legs [m].
    base_position : Array, shape (3, phase)
        Mid-point of the hip centres, in the walking frame [m].
    base_rotation : Array, shape (3, 3, phase)
        Attitude of the torso [1].
    joint_angle : Array, shape (6, phase)
        Joint angles in the order of `JOINTS` [rad].

    Returns
    -------
    LegPose
        Places [m] and attitudes [1] of the torso and of the bodies of the left leg.

    Notes
    -----
    ``R_body = R_above Rot(axis, angle)`` down the leg; each turn mixes two columns only. Holds for
    any angle. The six angles describe rigid links without play.

    Examples
    --------
    >>> import numpy as np
    >>> frame = Frame(0.4, 0.4, 0.09, 0.18, 0.24, 0.1, 0.07)
    >>> upright = np.eye(3)[:, :, np.newaxis]
    >>> hips = np.array([[0.0], [0.0], [0.89]])
    >>> leg_pose(frame, hips, upright, np.zeros((6, 1))).position[-1, :, 0].round(4).tolist()
    [0.0, 0.09, 0.09]
    """
    phases = joint_angle.shape[-1]
    position = np.empty((len(BODIES), 3, phases))
    rotation = np.empty((len(BODIES), 3, 3, phases))
    joint_axis = np.empty((len(JOINTS), 3, phases))
    position[0], rotation[0] = base_position, base_rotation
    cosines, sines = np.cos(joint_angle), np.sin(joint_angle)
    for joint, offset in enumerate(joint_offsets(frame)):
        above, body = rotation[joint], rotation[joint + 1]
        axis, sense = JOINT_AXES[joint], JOINT_SENSES[joint]
        position[joint + 1] = position[joint]
        for component in np.flatnonzero(offset):
            position[joint + 1] += above[:, component] * offset[component]
        joint_axis[joint] = sense * above[:, axis]
        cosine, sine = cosines[joint], sense * sines[joint]
        one, two = (axis + 1) % 3, (axis + 2) % 3
        body[:, axis] = above[:, axis]
        body[:, one] = cosine * above[:, one] + sine * above[:, two]
        body[:, two] = cosine * above[:, two] - sine * above[:, one]
    return LegPose(position, rotation, joint_axis)


def joint_angles(
    frame: Frame,
    base_position: Array,
    base_rotation: Array,
    ankle_position: Array,
    foot_rotation: Array,
) -> tuple[Array, Array]:
    """Inverse kinematics of the left leg, in closed form.

    Parameters
    ----------
    frame : Frame
        Lengths of the legs [m].
    base_position : Array, shape (3, phase)
        Mid-point of the hip centres, in the walking frame [m].
    base_rotation : Array, shape (3, 3, phase)
        Attitude of the torso [1].
    ankle_position : Array, shape (3, phase)
        Where the ankle has to be, in the walking frame [m].
    foot_rotation : Array, shape (3, 3, phase)
        Attitude the foot has to have [1].

    Returns
    -------
    tuple of Array, shapes (6, phase) and (phase,)
        Joint angles in the order of `JOINTS` [rad], and stretch, which is hip to ankle divided by
        the length of the straight leg [1].

    Notes
    -----
    The knee follows from the law of cosines, the ankle from the direction of the hip seen from
    the foot, the hip from what attitude is left. The knee never bends backward. Where the stretch
    is above 1 the ankle is out of reach: the knee stays straight, the leg points at the ankle,
    and no value becomes NaN. Unique while the hip roll stays within +-90 deg and the hip is on the
    upper side of the sole.

    References
    ----------
    S. Kajita, H. Hirukawa, K. Harada, K. Yokoi, *Introduction to Humanoid Robotics*, Springer,
    2014, chapter 2 (inverse kinematics of a leg with three hip axes in one point).

    Examples
    --------
    >>> import numpy as np
    >>> frame = Frame(0.4, 0.4, 0.09, 0.18, 0.24, 0.1, 0.07)
    >>> upright = np.eye(3)[:, :, np.newaxis]
    >>> hips = np.array([[0.0], [0.0], [0.79]])
    >>> ankle = np.array([[0.0], [0.09], [0.09]])
    >>> angle, stretch = joint_angles(frame, hips, upright, ankle, upright)
    >>> angle[2:5, 0].round(4).tolist(), stretch.round(4).tolist()
    ([-0.5054, -1.0107, -0.5054], [0.875])
    """
    hip = base_position + base_rotation[:, 1] * (frame.hip_spacing / 2)
    # the hip seen from the ankle, in the axes of the foot
    to_hip = (foot_rotation * (hip - ankle_position)[:, np.newaxis]).sum(axis=0)
    distance = np.sqrt((to_hip**2).sum(axis=0))
    thigh, shank = frame.thigh, frame.shank
    cosine = (distance**2 - thigh**2 - shank**2) / (2 * thigh * shank)
    flexion = np.arccos(np.clip(cosine, -1.0, 1.0))
    ankle_roll = np.arctan2(to_hip[1], to_hip[2])
    ankle_pitch = np.arctan2(
        -thigh * np.sin(flexion), shank + thigh * np.cos(flexion)
    ) - np.arctan2(to_hip[0], np.hypot(to_hip[1], to_hip[2]))
    hip_yaw, hip_roll, leg_pitch = _hip_angles(base_rotation, foot_rotation, ankle_roll)
    turned = leg_pitch - flexion - ankle_pitch
    hip_pitch = np.remainder(turned + np.pi, 2 * np.pi) - np.pi
    angle = np.stack((hip_yaw, hip_roll, hip_pitch, -flexion, ankle_pitch, ankle_roll))
    return angle, distance / (thigh + shank)


def _hip_angles(
    base_rotation: Array, foot_rotation: Array, ankle_roll: Array
) -> tuple[Array, Array, Array]:
    """Yaw, roll, and sum of all pitches of the leg, from the attitude left to the hip."""
    relative = np.einsum("kin,kjn->ijn", base_rotation, foot_rotation)
    cosine, sine = np.cos(ankle_roll), np.sin(ankle_roll)
    side = relative[:, 1] * cosine - relative[:, 2] * sine
    upright = relative[2, 1] * sine + relative[2, 2] * cosine
    hip_roll = np.arcsin(np.clip(side[2], -1.0, 1.0))
    return np.arctan2(-side[0], side[1]), hip_roll, np.arctan2(-relative[2, 0], upright)
