"""Gaits: motion of the joints over a stride, and the torques that it takes.

A built-in gait does not depend on a design unless the search varies the gait or the frame. Its
stride and load matrix are therefore made once for every set of values that occurs, and each design
is one matrix product.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array, Codes
from tradeopt.chain.kind import Column, Kind, Number, Recording, Step
from tradeopt.chain.stage import Values
from tradeopt.physics.walking.contact import least_load
from tradeopt.physics.walking.dynamics import load_matrices, weighted_loads
from tradeopt.physics.walking.frame import Frame
from tradeopt.physics.walking.gait import StandingPose, WalkingGait
from tradeopt.physics.walking.pattern import STRAIGHT_KNEE_GUARD, stand, walk
from tradeopt.physics.walking.periodic import derivatives, low_pass
from tradeopt.physics.walking.stride import Stride
from tradeopt.stages import slots

_STRIDES_KEPT = 256
_FRAME = (
    q.THIGH_LENGTH,
    q.SHANK_LENGTH,
    q.ANKLE_HEIGHT,
    q.HIP_SPACING,
    q.FOOT_LENGTH,
    q.FOOT_WIDTH,
    q.HEEL_LENGTH,
)
_NEEDS = (*_FRAME, q.GRAVITY, q.INERTIA, q.REFERENCE_INERTIA)

_SPEED = Number("speed", "m/s", "mean forward speed", (0.2, 1.0), above=0.0)
_WIDTH = Number("step_width", "m", "between the centre lines of the feet", (0.14, 0.22), above=0.0)
_SLOPE = Number(
    "slope", "rad", "of the ground, uphill positive", (-0.1, 0.1), at_least=-0.5, at_most=0.5
)
_FLEXION = Number(
    "knee_flexion", "rad", "least bend of the knee", (0.2, 0.5), at_least=0.0, at_most=2.0
)


@dataclass(frozen=True)
class _Built:
    """A stride, its torque per inertial parameter, and how light it is on its feet."""

    stride: Stride
    torque: Array
    least_load: float


@lru_cache(maxsize=_STRIDES_KEPT)
def _built(frame: Frame, gait: WalkingGait | StandingPose, reference: bytes) -> _Built:
    inertia = np.frombuffer(reference).reshape(len(q.BODIES), q.INERTIAL_PARAMETERS)
    if isinstance(gait, WalkingGait):
        stride = walk(frame, gait, inertia, q.PHASES)
    else:
        stride = stand(frame, gait, inertia, q.PHASES)
    matrices = load_matrices(frame, stride)
    weight = (inertia[0, 0] + 2.0 * inertia[1:, 0].sum()) * -stride.gravity[2]
    on_ground = least_load(weighted_loads(matrices.ground_wrench, inertia), weight=weight)
    return _Built(stride, matrices.torque, float(on_ground))


def _generated(
    values: Values, gait_at: Callable[[int], WalkingGait | StandingPose], names: tuple[str, ...]
) -> Values:
    """Give each row the loads of its own gait; rows with equal values share one stride."""
    keys = np.stack([values[name] for name in (*(one.name for one in _FRAME), *names)], axis=1)
    rows = len(keys)
    shape = (rows, len(q.JOINTS), q.PHASES)
    given = {
        one.name: np.empty(shape if one.axes == q.STRIDE else rows)
        for one in slots.GAIT.steps["duty"]
    }
    for first, alike in _alike(keys):
        frame = Frame(*(float(values[one.name][first]) for one in _FRAME))
        reference = values[q.REFERENCE_INERTIA.name][first].tobytes()
        built = _built(frame, gait_at(first), reference)
        stride = built.stride
        given[q.STRIDE_TIME.name][alike] = stride.period
        given[q.WALKING_SPEED.name][alike] = stride.speed
        given[q.JOINT_ANGLE.name][alike] = stride.joint_angle
        given[q.JOINT_SPEED.name][alike] = stride.joint_speed
        given[q.JOINT_ACCELERATION.name][alike] = stride.joint_acceleration
        given[q.JOINT_TORQUE.name][alike] = weighted_loads(
            built.torque, values[q.INERTIA.name][alike]
        )
        given[q.REACH_MARGIN.name][alike] = stride.reach_margin
        given[q.KNEE_FLEXION_MARGIN.name][alike] = stride.knee_flexion_margin
        given[q.GROUND_LOAD_MARGIN.name][alike] = built.least_load
    return given


def _alike(keys: Array) -> Iterator[tuple[int, Codes]]:
    """Yield the first row of each group of equal rows, and the rows of the group."""
    _, first, group = np.unique(keys, axis=0, return_index=True, return_inverse=True)
    for number, row in enumerate(first):
        yield int(row), np.flatnonzero(group.reshape(-1) == number)


_WALK = (
    _SPEED,
    Number("step_time", "s", "from one heel strike to the next", (0.5, 1.0), above=0.0),
    Number(
        "double_support",
        "1",
        "share of the step with both feet down",
        (0.15, 0.35),
        above=0.0,
        at_most=0.9,
    ),
    _FLEXION,
    Number("foot_clearance", "m", "lift of the swinging foot", (0.03, 0.08), at_least=0.0),
    _WIDTH,
    _SLOPE,
    Number(
        "toe_off_angle",
        "rad",
        "pitch of the foot at toe-off; 0 keeps it flat",
        (0.0, 0.4),
        at_least=0.0,
        at_most=1.0,
    ),
    Number(
        "body_lean", "rad", "forward tilt of the torso", (0.0, 0.1), at_least=-0.5, at_most=0.5
    ),
)


def _pattern(values: Values) -> Values:
    names = tuple(one.name for one in _WALK)

    def gait_at(row: int) -> WalkingGait:
        said = {name: float(values[name][row]) for name in names}
        flexion = said.pop(_FLEXION.name)
        return WalkingGait(
            **said, knee_flexion_min=flexion, gravity=float(values[q.GRAVITY.name][row])
        )

    return _generated(values, gait_at, (*names, q.GRAVITY.name))


PATTERN = Kind(
    "pattern",
    slots.GAIT,
    "a walk that the model lays out itself and keeps in balance",
    _WALK,
    {"duty": Step(_NEEDS, _pattern)},
)

_STAND = (_FLEXION, _WIDTH, _SLOPE)


def _stand(values: Values) -> Values:
    def gait_at(row: int) -> StandingPose:
        said = {one.name: float(values[one.name][row]) for one in _STAND}
        return StandingPose(**said, gravity=float(values[q.GRAVITY.name][row]))

    return _generated(values, gait_at, (*(one.name for one in _STAND), q.GRAVITY.name))


STAND = Kind(
    "stand",
    slots.GAIT,
    "standing still on both feet",
    _STAND,
    {"duty": Step(_NEEDS, _stand)},
)

RECORDED_COLUMNS = (
    *(Column(f"{joint}_angle", "rad", "joint angle", (-1, 1)) for joint in q.JOINTS),
    *(Column(f"{joint}_torque", "N*m", "joint torque", (-100, 100)) for joint in q.JOINTS),
)


def _recorded(values: Values) -> Values:
    harmonics = values["harmonics"]
    shape = (len(harmonics), len(q.JOINTS), q.PHASES)
    angle, speed, acceleration, torque = (np.empty(shape) for _ in range(4))
    angles, torques = (
        np.stack([values[f"stride.{joint}_{what}"] for joint in q.JOINTS], axis=1)
        for what in ("angle", "torque")
    )
    for first, alike in _alike(np.stack([harmonics, values["stride_time"]], axis=1)):
        kept = int(harmonics[first])
        angle[alike] = low_pass(angles[alike], kept)
        torque[alike] = low_pass(torques[alike], kept)
        speed[alike], acceleration[alike] = derivatives(
            angle[alike], float(values["stride_time"][first])
        )
    leg = values[q.THIGH_LENGTH.name] + values[q.SHANK_LENGTH.name] + values[q.ANKLE_HEIGHT.name]
    size = values[q.TOTAL_MASS.name] * leg / (values["mass"] * values["leg_length"])
    knee = q.JOINTS.index("knee")
    return {
        q.STRIDE_TIME.name: values["stride_time"],
        q.WALKING_SPEED.name: values["speed"],
        q.JOINT_ANGLE.name: angle,
        q.JOINT_SPEED.name: speed,
        q.JOINT_ACCELERATION.name: acceleration,
        q.JOINT_TORQUE.name: torque * size[:, None, None],
        # whoever was recorded did reach the ground and stay on it
        q.REACH_MARGIN.name: np.ones_like(size),
        q.GROUND_LOAD_MARGIN.name: np.ones_like(size),
        q.KNEE_FLEXION_MARGIN.name: -angle[:, knee].max(axis=-1) - STRAIGHT_KNEE_GUARD,
    }


RECORDED = Kind(
    "recorded",
    slots.GAIT,
    "a recorded stride; its torques grow with weight and leg length, whatever the layout",
    (
        Recording(
            "stride", RECORDED_COLUMNS, "angles and torques of the left leg over one stride"
        ),
        _SPEED,
        Number("stride_time", "s", "time of the stride", (0.8, 1.6), above=0.0),
        Number("mass", "kg", "mass of what was recorded", (40, 100), above=0.0),
        Number(
            "leg_length", "m", "hip centre to sole of what was recorded", (0.7, 1.0), above=0.0
        ),
        Number(
            "harmonics", "1", "harmonics kept of the recording", (8, 16), at_least=1.0, whole=True
        ),
    ),
    {"duty": Step((*_FRAME[:3], q.TOTAL_MASS), _recorded)},
)
