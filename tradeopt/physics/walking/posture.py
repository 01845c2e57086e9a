"""Torso and legs over given feet, in balance."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from tradeopt.arrays import Array
from tradeopt.physics.walking.balance import periodic_sway
from tradeopt.physics.walking.contact import zero_moment_point
from tradeopt.physics.walking.dynamics import ground_wrench, mass_centre
from tradeopt.physics.walking.feet import Feet, zero_moment_reference
from tradeopt.physics.walking.frame import JOINTS, Frame
from tradeopt.physics.walking.leg import joint_angles
from tradeopt.physics.walking.motion import body_motion
from tradeopt.physics.walking.periodic import derivatives
from tradeopt.physics.walking.stride import Stride
from tradeopt.physics.walking.vectors import pitch_rotation, yaw_rotation

STRAIGHT_KNEE_GUARD: Final = 0.15
"""Least bend of the knee that keeps clear of the straight leg, where joint rates grow without
bound [rad]; a choice of this model."""

LEAST_FORCE_SHARE: Final = 0.2
"""Normal force, over the weight, below which a correction stops growing [1]; only walks that
nearly leave the ground come near it."""


BALANCE_ERROR: Final = 5e-5
"""Error of the zero-moment point of a walk that needs no further correction [m]."""

STILL_ERROR: Final = 1e-6
"""The same for a robot that stands still, which costs next to nothing [m]."""

MOST_PASSES: Final = 10
"""Corrections of the zero-moment point [1]; a walk that swings its legs so hard that it needs more
is left with an error that shows as lack of room on the sole."""


@dataclass(frozen=True)
class Posture:
    """What the torso is told while the feet go their ways.

    Parameters
    ----------
    speed : float
        Mean speed along the ground [m/s].
    slope : float
        Rise of the ground ahead; positive is uphill [rad].
    torso_pitch : float
        Forward tilt of the torso from the normal of the ground [rad].
    knee_flexion : float
        Least bend of the knee over the stride [rad].
    gravity : float
        Acceleration of free fall [m/s2].
    """

    speed: float
    slope: float
    torso_pitch: float
    knee_flexion: float
    gravity: float


def balanced(frame: Frame, feet: Feet, posture: Posture, inertia: Array) -> Stride:
    """Stride whose zero-moment point is the one the feet are to give.

    Parameters
    ----------
    frame : Frame
        Lengths of the legs and feet [m].
    feet : Feet
        Paths and loads of the feet; an even number of phases [m, rad, 1].
    posture : Posture
        How the torso is carried [m/s, rad, m/s2].
    inertia : Array, shape (7, 10)
        Inertial parameters of the robot to balance [kg, kg m, kg m2].

    Returns
    -------
    Stride
        Motion of torso and left leg [m, rad, s].

    Raises
    ------
    ValueError
        If the number of phases is odd.

    Notes
    -----
    The torso sways as the linear inverted pendulum wants, at constant height and attitude, and is
    then shifted by ``w^2 / (w^2 + (n W)^2)`` times the error of the whole robot's zero-moment
    point, harmonic by harmonic, until it is less than 0.05 mm or ten times. Feet that never move
    need no pendulum: the shift is the error itself.

    References
    ----------
    S. Kajita, H. Hirukawa, K. Harada, K. Yokoi, *Introduction to Humanoid Robotics*, Springer,
    2014, chapter 4.

    Examples
    --------
    >>> from tradeopt.physics.walking.feet import standing_feet
    >>> from tradeopt.physics.walking.gait import StandingPose
    >>> frame = Frame(0.4, 0.4, 0.09, 0.18, 0.24, 0.1, 0.07)
    >>> inertia = np.zeros((7, 10))
    >>> inertia[0, 0] = 50.0
    >>> feet = standing_feet(frame, StandingPose(0.4, 0.18), 2)
    >>> stride = balanced(frame, feet, Posture(0.0, 0.0, 0.0, 0.4, 9.81), inertia)
    >>> stride.base_position[:, 0].round(4).tolist()
    [0.05, 0.0, 0.8725]
    """
    phases = feet.load_share.size
    if phases % 2:
        raise ValueError(
            f"got {phases} phases, want an even number: one leg is half a stride late"
        )
    wanted, plane = np.split(zero_moment_reference(feet), [2])
    normal_gravity = posture.gravity * np.cos(posture.slope)
    least_force = LEAST_FORCE_SHARE * normal_gravity * (inertia[0, 0] + 2 * inertia[1:, 0].sum())
    height = frame.leg_length
    sway = periodic_sway(wanted, feet.period, height, normal_gravity)
    # on a slope the centre of mass stands plumb over the zero-moment point
    sway[0] += height * np.tan(posture.slope)
    attitude = _attitude(feet, posture)
    stride = _posed(frame, feet, posture, attitude, sway)
    enough = BALANCE_ERROR if np.isfinite(feet.period) else STILL_ERROR
    for _ in range(MOST_PASSES):
        motion = body_motion(frame, stride)
        height = float((mass_centre(motion.pose, inertia)[2] - plane).mean())
        wrench = ground_wrench(motion, inertia)
        error = wanted - zero_moment_point(wrench, least_force=least_force, height=plane)
        if np.abs(error).max() < enough:
            break
        # a walk beyond all balance must not run away: no correction is longer than the leg
        bounded = np.clip(error, -frame.leg_length, frame.leg_length)
        sway += periodic_sway(bounded, feet.period, height, normal_gravity)
        stride = _posed(frame, feet, posture, attitude, sway)
    return stride


def knee_margin(knee_angle: Array) -> Array:
    """Least bend of the knee over the bend that keeps clear of the straight leg, less 1.

    Parameters
    ----------
    knee_angle : Array, shape (..., phase)
        Angle of the knee over a stride; negative where it is bent [rad].

    Returns
    -------
    Array, shape (...)
        0 at the guard, -1 where the leg is straight [1].

    Notes
    -----
    The guard of 0.15 rad is a choice of this model: nearer to the straight leg, joint rates grow
    without bound.

    Examples
    --------
    >>> knee_margin(np.array([-0.6, -0.3])).round(4)
    np.float64(1.0)
    """
    return np.asarray(-knee_angle.max(axis=-1) / STRAIGHT_KNEE_GUARD - 1.0)[()]


def reach_left(knee_flexion: Array, thigh: Array, shank: Array) -> Array:
    """Length of the leg that is left at a bend of the knee.

    Parameters
    ----------
    knee_flexion : Array, shape (...)
        Bend of the knee [rad].
    thigh, shank : Array, shape (...)
        Lengths of the two parts of the leg [m].

    Returns
    -------
    Array, shape (...)
        1 less hip to ankle over the length of the straight leg [1].

    Notes
    -----
    The law of cosines at the knee.

    Examples
    --------
    >>> length = np.array(0.4)
    >>> reach_left(np.array(2 * np.pi / 3), length, length).round(4)
    np.float64(0.5)
    """
    squared = thigh**2 + shank**2 + 2 * thigh * shank * np.cos(knee_flexion)
    return np.asarray(1.0 - np.sqrt(squared) / (thigh + shank))[()]


def reach_margin(stretch: Array, thigh: Array, shank: Array) -> Array:
    """Length of the leg that is left, over that left at the least bend the knee has to keep.

    Parameters
    ----------
    stretch : Array, shape (...)
        Hip to ankle over the length of the straight leg, the largest of a stride [1].
    thigh, shank : Array, shape (...)
        Lengths of the two parts of the leg [m].

    Returns
    -------
    Array, shape (...)
        1 at the guard of the knee, 0 where the leg is straight, negative out of reach [1].

    Notes
    -----
    (1 - stretch)/(1 - stretch at a bend of 0.15 rad). The length left grows with the square of
    the bend, so that a bend of twice the guard gives about 4.

    Examples
    --------
    >>> length = np.array(0.4)
    >>> at_guard = 1.0 - reach_left(np.array(STRAIGHT_KNEE_GUARD), length, length)
    >>> reach_margin(np.array([at_guard, 1.0]), length, length).round(4)
    array([1., 0.])
    """
    guard = reach_left(np.array(STRAIGHT_KNEE_GUARD), thigh, shank)
    return np.asarray((1.0 - stretch) / guard)[()]


@dataclass(frozen=True)
class _Attitude:
    """Attitudes of torso and sole, shape (3, 3, phase), and the torso's turning, (3, phase)."""

    torso: Array
    sole: Array
    turning: Array
    turning_rate: Array


def _attitude(feet: Feet, posture: Posture) -> _Attitude:
    phases = feet.yaw.size
    # the torso looks half-way between the two feet
    yaw = (feet.yaw - np.roll(feet.yaw, phases // 2)) / 2
    tilt = pitch_rotation(np.full(phases, posture.torso_pitch))
    turning, turning_rate = np.zeros((2, 3, phases))
    turning[2], turning_rate[2] = derivatives(yaw, feet.period)
    return _Attitude(
        np.einsum("ijn,jkn->ikn", yaw_rotation(yaw), tilt),
        np.einsum("ijn,jkn->ikn", yaw_rotation(feet.yaw), pitch_rotation(feet.pitch)),
        turning,
        turning_rate,
    )


def _posed(frame: Frame, feet: Feet, posture: Posture, attitude: _Attitude, sway: Array) -> Stride:
    """Stride with the mid-point of the hips over a given path."""
    hip = sway + attitude.torso[:2, 1] * (frame.hip_spacing / 2)
    height = _hip_height(frame, feet, hip, posture.knee_flexion)
    base = np.concatenate((sway, np.full((1, sway.shape[-1]), height)))
    feet_at = feet.ankle_position, attitude.sole
    angle, stretch = joint_angles(frame, base, attitude.torso, *feet_at)
    speed, acceleration = derivatives(angle, feet.period)
    down = np.array([-np.sin(posture.slope), 0.0, -np.cos(posture.slope)])
    return Stride(
        period=feet.period,
        speed=posture.speed,
        gravity=posture.gravity * down,
        joint_angle=angle,
        joint_speed=speed,
        joint_acceleration=acceleration,
        base_position=base,
        base_acceleration=derivatives(base, feet.period)[1],
        base_rotation=attitude.torso,
        base_angular_speed=attitude.turning,
        base_angular_acceleration=attitude.turning_rate,
        load_share=feet.load_share,
        pressure_point=feet.pressure_point,
        sole_room=feet.sole_room,
        reach_margin=float(reach_margin(stretch.max(), *_leg_parts(frame))),
        knee_flexion_margin=float(knee_margin(angle[JOINTS.index("knee")])),
        step_clearance=feet.step_clearance,
    )


def _leg_parts(frame: Frame) -> tuple[Array, Array]:
    return np.array(frame.thigh), np.array(frame.shank)


def _hip_height(frame: Frame, feet: Feet, hip: Array, knee_flexion: float) -> float:
    """Greatest constant height of the hips at which the knee keeps its least bend.

    Where a foot is out of reach at any height, the hips are put level with the ankle.
    """
    thigh, shank = frame.thigh, frame.shank
    leg_squared = thigh**2 + shank**2 + 2 * thigh * shank * np.cos(knee_flexion)
    apart = ((hip - feet.ankle_position[:2]) ** 2).sum(axis=0)
    upward = np.sqrt(np.maximum(leg_squared - apart, 0.0))
    return float((feet.ankle_position[2] + upward).min())
