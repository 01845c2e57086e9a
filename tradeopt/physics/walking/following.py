"""A stride that follows recorded joint angles, so that its loads can be worked out."""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from tradeopt.arrays import Array
from tradeopt.physics.walking.feet import Feet, walking_feet
from tradeopt.physics.walking.frame import JOINTS, Frame
from tradeopt.physics.walking.gait import WalkingGait
from tradeopt.physics.walking.leg import LegPose, leg_pose
from tradeopt.physics.walking.periodic import derivatives, low_pass
from tradeopt.physics.walking.posture import knee_margin, reach_margin
from tradeopt.physics.walking.recording import leg_forward, most_forward
from tradeopt.physics.walking.stride import Stride
from tradeopt.physics.walking.vectors import mirrored

SUPPORT_PASSES: Final = 4
"""How often the torso is placed on the feet and the time of landing is read off it [1]; a choice
of this model."""

LIFTED_SHARE: Final = 0.05
"""A foot counts as lifted from this share of its greatest height over the other foot [1]; a choice
of this model."""

FITTED_HARMONICS: Final = 4
"""Most harmonics of the torso's attitude that are fitted to the single supports [1]: more of them
would have nothing to hold them in the double supports between; a choice of this model."""

SEARCHED_SHARE: Final = 0.12
"""How far from the moment at which the leg is most forward its heel strike is looked for, over the
stride [1]; a choice of this model."""

_SWAY: Final = np.array([-1.0, 1.0, -1.0])[:, np.newaxis]
"""Signs of roll, pitch and yaw in the mirror of left and right."""

_ROLLING: Final = 0.4
"""Toe-off angle that stands for any rolling foot [rad]; only whether it is 0 matters here."""


@dataclass(frozen=True)
class RecordedMotion:
    """What was recorded of a steady walk, over one stride of the left leg.

    Parameters
    ----------
    period : float
        Time of the stride [s].
    joint_angle : Array, shape (6, phase)
        Angles of the left leg, from any phase [rad].
    double_support : float
        Share of the step time with both feet on the ground [1].
    rolling : bool
        Whether the pressure goes from the heel edge to the toe edge, or stays under a flat
        foot [-].
    harmonics : int
        Highest harmonic that is kept of the joint angles [1].
    torso_harmonics : int
        Highest harmonic that is kept of the torso's motion [1].
    gravity : float
        Acceleration of free fall [m/s2].
    slope : float
        Rise of the ground ahead; positive is uphill [rad].
    attitude : Array, shape (3, phase), optional
        Roll, pitch and yaw of the torso against the vertical; without it the foot on the ground
        is taken for flat [rad].
    position : Array, shape (3, phase), optional
        Path of the mid-point of the hips, of which only the changes count; without it the hips
        are carried by the foot on the ground [m].
    foot_load : Array, shape (phase,), optional
        Part of the robot's weight on the left foot; without it the load passes from foot to foot
        within the double support [1].
    """

    period: float
    joint_angle: Array
    double_support: float
    rolling: bool
    harmonics: int
    torso_harmonics: int
    gravity: float
    slope: float = 0.0
    attitude: Array | None = None
    position: Array | None = None
    foot_load: Array | None = None


def follow(frame: Frame, motion: RecordedMotion) -> Stride:
    """Stride that has the recorded joint angles and keeps the feet on the ground.

    Parameters
    ----------
    frame : Frame
        Lengths of the legs and feet [m].
    motion : RecordedMotion
        What was recorded [rad, s].

    Returns
    -------
    Stride
        Motion of torso and left leg from left heel strike to left heel strike [m, rad, s].

    Notes
    -----
    Left and right are taken for mirror images half a stride apart, so of the torso's motion only
    the part that fits is kept. The attitude of the torso is the recorded one, or the first
    harmonics of that which holds the foot flat while it is alone on the ground. The hips are
    carried by the foot on the ground, which stands on its lower edge and does not slip; in double
    support by both feet in proportion to their loads, and the speed, the width of the steps and
    the toe-out are those at which the two agree. A recorded path of the hips is moved as a whole
    onto those feet. The left foot lands half a double support before the moment at which the two
    soles are level. The same angles make longer steps of longer legs.

    Examples
    --------
    Angles of a generated walk give the walk back.

    >>> from tradeopt.physics.walking.pattern import walk
    >>> frame = Frame(0.4, 0.4, 0.09, 0.18, 0.24, 0.1, 0.07)
    >>> inertia = np.zeros((7, 10))
    >>> inertia[0, [0, 3]] = 50.0, 10.0
    >>> walked = walk(frame, WalkingGait(0.5, 0.6, 0.25, 0.2, 0.05, 0.18, gravity=9.81), inertia)
    >>> stride = follow(frame, RecordedMotion(1.2, walked.joint_angle, 0.25, False, 50, 50, 9.81))
    >>> round(stride.speed, 4), bool(np.allclose(stride.base_position, walked.base_position))
    (0.5, True)
    """
    kept = _smoothed(motion)
    feet = _feet(frame, kept)
    kept = _from_phase(kept, _start(frame, kept))
    base = _placed(frame, kept, feet)
    for _ in range(SUPPORT_PASSES if kept.foot_load is None else 0):
        shift = _landing(frame, kept, base)
        if not shift:
            break
        kept = _from_phase(kept, shift)
        base = _placed(frame, kept, feet)
    return _stride(frame, kept, base)


@dataclass(frozen=True)
class _Base:
    """The torso, the feet it stands on, and the speed and places that make them agree."""

    feet: Feet
    attitude: Array
    position: Array
    speed: float
    side: float


def _smoothed(motion: RecordedMotion) -> RecordedMotion:
    """Take high harmonics off, and let the torso move left and right alike."""
    attitude, position = motion.attitude, motion.position
    half = motion.joint_angle.shape[-1] // 2
    if attitude is not None:
        attitude = low_pass(attitude, motion.torso_harmonics)
        attitude = (attitude + _SWAY * np.roll(attitude, half, axis=-1)) / 2
        # against the ground, which rises ahead
        attitude[1] += motion.slope
    if position is not None:
        position = low_pass(position, motion.torso_harmonics)
        position = (position + mirrored(position)) / 2
    angle = low_pass(motion.joint_angle, motion.harmonics)
    return replace(motion, joint_angle=angle, attitude=attitude, position=position)


def _feet(frame: Frame, motion: RecordedMotion) -> Feet:
    """How two feet carry a walk on the spot, from the left heel strike."""
    rolling = _ROLLING if motion.rolling else 0.0
    on_the_spot = WalkingGait(
        0.0, motion.period / 2, motion.double_support, 0.0, 0.0, 0.0, toe_off_angle=rolling
    )
    return walking_feet(frame, on_the_spot, motion.joint_angle.shape[-1])


def _from_phase(motion: RecordedMotion, start: int) -> RecordedMotion:
    """Count the motion from another phase."""

    def moved(array: Array | None) -> Array | None:
        return None if array is None else np.roll(array, -start, axis=-1)

    return replace(
        motion,
        joint_angle=np.roll(motion.joint_angle, -start, axis=-1),
        attitude=moved(motion.attitude),
        position=moved(motion.position),
        foot_load=moved(motion.foot_load),
    )


def _start(frame: Frame, motion: RecordedMotion) -> int:
    """First guess of the heel strike.

    Where loads were recorded, the last phase without. Else the phase, not far from where the leg
    is most forward, after which a torso over a flat foot pitches least.
    """
    if motion.foot_load is not None:
        loaded = motion.foot_load > 0.0
        return int(np.argmax(loaded & ~np.roll(loaded, 1))) - 1
    hip, knee = (motion.joint_angle[JOINTS.index(name)] for name in ("hip_pitch", "knee"))
    forward = most_forward(leg_forward(hip, knee))
    count = len(hip)
    both = round(count * motion.double_support / 2)
    window = np.arange(both, count // 2 + 1)
    reach = round(SEARCHED_SHARE * count)
    starts = forward + np.arange(-reach, reach + 1)
    pitch = _held_flat(frame, motion)[1][(starts[:, np.newaxis] + window) % count]
    return int(starts[np.argmin(pitch.std(axis=1))])


def _placed(frame: Frame, motion: RecordedMotion, feet: Feet) -> _Base:
    """Torso over the feet, for a recording that begins with the left heel strike."""
    if motion.foot_load is not None:
        feet = replace(feet, load_share=motion.foot_load)
    share = feet.load_share
    half = share.shape[-1] // 2
    both = (share * np.roll(share, half))[:half]
    if not both.any():
        both[0] = 1.0
    both = both / both.sum()
    attitude = motion.attitude
    if attitude is None:
        attitude = _flat_attitude(frame, motion, share, both)
    over = _over_foot(frame, motion, attitude, share)
    apart = over[:, half:] - over[:, :half]
    speed = 2 / motion.period * float(both @ apart[0])
    side = -float(both @ (over[1, half:] + over[1, :half])) / 2
    time = np.arange(share.shape[-1]) / share.shape[-1] * motion.period
    by_left = over + np.stack((-speed * time, np.full_like(time, side), np.zeros_like(time)))
    position = low_pass(_blended(by_left, share), motion.torso_harmonics)
    if motion.position is not None:
        moved = (position - motion.position).mean(axis=-1, keepdims=True)
        position = motion.position + moved * np.array([[1.0], [0.0], [1.0]])
    return _Base(feet, attitude, position, speed, side)


def _blended(by_left: Array, share: Array) -> Array:
    """Path by the left foot and the same by the right foot, in proportion to their loads."""
    carried = share * by_left
    return np.asarray(carried + mirrored(carried))


def _pose(frame: Frame, motion: RecordedMotion, rotation: Array) -> LegPose:
    """Left leg as seen from the mid-point of the hips."""
    return leg_pose(frame, np.zeros((3, rotation.shape[-1])), rotation, motion.joint_angle)


def _held_flat(frame: Frame, motion: RecordedMotion) -> Array:
    """Roll, pitch and yaw of the torso that would hold the left foot flat, toes ahead."""
    upright = np.repeat(np.eye(3)[:, :, np.newaxis], motion.joint_angle.shape[-1], axis=2)
    return _roll_pitch_yaw(_pose(frame, motion, upright).rotation[-1].swapaxes(0, 1))


def _flat_attitude(frame: Frame, motion: RecordedMotion, share: Array, both: Array) -> Array:
    """Roll, pitch and yaw of the torso over a foot that is flat while it is alone on the ground.

    The toes point out by a constant angle. Harmonics are fitted to the single supports, so that
    the double supports may roll.
    """
    by_left = _held_flat(frame, motion)
    half = share.shape[-1] // 2
    by_left[2] -= both @ (by_left[2, half:] + by_left[2, :half]) / 2
    carried = share * by_left
    seen = carried + _SWAY * np.roll(carried, half, axis=-1)
    alone = (share * np.roll(share, half) == 0.0).astype(np.float64)
    turn = 2 * np.pi * np.arange(share.shape[-1]) / share.shape[-1]
    orders = np.arange(min(FITTED_HARMONICS, motion.torso_harmonics) + 1)[:, np.newaxis]
    waves = np.concatenate((np.cos(orders * turn), np.sin(orders[1:] * turn)))
    fitted = np.linalg.lstsq((waves * alone).T, (seen * alone).T, rcond=None)[0]
    return np.asarray(fitted.T @ waves)


def _over_foot(frame: Frame, motion: RecordedMotion, attitude: Array, share: Array) -> Array:
    """Mid-point of the hips, seen from where the ankle stands over the flat foot."""
    pose = _pose(frame, motion, _rotation(attitude))
    foot = pose.rotation[-1]
    heading = np.arctan2(foot[1, 0], foot[0, 0])
    out = float(share @ heading / share.sum())
    edge, ahead = _lower_edge(frame, foot)
    flat = np.stack((ahead * np.cos(out), ahead * np.sin(out), np.zeros_like(ahead)))
    return np.asarray(flat - edge - pose.position[-1])


def _lower_edge(frame: Frame, foot: Array) -> tuple[Array, Array]:
    """Lower edge of the sole seen from the ankle, and how far ahead of it on the sole [m]."""
    down = foot[:, 2] * frame.ankle_height
    toe, heel = frame.toe * foot[:, 0] - down, -frame.heel * foot[:, 0] - down
    on_toe = toe[2] < heel[2]
    return np.where(on_toe, toe, heel), np.where(on_toe, frame.toe, -frame.heel)


def _landing(frame: Frame, motion: RecordedMotion, base: _Base) -> int:
    """Phases from the start of the recording to the heel strike."""
    pose = _pose(frame, motion, _rotation(base.attitude))
    height = pose.position[-1, 2] + _lower_edge(frame, pose.rotation[-1])[0][2]
    count = len(height)
    lift = low_pass(height - np.roll(height, count // 2), motion.harmonics)
    lifted = LIFTED_SHARE * lift.max()
    top = int(np.argmax(lift))
    after = np.roll(lift, -top)
    # from the left foot's highest place on: it comes down, then the right foot goes up
    comes_down = int(np.argmax(after < lifted))
    other_up = int(np.argmax(after < -lifted))
    between = top + (comes_down - 1 + other_up) / 2
    landing = round(between - count * motion.double_support / 4)
    return (landing + count // 2) % count - count // 2


def _rotation(attitude: Array) -> Array:
    """Rotation matrices (3, 3, phase) of roll, pitch and yaw; yaw is the outermost."""
    (cr, cp, cy), (sr, sp, sy) = np.cos(attitude), np.sin(attitude)
    return np.stack(
        (
            np.stack((cy * cp, cy * sp * sr - sy * cr, cy * sp * cr + sy * sr)),
            np.stack((sy * cp, sy * sp * sr + cy * cr, sy * sp * cr - cy * sr)),
            np.stack((-sp, cp * sr, cp * cr)),
        )
    )


def _roll_pitch_yaw(rotation: Array) -> Array:
    """Angles of `_rotation`, for a pitch within +-90 deg."""
    roll = np.arctan2(rotation[2, 1], rotation[2, 2])
    pitch = np.arcsin(np.clip(-rotation[2, 0], -1.0, 1.0))
    return np.stack((roll, pitch, np.arctan2(rotation[1, 0], rotation[0, 0])))


def _stride(frame: Frame, motion: RecordedMotion, base: _Base) -> Stride:
    """Everything that loads follow from."""
    period = motion.period
    rotation = _rotation(base.attitude)
    turning = derivatives(rotation, period)[0]
    spin = np.einsum("ikn,jkn->ijn", turning, rotation)
    angular_speed = np.stack((spin[2, 1], spin[0, 2], spin[1, 0]))
    speed, acceleration = derivatives(motion.joint_angle, period)
    time = np.arange(rotation.shape[-1]) / rotation.shape[-1] * period
    along = base.feet.pressure_point[0] - base.speed * time
    pose = leg_pose(frame, base.position, rotation, motion.joint_angle)
    stretch = np.linalg.norm(pose.position[-1] - pose.position[1], axis=0)
    tilt = np.array([-np.sin(motion.slope), 0.0, -np.cos(motion.slope)])
    return Stride(
        period=period,
        speed=base.speed,
        gravity=motion.gravity * tilt,
        joint_angle=motion.joint_angle,
        joint_speed=speed,
        joint_acceleration=acceleration,
        base_position=base.position,
        base_acceleration=derivatives(base.position, period)[1],
        base_rotation=rotation,
        base_angular_speed=angular_speed,
        base_angular_acceleration=derivatives(angular_speed, period)[0],
        load_share=base.feet.load_share,
        pressure_point=np.stack((along, np.full_like(along, base.side), np.zeros_like(along))),
        sole_room=base.feet.sole_room,
        reach_margin=float(
            reach_margin(
                stretch.max() / (frame.thigh + frame.shank),
                np.array(frame.thigh),
                np.array(frame.shank),
            )
        ),
        knee_flexion_margin=float(knee_margin(motion.joint_angle[JOINTS.index("knee")])),
    )
