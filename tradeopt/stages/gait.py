"""Gaits: motion of the joints over a stride, and the torques that it takes.

A built-in gait does not depend on a design unless the search varies the gait or the frame. Its
stride and load matrix are therefore made once for every set of values that occurs, and each design
is one matrix product.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.chain.kind import Kind, Number, Step
from tradeopt.chain.stage import Values
from tradeopt.physics.walking.contact import least_load
from tradeopt.physics.walking.dynamics import load_matrices, weighted_loads
from tradeopt.physics.walking.frame import Frame
from tradeopt.physics.walking.gait import StandingPose, WalkingGait
from tradeopt.physics.walking.pattern import stand, walk
from tradeopt.physics.walking.stride import Stride
from tradeopt.stages import slots
from tradeopt.stages.alike import alike_rows
from tradeopt.stages.recorded import NOT_RECORDED

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
    for first, alike in alike_rows(keys):
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
    {"size": NOT_RECORDED, "duty": Step(_NEEDS, _pattern)},
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
    {"size": NOT_RECORDED, "duty": Step(_NEEDS, _stand)},
)
