"""Paths of the feet, and how the ground is to carry them, over one stride."""

import math
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from tradeopt.arrays import Array
from tradeopt.physics.walking.frame import Frame
from tradeopt.physics.walking.gait import OneFootPose, StandingPose, WalkingGait
from tradeopt.physics.walking.timing import REST, State, Timing, lift, quintic, smooth_step
from tradeopt.physics.walking.vectors import mirrored

TOE_OFF_RATE: Final = 1.1
"""Pitch rate at toe-off over the mean rate of the roll before it [1]; a choice of shape."""

HEEL_STRIKE_RATE: Final = 0.6
"""Pitch rate at heel strike over the mean rate of the roll after it [1]; a choice of shape."""

HEEL_STRIKE_SHARE: Final = 0.5
"""Pitch at heel strike over pitch at toe-off [1]; a choice of shape."""

FLAT_PRESSURE_SHARE: Final = 1 / 3
"""Where a flat foot's pressure ends up, from ankle (0) to toe edge (1) [1]; a choice of shape."""

STILL: Final = math.inf
"""Period of a stride in which nothing moves [s]: every rate over it is nil."""


@dataclass(frozen=True)
class Feet:
    """Left foot over one stride, from its heel strike; the right foot is its mirror image.

    Parameters
    ----------
    period : float
        Time of a stride [s]; infinite where nothing moves.
    ankle_position : Array, shape (3, phase)
        Path of the ankle in the walking frame [m].
    pitch : Array, shape (phase,)
        Pitch of the foot, positive toe down [rad].
    load_share : Array, shape (phase,)
        Part of the robot's load that the left foot is to carry [1].
    pressure_point : Array, shape (3, phase)
        Centre of pressure the left foot is to have, in the walking frame [m].
    sole_room : Array, shape (2, phase)
        From the centre of pressure to the front and to the rear end of what touches the ground;
        both 0 while the foot rolls over an edge [m].
    yaw : Array, shape (phase,)
        Turn of the foot about the vertical, positive to the left [rad].
    step_clearance : float
        Least height of the swinging sole over the edges of steps [m]; infinite where there are
        none.
    """

    period: float
    ankle_position: Array
    pitch: Array
    load_share: Array
    pressure_point: Array
    sole_room: Array
    yaw: Array
    step_clearance: float


def zero_moment_reference(feet: Feet) -> Array:
    """Zero-moment point that the two feet together are to give.

    Parameters
    ----------
    feet : Feet
        Paths and loads of the feet [m, 1].

    Returns
    -------
    Array, shape (3, phase)
        Place in the walking frame [m].

    Notes
    -----
    Mean of the two centres of pressure, weighted by the load each foot carries. Feet at unlike
    heights, as on stairs, give a point between the two, about which they have no tilting moment.

    References
    ----------
    M. Vukobratovic, B. Borovac, "Zero-moment point: thirty five years of its life",
    Int. J. Humanoid Robotics 1(1):157-173, 2004.

    Examples
    --------
    >>> frame = Frame(0.4, 0.4, 0.09, 0.18, 0.24, 0.1, 0.07)
    >>> feet = standing_feet(frame, StandingPose(knee_flexion=0.3, step_width=0.2), 2)
    >>> zero_moment_reference(feet)[:, 0].round(4).tolist()
    [0.05, 0.0, 0.0]
    """
    left = feet.load_share * feet.pressure_point
    return left + mirrored(left)


def standing_feet(frame: Frame, pose: StandingPose, phases: int) -> Feet:
    """Feet of a robot that stands still.

    Parameters
    ----------
    frame : Frame
        Lengths of the legs and feet [m].
    pose : StandingPose
        How it stands [rad, m].
    phases : int
        Number of phases, all alike [1].

    Returns
    -------
    Feet
        Both soles flat, each under half the load, pressed at the middle of the sole [m, 1].

    Notes
    -----
    Ankles at x = 0. The middle of the sole leaves most room to be pushed; the ankles pay for it
    with a torque of half the weight times the distance from ankle to mid-sole.

    Examples
    --------
    >>> frame = Frame(0.4, 0.4, 0.09, 0.18, 0.24, 0.1, 0.07)
    >>> feet = standing_feet(frame, StandingPose(knee_flexion=0.3, step_width=0.2), 2)
    >>> feet.pressure_point[:, 0].round(4).tolist()
    [0.05, 0.1, 0.0]
    """
    side = pose.step_width / 2
    middle = frame.toe - frame.foot_length / 2
    return Feet(
        period=STILL,
        ankle_position=_repeated((0.0, side, frame.ankle_height), phases),
        pitch=np.zeros(phases),
        load_share=np.full(phases, 0.5),
        pressure_point=_repeated((middle, side, 0.0), phases),
        sole_room=np.full((2, phases), frame.foot_length / 2),
        yaw=np.zeros(phases),
        step_clearance=math.inf,
    )


def one_foot(frame: Frame, pose: OneFootPose, phases: int) -> Feet:
    """Feet of a robot that stands on one foot, each in turn.

    Parameters
    ----------
    frame : Frame
        Lengths of the legs and feet [m].
    pose : OneFootPose
        How it stands [rad, m].
    phases : int
        Number of phases; even [1].

    Returns
    -------
    Feet
        The left foot carries all in the first half of the phases; in the second half it hangs
        beside the right one [m, 1].

    Notes
    -----
    Soles flat, ankles at x = 0, the pressure at mid-sole. The change of feet is left out.

    Examples
    --------
    >>> frame = Frame(0.4, 0.4, 0.09, 0.18, 0.24, 0.1, 0.07)
    >>> feet = one_foot(frame, OneFootPose(0.3, 0.2, 0.05), 2)
    >>> feet.ankle_position[2].round(4).tolist(), feet.load_share.tolist()
    ([0.09, 0.14], [1.0, 0.0])
    """
    both = standing_feet(frame, StandingPose(pose.knee_flexion, pose.step_width), phases)
    lifted = np.arange(phases) >= phases // 2
    ankle = both.ankle_position.copy()
    ankle[2, lifted] += pose.foot_clearance
    share = np.where(lifted, 0.0, 1.0)
    return replace(both, ankle_position=ankle, load_share=share)


def walking_feet(frame: Frame, gait: WalkingGait, phases: int) -> Feet:
    """Feet of a robot that walks, flat-footed or from heel to toe.

    Parameters
    ----------
    frame : Frame
        Lengths of the legs and feet [m].
    gait : WalkingGait
        How it walks [m/s, s, m, rad].
    phases : int
        Number of evenly spaced phases of the stride; even [1].

    Returns
    -------
    Feet
        Path, pitch, load and centre of pressure of the left foot from its heel strike [m, rad, 1].

    Notes
    -----
    The stride: roll from heel strike to flat (double support), flat (single support), roll over
    the toe edge (double support), swing. Pitch and swing are quintic polynomials, so that
    acceleration is continuous; the load passes from foot to foot along a quintic too. A flat
    foot's pressure goes from under the ankle a third of the way to the toe; a rolling foot's goes
    from edge to edge. Impacts at heel strike are not modelled: the heel lands without speed.

    References
    ----------
    Q. Huang, K. Yokoi, S. Kajita et al., "Planning walking patterns for a biped robot", IEEE
    Trans. Robotics and Automation 17(3):280-289, 2001 (foot pitch at toe-off and heel strike).

    Examples
    --------
    >>> frame = Frame(0.4, 0.4, 0.09, 0.18, 0.24, 0.1, 0.07)
    >>> gait = WalkingGait(0.5, 0.6, 0.25, 0.2, 0.05, 0.18)
    >>> feet = walking_feet(frame, gait, 8)
    >>> feet.load_share.round(4).tolist()
    [0.0, 1.0, 1.0, 1.0, 1.0, 0.0, 0.0, 0.0]
    """
    timing = Timing.of(gait.step_time, gait.double_support, phases)
    pitch = _pitch(gait.toe_off_angle, timing)
    ankle = _ankle_path(frame, gait, timing, pitch)
    ankle -= np.stack((gait.speed * timing.time, np.zeros(phases)))
    along, room = pressure_path(frame, timing, rolls=gait.toe_off_angle > 0)
    side = np.full(phases, gait.step_width / 2)
    along_ground = along - gait.speed * timing.time
    return Feet(
        period=2 * timing.step,
        ankle_position=np.stack((ankle[0], side, ankle[1])),
        pitch=pitch,
        load_share=timing.load_share,
        pressure_point=np.stack((along_ground, side, np.zeros(phases))),
        sole_room=room,
        yaw=np.zeros(phases),
        step_clearance=math.inf,
    )


def _roll_states(toe_off_angle: float, both: float) -> tuple[State, State]:
    """Pitch states at toe-off and at heel strike."""
    strike_angle = -HEEL_STRIKE_SHARE * toe_off_angle
    toe_off = (toe_off_angle, TOE_OFF_RATE * toe_off_angle / both, 0.0)
    return toe_off, (strike_angle, -HEEL_STRIKE_RATE * strike_angle / both, 0.0)


def _pitch(toe_off_angle: float, timing: Timing) -> Array:
    toe_off, strike = _roll_states(toe_off_angle, timing.both)
    landing, flat, rolling, swing = timing.shares
    return timing.pick(
        quintic(strike, REST, timing.both, landing),
        np.zeros_like(flat),
        quintic(REST, toe_off, timing.both, rolling),
        quintic(toe_off, strike, timing.step - timing.both, swing),
    )


def _ankle_over_edge(frame: Frame, pitch: Array) -> Array:
    """Forward place and height of the ankle while the foot rolls over the edge it stands on."""
    edge = np.where(pitch > 0, frame.toe, -frame.heel)
    sine, cosine = np.sin(pitch), np.cos(pitch)
    forward = edge * (1 - cosine) + frame.ankle_height * sine
    return np.stack((forward, edge * sine + frame.ankle_height * cosine))


def _edge_states(frame: Frame, pitch: State, edge: float) -> tuple[State, State]:
    """Forward and upward state of an ankle that turns about an edge at constant pitch rate."""
    forward, height = _ankle_over_edge(frame, np.array(pitch[0]))
    arm, rate = float(forward) - edge, pitch[1]
    return (
        (float(forward), rate * float(height), -(rate**2) * arm),
        (float(height), -rate * arm, -(rate**2) * float(height)),
    )


def _ankle_path(frame: Frame, gait: WalkingGait, timing: Timing, pitch: Array) -> Array:
    """Forward place and height of the left ankle; its own stance foot stands at x = 0."""
    toe_off, strike = _roll_states(gait.toe_off_angle, timing.both)
    leave_forward, leave_up = _edge_states(frame, toe_off, frame.toe)
    land_forward, land_up = _edge_states(frame, strike, -frame.heel)
    stride_length = 2 * gait.speed * timing.step
    land_ahead = (land_forward[0] + stride_length, *land_forward[1:])
    swing, duration = timing.shares[3], timing.step - timing.both
    forward = quintic(leave_forward, land_ahead, duration, swing)
    height = quintic(leave_up, land_up, duration, swing) + gait.foot_clearance * lift(swing)
    stance = _ankle_over_edge(frame, pitch)
    return timing.pick(stance, stance, stance, np.stack((forward, height)))


def pressure_path(frame: Frame, timing: Timing, *, rolls: bool) -> tuple[Array, Array]:
    """Centre of pressure of a foot while it stands, and the room around it.

    Parameters
    ----------
    frame : Frame
        Lengths of the feet [m].
    timing : Timing
        When it stands [s].
    rolls : bool
        True for a foot that rolls from heel edge to toe edge, False for a flat one [-].

    Returns
    -------
    tuple of Array, shapes (phase,) and (2, phase)
        Place ahead of the ankle's stance place [m], and room before and behind it [m].

    Notes
    -----
    A flat foot's pressure goes from under the ankle a third of the way to the toe, a rolling
    foot's from edge to edge; while it turns about an edge there is no room along it.

    Examples
    --------
    >>> frame = Frame(0.4, 0.4, 0.09, 0.18, 0.24, 0.1, 0.07)
    >>> pressure_path(frame, Timing.of(0.6, 0.25, 8), rolls=False)[0][:5].round(4).tolist()
    [0.0, 0.0, 0.0119, 0.0448, 0.0567]
    """
    first, last = (-frame.heel, frame.toe) if rolls else (0.0, FLAT_PRESSURE_SHARE * frame.toe)
    flat = first + (last - first) * smooth_step(timing.shares[1])
    place = timing.pick(np.full_like(flat, first), flat, np.full_like(flat, last), flat)
    room = np.stack((frame.toe - place, place + frame.heel))
    edge = np.zeros_like(room) if rolls else room
    return place, timing.pick(edge, room, edge, room)


def _repeated(vector: tuple[float, float, float], phases: int) -> Array:
    return np.repeat(np.array(vector)[:, np.newaxis], phases, axis=1)
