"""Gaits of which the motion was recorded; the torques are those of this robot's own bodies."""

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array, Codes
from tradeopt.chain.kind import File, Kind, Number, Step, Word
from tradeopt.chain.stage import Values
from tradeopt.physics.walking import contact
from tradeopt.physics.walking.dynamics import LoadMatrices, load_matrices, weighted_loads
from tradeopt.physics.walking.following import RecordedMotion, follow
from tradeopt.physics.walking.frame import Frame
from tradeopt.physics.walking.impact import collision_loss
from tradeopt.physics.walking.recording import load_share
from tradeopt.physics.walking.stride import Stride
from tradeopt.stages import slots
from tradeopt.stages.alike import alike_rows
from tradeopt.stages.recorded import (
    ANGLES,
    ATTITUDE,
    FOOT_LOAD,
    HARMONICS,
    POSITION,
    SPREAD_ALLOWED,
    STATISTICS,
    STEPS,
    STRIDE,
    STRIDE_TIME,
    known_of_strides,
    stacked,
)
from tradeopt.stages.walking import PAYLOAD, loaded_bodies

_STRIDES_KEPT = 256
_PAYLOAD = tuple(replace(one, compared=False) for one in PAYLOAD)
OVER_FLAT_FOOT = "over_flat_foot"
_TORSO = Word(
    "torso",
    (OVER_FLAT_FOOT, "attitude", "motion"),
    "how the torso moves: as the foot that stands flat alone on the ground holds it, or with the "
    "recorded attitude, or with recorded attitude and path",
)
_SUPPORT = Word(
    "support",
    ("by_rule", "foot_load"),
    "how the feet share the load: smoothly within the double support, or as recorded",
)
_SOLE = Word(
    "sole",
    ("flat", "rolling"),
    "whether the pressure stays under a flat foot or goes from heel edge to toe edge",
)
_NUMBERS = (
    STRIDE_TIME,
    Number(
        "double_support",
        "1",
        "share of the step with both feet down",
        (0.15, 0.35),
        above=0.0,
        at_most=0.9,
    ),
    Number(
        "slope", "rad", "of the ground, uphill positive", (-0.1, 0.1), at_least=-0.5, at_most=0.5
    ),
    HARMONICS,
    Number(
        "torso_harmonics",
        "1",
        "harmonics kept of the torso",
        (4, 8),
        at_least=1.0,
        whole=True,
    ),
)
_CHOSEN = (*_NUMBERS, _TORSO, _SUPPORT, _SOLE)


@dataclass(frozen=True)
class _Order:
    """All numbers and words of one recorded motion, as the chain gives them."""

    stride_time: float
    double_support: float
    slope: float
    harmonics: float
    torso_harmonics: float
    torso: float
    support: float
    sole: float
    gravity: float


@lru_cache(maxsize=_STRIDES_KEPT)
def _followed(frame: Frame, order: _Order, recording: bytes) -> tuple[Stride, LoadMatrices]:
    channels = np.frombuffer(recording).reshape(-1, q.PHASES)
    angles, attitude, position, (load,) = np.split(channels, (6, 9, 12))
    torso = _TORSO.words[int(order.torso)]
    motion = RecordedMotion(
        period=order.stride_time,
        joint_angle=angles,
        double_support=order.double_support,
        rolling=_SOLE.words[int(order.sole)] == "rolling",
        harmonics=int(order.harmonics),
        torso_harmonics=int(order.torso_harmonics),
        gravity=order.gravity,
        slope=order.slope,
        attitude=None if torso == OVER_FLAT_FOOT else attitude,
        position=position if torso == "motion" else None,
        foot_load=load_share(load) if _SUPPORT.words[int(order.support)] == "foot_load" else None,
    )
    stride = follow(frame, motion)
    return stride, load_matrices(frame, stride)


def _recorded_motion(values: Values) -> Values:
    recording = stacked(values, (*ANGLES, *ATTITUDE, *POSITION, FOOT_LOAD))
    names = (*(one.name for one in _CHOSEN), q.GRAVITY.name)
    lengths = tuple(one.name for one in q.FRAME_LENGTHS)
    keys = np.stack([values[name] for name in (*lengths, *names)], axis=1)
    bodies = loaded_bodies(values[q.INERTIA.name], [values[one.name] for one in _PAYLOAD])
    shape = (len(keys), len(q.JOINTS), q.PHASES)
    shapes = {q.STRIDE: shape, q.FOOT_LOAD.axes: (len(keys), q.PHASES)}
    given = {
        one.name: np.empty(shapes.get(one.axes, len(keys))) for one in slots.GAIT.steps["duty"]
    }
    for first, alike in alike_rows(np.column_stack((keys, _numbered(recording)))):
        frame = Frame(*(float(values[name][first]) for name in lengths))
        order = _Order(**{name: float(values[name][first]) for name in names})
        stride, matrices = _followed(frame, order, recording[first].tobytes())
        for name, found in _loads(frame, stride, matrices, bodies[alike]).items():
            given[name][alike] = found
    return given


def _numbered(recordings: Array) -> Codes:
    """Give every recording a number, equal ones the same."""
    seen: dict[bytes, int] = {}
    return np.array([seen.setdefault(one.tobytes(), len(seen)) for one in recordings])


def _loads(frame: Frame, stride: Stride, matrices: LoadMatrices, bodies: Array) -> Values:
    mass = bodies[:, 0, 0] + 2.0 * bodies[:, 1:, 0].sum(axis=1)
    weight = mass * -stride.gravity[2]
    stance = stride.load_share > 0.0
    foot = weighted_loads(matrices.foot_wrench, bodies)
    held = {"least_force": contact.LOADED_SHARE * weight}
    width = np.full_like(mass, frame.foot_width)
    room = np.broadcast_to(stride.sole_room[:, stance], (len(mass), 2, int(stance.sum())))
    speed = np.full_like(mass, stride.speed)
    step = speed * stride.period / STEPS
    return {
        q.STRIDE_TIME.name: np.array(stride.period),
        q.WALKING_SPEED.name: np.array(stride.speed),
        q.JOINT_ANGLE.name: stride.joint_angle,
        q.JOINT_SPEED.name: stride.joint_speed,
        q.JOINT_ACCELERATION.name: stride.joint_acceleration,
        q.JOINT_TORQUE.name: weighted_loads(matrices.torque, bodies),
        q.REACH_MARGIN.name: np.array(stride.reach_margin),
        # whoever was recorded kept its balance, however straight the knee
        q.KNEE_FLEXION_MARGIN.name: np.ones_like(mass),
        q.BALANCE_MARGIN.name: np.ones_like(mass),
        q.STEP_CLEARANCE_MARGIN.name: np.ones_like(mass),
        q.GROUND_LOAD_MARGIN.name: contact.least_load(
            weighted_loads(matrices.ground_wrench, bodies)[:, 2], weight=weight
        ),
        q.FOOT_LOAD.name: foot[:, 2],
        q.FRICTION_USE.name: contact.friction_use(foot[..., stance], **held),
        q.SOLE_ROOM.name: contact.sole_room(
            foot[..., stance], room=room, foot_width=width, **held
        ),
        q.TOUCHDOWN_ENERGY.name: collision_loss(
            mass, speed, step, np.full_like(mass, frame.leg_length)
        ),
    }


RECORDED_MOTION = Kind(
    "recorded_motion",
    slots.GAIT,
    "recorded joint angles; the torques are those of this robot's own bodies in that motion",
    (
        File(
            STRIDE,
            "stride",
            (
                *ANGLES,
                *(one.asked((_TORSO.name, ("attitude", "motion"))) for one in ATTITUDE),
                *(one.asked((_TORSO.name, ("motion",))) for one in POSITION),
                FOOT_LOAD.asked((_SUPPORT.name, ("foot_load",))),
                *STATISTICS,
            ),
            "angles of one leg or both, over one stride or many; torso and foot load as asked for",
        ),
        *_CHOSEN,
        SPREAD_ALLOWED,
        *_PAYLOAD,
    ),
    {
        "size": Step((), known_of_strides),
        "duty": Step((*q.FRAME_LENGTHS, q.GRAVITY, q.INERTIA), _recorded_motion),
    },
)
