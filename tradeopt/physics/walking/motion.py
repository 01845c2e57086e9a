"""Velocities and accelerations of the bodies of a leg."""

from dataclasses import dataclass

import numpy as np

from tradeopt.arrays import Array
from tradeopt.physics.walking.frame import Frame
from tradeopt.physics.walking.leg import LegPose, leg_pose
from tradeopt.physics.walking.stride import Stride
from tradeopt.physics.walking.vectors import cross


@dataclass(frozen=True)
class BodyMotion:
    """Motion of the torso and of the bodies of the left leg, in axes of the walking frame.

    Parameters
    ----------
    pose : LegPose
        Places [m] and attitudes [1].
    angular_speed : Array, shape (7, 3, phase)
        Rates of turn [rad/s].
    angular_acceleration : Array, shape (7, 3, phase)
        Their rates [rad/s2].
    acceleration : Array, shape (7, 3, phase)
        Acceleration of the origin of each body, less that of free fall [m/s2].
    """

    pose: LegPose
    angular_speed: Array
    angular_acceleration: Array
    acceleration: Array


def body_motion(frame: Frame, stride: Stride) -> BodyMotion:
    """Motion of every body of the left leg, from the torso outward.

    Parameters
    ----------
    frame : Frame
        Lengths of the legs [m].
    stride : Stride
        Motion of torso and joints [m, rad, s].

    Returns
    -------
    BodyMotion
        Rates of turn [rad/s], their rates [rad/s2] and accelerations [m/s2].

    Notes
    -----
    With joint axis e, arm r and joint rate q' down the leg: ``w += e q'``,
    ``alpha += e q'' + w x e q'``, ``a += alpha x r + w x (w x r)``. Free fall enters as an upward
    acceleration of the torso, so that weight needs no term of its own.

    References
    ----------
    J. Y. S. Luh, M. W. Walker, R. P. C. Paul, "On-line computational scheme for mechanical
    manipulators", J. Dyn. Sys. Meas. Control 102(2):69-76, 1980.

    Examples
    --------
    A robot at rest feels its weight as an upward acceleration.

    >>> import numpy as np
    >>> still, upright = np.zeros((3, 2)), np.repeat(np.eye(3)[:, :, np.newaxis], 2, axis=2)
    >>> rest = np.zeros((6, 2))
    >>> stride = Stride(
    ...     1.0, 0.0, np.array([0.0, 0.0, -9.81]), rest, rest, rest, still, still, upright, still,
    ...     still, np.full(2, 0.5), still, np.zeros((2, 2)), 0.0, 0.0,
    ... )
    >>> frame = Frame(0.4, 0.4, 0.09, 0.18, 0.24, 0.1, 0.07)
    >>> body_motion(frame, stride).acceleration[-1, :, 0].tolist()
    [0.0, 0.0, 9.81]
    """
    pose = leg_pose(frame, stride.base_position, stride.base_rotation, stride.joint_angle)
    angular_speed, angular_acceleration, acceleration = np.empty((3, *pose.position.shape))
    angular_speed[0] = stride.base_angular_speed
    angular_acceleration[0] = stride.base_angular_acceleration
    acceleration[0] = stride.base_acceleration - stride.gravity[:, np.newaxis]
    arms = np.diff(pose.position, axis=0)
    for joint, axis in enumerate(pose.joint_axis):
        speed, turning = angular_speed[joint], angular_acceleration[joint]
        acceleration[joint + 1] = acceleration[joint]
        if arms[joint].any():
            swirl = cross(speed, cross(speed, arms[joint]))
            acceleration[joint + 1] += cross(turning, arms[joint]) + swirl
        relative = axis * stride.joint_speed[joint]
        angular_speed[joint + 1] = speed + relative
        angular_acceleration[joint + 1] = (
            turning + axis * stride.joint_acceleration[joint] + cross(speed, relative)
        )
    return BodyMotion(pose, angular_speed, angular_acceleration, acceleration)
