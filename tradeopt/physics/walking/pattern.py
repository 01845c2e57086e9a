"""Strides made to order: walking and standing that keep the robot in balance."""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from tradeopt.arrays import Array
from tradeopt.physics.walking.balance import periodic_sway
from tradeopt.physics.walking.contact import zero_moment_point
from tradeopt.physics.walking.dynamics import ground_wrench, mass_centre
from tradeopt.physics.walking.feet import (
    Feet,
    standing_feet,
    walking_feet,
    zero_moment_reference,
)
from tradeopt.physics.walking.frame import JOINTS, Frame
from tradeopt.physics.walking.gait import StandingPose, WalkingGait
from tradeopt.physics.walking.leg import joint_angles, leg_pose
from tradeopt.physics.walking.periodic import derivatives
from tradeopt.physics.walking.stride import Stride
from tradeopt.physics.walking.vectors import pitch_rotation

STRAIGHT_KNEE_GUARD: Final = 0.15
"""Least bend of the knee that keeps clear of the straight leg, where joint rates grow without
bound [rad]; a choice of this model."""

WALKING_PASSES: Final = 5
"""Corrections of the zero-moment point of a walk [1]; what they leave is tested."""

STANDING_PASSES: Final = 6
"""Corrections of the zero-moment point of a stand [1]; what they leave is tested."""

LEAST_FORCE_SHARE: Final = 0.2
"""Normal force, over the weight, below which a correction stops growing [1]; only walks that
nearly leave the ground come near it."""


def walk(frame: Frame, gait: WalkingGait, inertia: Array, phases: int = 100) -> Stride:
    """Steady walk whose zero-moment point stays where the feet can carry it.

    Parameters
    ----------
    frame : Frame
        Lengths of the legs and feet [m].
    gait : WalkingGait
        How it walks [m/s, s, m, rad].
    inertia : Array, shape (7, 10)
        Inertial parameters of the reference robot that the walk is balanced
        for [kg, kg m, kg m2].
    phases : int
        Number of evenly spaced phases of the stride; even [1].

    Returns
    -------
    Stride
        Motion of torso and left leg from left heel strike to left heel strike [m, rad, s].

    Raises
    ------
    ValueError
        If the number of phases is odd.

    Notes
    -----
    The feet are laid down first; the torso then sways as the linear inverted pendulum wants, at
    constant height and attitude, and is shifted by ``w^2 / (w^2 + (n W)^2)`` times the error of
    the whole robot's zero-moment point, harmonic by harmonic, five times
    (three do up to 0.8 m/s, a flat foot at 1 m/s on a slope needs five). A step too long for
    the legs gives a negative reach margin.

    References
    ----------
    S. Kajita, H. Hirukawa, K. Harada, K. Yokoi, *Introduction to Humanoid Robotics*, Springer,
    2014, chapter 4.

    Examples
    --------
    >>> frame = Frame(0.4, 0.4, 0.09, 0.18, 0.24, 0.1, 0.07)
    >>> inertia = np.zeros((7, 10))
    >>> inertia[0, [0, 3]] = 50.0, 10.0
    >>> stride = walk(frame, WalkingGait(0.5, 0.6, 0.25, 0.2, 0.05, 0.18), inertia)
    >>> round(stride.knee_flexion_margin, 4), stride.period
    (0.05, 1.2)
    """
    if phases % 2:
        raise ValueError(
            f"got {phases} phases, want an even number: one leg is half a stride late"
        )
    feet = walking_feet(frame, gait, phases)
    order = _Order(
        gait.speed, gait.slope, gait.body_lean + gait.slope, gait.knee_flexion_min, gait.gravity
    )
    return _balanced(frame, feet, order, inertia, WALKING_PASSES)


def stand(frame: Frame, pose: StandingPose, inertia: Array, phases: int = 100) -> Stride:
    """Stand on both feet with the weight over the middle of the soles.

    Parameters
    ----------
    frame : Frame
        Lengths of the legs and feet [m].
    pose : StandingPose
        How it stands [rad, m].
    inertia : Array, shape (7, 10)
        Inertial parameters of the reference robot that the pose is balanced
        for [kg, kg m, kg m2].
    phases : int
        Number of phases, all alike; even [1].

    Returns
    -------
    Stride
        The same pose at every phase [m, rad, s].

    Raises
    ------
    ValueError
        If the number of phases is odd.

    Notes
    -----
    The torso is upright, on a slope too, and is moved along the ground until the whole robot's
    weight passes through the middle of the soles. All rates are exactly 0.

    Examples
    --------
    >>> frame = Frame(0.4, 0.4, 0.09, 0.18, 0.24, 0.1, 0.07)
    >>> inertia = np.zeros((7, 10))
    >>> inertia[0, [0, 3]] = 50.0, 10.0
    >>> stride = stand(frame, StandingPose(0.4, 0.18), inertia, phases=2)
    >>> stride.joint_angle[3].round(4).tolist(), stride.base_position[:, 0].round(4).tolist()
    ([-0.4, -0.4], [0.05, 0.0, 0.8725])
    """
    if phases % 2:
        raise ValueError(
            f"got {phases} phases, want an even number: one leg is half a stride late"
        )
    feet = standing_feet(frame, pose, phases)
    order = _Order(0.0, pose.slope, pose.slope, pose.knee_flexion, pose.gravity)
    return _still(_balanced(frame, feet, order, inertia, STANDING_PASSES))


def _still(stride: Stride) -> Stride:
    """Keep the first pose: what moves between phases is rounding, but would have a sign."""
    angle, base = stride.joint_angle, stride.base_position
    return replace(
        stride,
        joint_angle=np.repeat(angle[:, :1], stride.phases, axis=1),
        joint_speed=np.zeros_like(angle),
        joint_acceleration=np.zeros_like(angle),
        base_position=np.repeat(base[:, :1], stride.phases, axis=1),
        base_acceleration=np.zeros_like(base),
    )


@dataclass(frozen=True)
class _Order:
    """What the torso is told: speed [m/s], slope, pitch, least knee bend [rad], gravity [m/s2]."""

    speed: float
    slope: float
    torso_pitch: float
    knee_flexion: float
    gravity: float


def _balanced(frame: Frame, feet: Feet, order: _Order, inertia: Array, passes: int) -> Stride:
    """Stride whose zero-moment point is the one the feet are to give."""
    wanted = zero_moment_reference(feet)
    normal_gravity = order.gravity * np.cos(order.slope)
    least_force = LEAST_FORCE_SHARE * normal_gravity * (inertia[0, 0] + 2 * inertia[1:, 0].sum())
    height = frame.leg_length
    sway = periodic_sway(wanted, feet.period, height, normal_gravity)
    # on a slope the centre of mass stands plumb over the zero-moment point
    sway[0] += height * np.tan(order.slope)
    stride = _posed(frame, feet, order, sway)
    for _ in range(passes):
        pose = leg_pose(frame, stride.base_position, stride.base_rotation, stride.joint_angle)
        height = float(mass_centre(pose, inertia)[2].mean())
        wrench = ground_wrench(frame, stride, inertia)
        error = wanted - zero_moment_point(wrench, least_force=least_force)
        # a walk beyond all balance must not run away: no correction is longer than the leg
        bounded = np.clip(error, -frame.leg_length, frame.leg_length)
        sway += periodic_sway(bounded, feet.period, height, normal_gravity)
        stride = _posed(frame, feet, order, sway)
    return stride


def _posed(frame: Frame, feet: Feet, order: _Order, sway: Array) -> Stride:
    """Stride with the mid-point of the hips over a given path."""
    phases = sway.shape[-1]
    rotation = pitch_rotation(np.full(phases, order.torso_pitch))
    height = np.full(phases, _hip_height(frame, feet, sway, order.knee_flexion))
    base = np.concatenate((sway, height[np.newaxis]))
    angle, stretch = joint_angles(
        frame, base, rotation, feet.ankle_position, pitch_rotation(feet.pitch)
    )
    speed, acceleration = derivatives(angle, feet.period)
    tilt = np.array([-np.sin(order.slope), 0.0, -np.cos(order.slope)])
    return Stride(
        period=feet.period,
        speed=order.speed,
        gravity=order.gravity * tilt,
        joint_angle=angle,
        joint_speed=speed,
        joint_acceleration=acceleration,
        base_position=base,
        base_acceleration=derivatives(base, feet.period)[1],
        base_rotation=rotation,
        base_angular_speed=np.zeros((3, phases)),
        base_angular_acceleration=np.zeros((3, phases)),
        load_share=feet.load_share,
        pressure_point=feet.pressure_point,
        sole_room=feet.sole_room,
        reach_margin=1.0 - float(stretch.max()),
        knee_flexion_margin=-float(angle[JOINTS.index("knee")].max()) - STRAIGHT_KNEE_GUARD,
    )


def _hip_height(frame: Frame, feet: Feet, sway: Array, knee_flexion: float) -> float:
    """Greatest constant height of the hips at which the knee keeps its least bend.

    Where a foot is out of reach at any height, the hips are put level with the ankle.
    """
    thigh, shank = frame.thigh, frame.shank
    leg_squared = thigh**2 + shank**2 + 2 * thigh * shank * np.cos(knee_flexion)
    aside = sway[1] + frame.hip_spacing / 2 - feet.ankle_position[1]
    along = sway[0] - feet.ankle_position[0]
    upward = np.sqrt(np.maximum(leg_squared - along**2 - aside**2, 0.0))
    return float((feet.ankle_position[2] + upward).min())
