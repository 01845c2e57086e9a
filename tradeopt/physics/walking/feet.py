"""Paths of the feet, and how the ground is to carry them, over one stride."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from tradeopt.arrays import Array, Codes
from tradeopt.physics.walking.frame import Frame
from tradeopt.physics.walking.gait import StandingPose, WalkingGait
from tradeopt.physics.walking.vectors import mirrored

DOUBLE_SUPPORT_RANGE: Final = (0.02, 0.9)
"""Shares of double support that the paths can be drawn for [1]; others are moved to the nearer."""

TOE_OFF_RATE: Final = 1.1
"""Pitch rate at toe-off over the mean rate of the roll before it [1]; a choice of shape."""

HEEL_STRIKE_RATE: Final = 0.6
"""Pitch rate at heel strike over the mean rate of the roll after it [1]; a choice of shape."""

HEEL_STRIKE_SHARE: Final = 0.5
"""Pitch at heel strike over pitch at toe-off [1]; a choice of shape."""

FLAT_PRESSURE_SHARE: Final = 1 / 3
"""Where a flat foot's pressure ends up, from ankle (0) to toe edge (1) [1]; a choice of shape."""

STANDING_PERIOD: Final = 1.0
"""Length given to a stride in which nothing moves [s]; no result depends on it."""


@dataclass(frozen=True)
class Feet:
    """Left foot over one stride, from its heel strike; the right foot is its mirror image.

    Parameters
    ----------
    period : float
        Time of a stride, which is two steps [s].
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
    """

    period: float
    ankle_position: Array
    pitch: Array
    load_share: Array
    pressure_point: Array
    sole_room: Array


def zero_moment_reference(feet: Feet) -> Array:
    """Zero-moment point that the two feet together are to give.

    Parameters
    ----------
    feet : Feet
        Paths and loads of the feet [m, 1].

    Returns
    -------
    Array, shape (2, phase)
        Forward and sideways place on the ground, in the walking frame [m].

    Notes
    -----
    Mean of the two centres of pressure, weighted by the load each foot carries.

    References
    ----------
    M. Vukobratovic, B. Borovac, "Zero-moment point: thirty five years of its life",
    Int. J. Humanoid Robotics 1(1):157-173, 2004.

    Examples
    --------
    >>> frame = Frame(0.4, 0.4, 0.09, 0.18, 0.24, 0.1, 0.07)
    >>> feet = standing_feet(frame, StandingPose(knee_flexion=0.3, step_width=0.2), 2)
    >>> zero_moment_reference(feet)[:, 0].round(4).tolist()
    [0.05, 0.0]
    """
    left = feet.load_share * feet.pressure_point[:2]
    return left + mirrored(feet.load_share * feet.pressure_point)[:2]


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
        period=STANDING_PERIOD,
        ankle_position=_repeated((0.0, side, frame.ankle_height), phases),
        pitch=np.zeros(phases),
        load_share=np.full(phases, 0.5),
        pressure_point=_repeated((middle, side, 0.0), phases),
        sole_room=np.full((2, phases), frame.foot_length / 2),
    )


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
    timing = _Timing.of(gait, phases)
    pitch = _pitch(gait.toe_off_angle, timing)
    ankle = _ankle_path(frame, gait, timing, pitch)
    ankle -= np.stack((gait.speed * timing.time, np.zeros(phases)))
    share = _load_share(timing)
    along, room = _pressure(frame, gait, timing)
    side = np.full(phases, gait.step_width / 2)
    along_ground = along - gait.speed * timing.time
    return Feet(
        period=2 * timing.step,
        ankle_position=np.stack((ankle[0], side, ankle[1])),
        pitch=pitch,
        load_share=share,
        pressure_point=np.stack((along_ground, side, np.zeros(phases))),
        sole_room=room,
    )


@dataclass(frozen=True)
class _Timing:
    """Times since the left heel strike [s], and which of the four spells each one falls in."""

    time: Array
    step: float
    both: float
    spell: Codes

    @classmethod
    def of(cls, gait: WalkingGait, phases: int) -> "_Timing":
        step = gait.step_time
        both = step * min(
            max(gait.double_support, DOUBLE_SUPPORT_RANGE[0]), DOUBLE_SUPPORT_RANGE[1]
        )
        time = np.linspace(0.0, 2 * step, phases, endpoint=False)
        # a phase on a border belongs to the later spell, however its time was rounded
        borders = np.array([both, step, step + both]) - 1e-9 * step
        spell = np.searchsorted(borders, time, side="right")
        return cls(time, step, both, spell)

    def pick(self, landing: Array, flat: Array, rolling: Array, swing: Array) -> Array:
        """Value of the spell that each phase falls in."""
        return np.choose(self.spell, (landing, flat, rolling, swing))

    @property
    def shares(self) -> tuple[Array, Array, Array, Array]:
        """How far each spell is done, from 0 to 1, at every phase."""
        single = self.step - self.both
        starts = (0.0, self.both, self.step, self.step + self.both)
        lengths = (self.both, single, self.both, single)
        landing, flat, rolling, swing = (
            np.clip((self.time - start) / length, 0.0, 1.0)
            for start, length in zip(starts, lengths, strict=True)
        )
        return landing, flat, rolling, swing


_State = tuple[float, float, float]
"""Position, speed and acceleration."""

_REST: Final[_State] = (0.0, 0.0, 0.0)


def _quintic(start: _State, end: _State, duration: float, share: Array) -> Array:
    """Polynomial of fifth degree between two states; share runs from 0 to 1."""
    position, speed, acceleration = start[0], start[1] * duration, start[2] * duration**2
    gap = end[0] - position - speed - acceleration / 2
    speed_gap = end[1] * duration - speed - acceleration
    acceleration_gap = end[2] * duration**2 - acceleration
    cubic = 10 * gap - 4 * speed_gap + acceleration_gap / 2
    quartic = -15 * gap + 7 * speed_gap - acceleration_gap
    fifth = 6 * gap - 3 * speed_gap + acceleration_gap / 2
    bend = cubic + share * (quartic + share * fifth)
    return np.asarray(position + share * (speed + share * (acceleration / 2 + share * bend)))


def _smooth_step(share: Array) -> Array:
    """Rise from 0 to 1 that starts and ends at rest."""
    return _quintic(_REST, (1.0, 0.0, 0.0), 1.0, share)


def _roll_states(toe_off_angle: float, both: float) -> tuple[_State, _State]:
    """Pitch states at toe-off and at heel strike."""
    strike_angle = -HEEL_STRIKE_SHARE * toe_off_angle
    toe_off = (toe_off_angle, TOE_OFF_RATE * toe_off_angle / both, 0.0)
    return toe_off, (strike_angle, -HEEL_STRIKE_RATE * strike_angle / both, 0.0)


def _pitch(toe_off_angle: float, timing: _Timing) -> Array:
    toe_off, strike = _roll_states(toe_off_angle, timing.both)
    landing, flat, rolling, swing = timing.shares
    return timing.pick(
        _quintic(strike, _REST, timing.both, landing),
        np.zeros_like(flat),
        _quintic(_REST, toe_off, timing.both, rolling),
        _quintic(toe_off, strike, timing.step - timing.both, swing),
    )


def _ankle_over_edge(frame: Frame, pitch: Array) -> Array:
    """Forward place and height of the ankle while the foot rolls over the edge it stands on."""
    edge = np.where(pitch > 0, frame.toe, -frame.heel)
    sine, cosine = np.sin(pitch), np.cos(pitch)
    forward = edge * (1 - cosine) + frame.ankle_height * sine
    return np.stack((forward, edge * sine + frame.ankle_height * cosine))


def _edge_states(frame: Frame, pitch: _State, edge: float) -> tuple[_State, _State]:
    """Forward and upward state of an ankle that turns about an edge at constant pitch rate."""
    forward, height = _ankle_over_edge(frame, np.array(pitch[0]))
    arm, rate = float(forward) - edge, pitch[1]
    return (
        (float(forward), rate * float(height), -(rate**2) * arm),
        (float(height), -rate * arm, -(rate**2) * float(height)),
    )


def _ankle_path(frame: Frame, gait: WalkingGait, timing: _Timing, pitch: Array) -> Array:
    """Forward place and height of the left ankle; its own stance foot stands at x = 0."""
    toe_off, strike = _roll_states(gait.toe_off_angle, timing.both)
    leave_forward, leave_up = _edge_states(frame, toe_off, frame.toe)
    land_forward, land_up = _edge_states(frame, strike, -frame.heel)
    stride_length = 2 * gait.speed * timing.step
    land_ahead = (land_forward[0] + stride_length, *land_forward[1:])
    swing, duration = timing.shares[3], timing.step - timing.both
    # 64 (s (1 - s))^3 is 1 half-way and at rest at both ends
    lift = gait.foot_clearance * 64 * (swing * (1 - swing)) ** 3
    forward = _quintic(leave_forward, land_ahead, duration, swing)
    height = _quintic(leave_up, land_up, duration, swing) + lift
    stance = _ankle_over_edge(frame, pitch)
    return timing.pick(stance, stance, stance, np.stack((forward, height)))


def _load_share(timing: _Timing) -> Array:
    landing, flat, rolling, swing = timing.shares
    return timing.pick(
        _smooth_step(landing), np.ones_like(flat), 1 - _smooth_step(rolling), np.zeros_like(swing)
    )


def _pressure(frame: Frame, gait: WalkingGait, timing: _Timing) -> tuple[Array, Array]:
    """Centre of pressure ahead of the ankle's stance place, and room before and behind it."""
    rolls = gait.toe_off_angle > 0
    first, last = (-frame.heel, frame.toe) if rolls else (0.0, FLAT_PRESSURE_SHARE * frame.toe)
    flat = first + (last - first) * _smooth_step(timing.shares[1])
    place = timing.pick(np.full_like(flat, first), flat, np.full_like(flat, last), flat)
    room = np.stack((frame.toe - place, place + frame.heel))
    edge = np.zeros_like(room) if rolls else room
    return place, timing.pick(edge, room, edge, room)


def _repeated(vector: tuple[float, float, float], phases: int) -> Array:
    return np.repeat(np.array(vector)[:, np.newaxis], phases, axis=1)
