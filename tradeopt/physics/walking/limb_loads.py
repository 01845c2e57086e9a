"""Moments inside thigh and shank, from the torques of the joints at their ends."""

from dataclasses import dataclass

import numpy as np

from tradeopt.arrays import Array, as_array
from tradeopt.physics.walking.frame import JOINTS


@dataclass(frozen=True)
class LimbMoments:
    """Moments that a limb carries, in its own axes: x forward, y to the left, z along the limb.

    Parameters
    ----------
    top : Array, shape (..., 2, phase)
        Bending moment about x and y at the upper joint [N m].
    bottom : Array, shape (..., 2, phase)
        Bending moment about x and y at the lower joint [N m].
    twist : Array, shape (..., phase)
        Twisting moment about z, the same at both ends [N m].
    """

    top: Array
    bottom: Array
    twist: Array


def limb_moments(
    joint_angle: Array, joint_torque: Array, thigh: Array, shank: Array
) -> tuple[LimbMoments, LimbMoments]:
    """Moments inside thigh and shank over a stride.

    Parameters
    ----------
    joint_angle : Array, shape (..., 6, phase)
        Joint angles in the order of `JOINTS` [rad].
    joint_torque : Array, shape (..., 6, phase)
        Joint torques [N m].
    thigh : Array, shape (...)
        Hip centre to knee axis [m].
    shank : Array, shape (...)
        Knee axis to ankle axis [m].

    Returns
    -------
    tuple of LimbMoments
        Those of the thigh and those of the shank [N m].

    Notes
    -----
    The three hip axes meet in one point, so their torques are the whole moment there. About y
    the moment at knee and ankle is the joint torque. About x it falls along the leg with the
    sideways force ``Fy``, the one that leaves the ankle's roll joint the torque it has:
    with a, b, c the turns about y of thigh, shank and ankle body from body to body (b of the knee,
    c of the ankle), ``Fy = (Mx cos(b + c) - Mz sin(b + c) - tau_roll) / (l_thigh cos(b + c) +
    l_shank cos c)``. Weight and inertia of the limb itself are left out, which moves
    the peaks of the tests' walks by less than 1 %. Holds while hip roll and ankle pitch stay well
    below 90 deg.

    Examples
    --------
    A force of 100 N to the left at the foot of a straight leg, 0.8 m below the hip.

    >>> angle = np.zeros((6, 1))
    >>> torque = np.zeros((6, 1))
    >>> torque[1] = -80.0
    >>> upper, lower = limb_moments(angle, torque, np.array(0.4), np.array(0.4))
    >>> upper.top[0, 0], upper.bottom[0, 0].round(4), lower.bottom[0, 0].round(4)
    (np.float64(-80.0), np.float64(-40.0), np.float64(0.0))
    """
    thigh, shank = as_array(thigh)[..., np.newaxis], as_array(shank)[..., np.newaxis]
    yaw, roll, pitch, knee, ankle_pitch, ankle_roll = (
        joint_torque[..., JOINTS.index(name), :] for name in JOINTS
    )
    hip_x, twist = _moment_at_hip(joint_angle, yaw, roll, pitch)
    bend = -joint_angle[..., JOINTS.index("knee"), :]
    turn = joint_angle[..., JOINTS.index("ankle_pitch"), :]
    cosine, sine, turned = np.cos(bend), np.sin(bend), np.cos(turn)
    both = np.cos(bend + turn)
    sideways = (hip_x * both - twist * np.sin(bend + turn) - ankle_roll) / (
        thigh * both + shank * turned
    )
    knee_x = hip_x - thigh * sideways
    shank_x = knee_x * cosine - twist * sine
    shank_twist = knee_x * sine + twist * cosine
    # the knee counts about -y
    upper = LimbMoments(_pair(hip_x, pitch), _pair(knee_x, -knee), twist)
    ankle_x = shank_x - shank * sideways
    return upper, LimbMoments(_pair(shank_x, -knee), _pair(ankle_x, ankle_pitch), shank_twist)


def _moment_at_hip(
    joint_angle: Array, yaw: Array, roll: Array, pitch: Array
) -> tuple[Array, Array]:
    """Moment at the hip centre about x and z of the thigh, from the three torques there."""
    tilt = joint_angle[..., JOINTS.index("hip_roll"), :]
    swing = joint_angle[..., JOINTS.index("hip_pitch"), :]
    upright = (yaw - pitch * np.sin(tilt)) / np.cos(tilt)
    cosine, sine = np.cos(swing), np.sin(swing)
    return cosine * roll - sine * upright, sine * roll + cosine * upright


def _pair(about_x: Array, about_y: Array) -> Array:
    return np.stack(np.broadcast_arrays(about_x, about_y), axis=-2)


def bending_peak(moments: LimbMoments) -> Array:
    """Greatest bending moment in a limb at each phase.

    Parameters
    ----------
    moments : LimbMoments
        Moments of the limb [N m].

    Returns
    -------
    Array, shape (..., phase)
        Size of the bending moment at the end where it is greater [N m].

    Notes
    -----
    Between the ends the moment goes in a straight line, so that its size is greatest at an end.

    Examples
    --------
    >>> ends = np.array([[3.0], [4.0]]), np.array([[0.0], [2.0]])
    >>> bending_peak(LimbMoments(*ends, twist=np.zeros(1))).tolist()
    [5.0]
    """
    return np.sqrt(np.maximum(_squared(moments.top), _squared(moments.bottom)))


def deflecting_moment(moments: LimbMoments) -> Array:
    """Constant bending moment that deflects the lower end of a limb as much as its moments do.

    Parameters
    ----------
    moments : LimbMoments
        Moments of the limb [N m].

    Returns
    -------
    Array, shape (..., phase)
        Size of that moment [N m].

    Notes
    -----
    Integrating ``M(x) (L - x)`` of a moment that goes in a straight line from `top` to `bottom`,
    with the upper end clamped, gives ``L^2 (2 top + bottom)/6``; a constant one, ``L^2 M/2``.

    References
    ----------
    Unit-load method for beams.

    Examples
    --------
    A force on the end: the moment there is 0.

    >>> ends = np.array([[0.0], [30.0]]), np.zeros((2, 1))
    >>> deflecting_moment(LimbMoments(*ends, twist=np.zeros(1))).tolist()
    [20.0]
    """
    size: Array = np.sqrt(_squared(2.0 * moments.top + moments.bottom)) / 3.0
    return size


def _squared(moment: Array) -> Array:
    # several times as fast as numpy's hypot, and no moment comes near to overflow
    return np.square(moment[..., 0, :]) + np.square(moment[..., 1, :])
