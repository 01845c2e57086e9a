"""Gaits: motion of the joints over a stride, and the torques that it takes."""

from collections.abc import Iterator

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array, Codes
from tradeopt.chain.kind import Column, Kind, Number, Recording, Step
from tradeopt.chain.stage import Values
from tradeopt.physics.walking.gait import (
    OneFootPose,
    SideStepGait,
    StairGait,
    StandingPose,
    WalkingGait,
)
from tradeopt.physics.walking.impact import collision_loss
from tradeopt.physics.walking.pattern import (
    climb,
    side_step,
    stand,
    stand_on_one_foot,
    walk,
)
from tradeopt.physics.walking.periodic import derivatives, low_pass
from tradeopt.stages import slots
from tradeopt.stages.recipe import Recipe
from tradeopt.stages.walking import NEEDS, PAYLOAD, generated

STILL_PHASES = 2
"""Phases that differ where nothing moves: one leg carries, or both do, and then the other."""

_SPEED = Number("speed", "m/s", "mean forward speed", (0.2, 1.0), above=0.0, compared=True)
_STEP_TIME = Number(
    "step_time", "s", "from one touchdown to the next", (0.5, 1.0), above=0.0, compared=True
)
_DOUBLE_SUPPORT = Number(
    "double_support",
    "1",
    "share of the step with both feet down",
    (0.15, 0.35),
    above=0.0,
    at_most=0.9,
    compared=True,
)
_FLEXION = Number(
    "knee_flexion",
    "rad",
    "least bend of the knee",
    (0.2, 0.5),
    at_least=0.0,
    at_most=2.0,
    compared=True,
)
_CLEARANCE = Number(
    "foot_clearance", "m", "lift of the swinging foot", (0.03, 0.08), at_least=0.0, compared=True
)
_WIDTH = Number(
    "step_width",
    "m",
    "between the centre lines of the feet",
    (0.14, 0.22),
    above=0.0,
    compared=True,
)
_SLOPE = Number(
    "slope",
    "rad",
    "of the ground, uphill positive",
    (-0.1, 0.1),
    at_least=-0.5,
    at_most=0.5,
    compared=True,
)
_TOE_OFF = Number(
    "toe_off_angle",
    "rad",
    "pitch of the foot at toe-off; 0 keeps it flat",
    (0.0, 0.4),
    at_least=0.0,
    at_most=1.0,
    compared=True,
)
_LEAN = Number(
    "body_lean",
    "rad",
    "forward tilt of the torso",
    (0.0, 0.1),
    at_least=-0.5,
    at_most=0.5,
    compared=True,
)


def _made(name: str, meaning: str, recipe: Recipe) -> Kind:
    """Return the kind of gait that a recipe makes."""

    def duty(values: Values) -> Values:
        return generated(values, recipe)

    numbers = (*recipe.numbers, *PAYLOAD)
    return Kind(name, slots.GAIT, meaning, numbers, {"duty": Step(NEEDS, duty)})


PATTERN = _made(
    "pattern",
    "a walk that the model lays out itself and keeps in balance",
    Recipe(
        WalkingGait,
        walk,
        (
            _SPEED,
            _STEP_TIME,
            _DOUBLE_SUPPORT,
            _FLEXION,
            _CLEARANCE,
            _WIDTH,
            _SLOPE,
            _TOE_OFF,
            _LEAN,
        ),
    ),
)

STAIRS = _made(
    "stairs",
    "walking up or down stairs, foot over foot; its speed is the level one",
    Recipe(
        StairGait,
        climb,
        (
            Number(
                "riser",
                "m",
                "height from step to step, upward positive",
                (0.1, 0.18),
                at_least=-0.4,
                at_most=0.4,
                compared=True,
            ),
            Number("tread", "m", "edge to edge", (0.26, 0.32), above=0.0, compared=True),
            _STEP_TIME,
            _DOUBLE_SUPPORT,
            _FLEXION,
            _CLEARANCE,
            _WIDTH,
            _LEAN,
        ),
    ),
)

SIDE_STEP = _made(
    "side_step",
    "steps to the left and back to the right, or turns on the spot; its speed is the sideways one",
    Recipe(
        SideStepGait,
        side_step,
        (
            Number(
                "side_step",
                "m",
                "way of the body to the side with two steps",
                (0.0, 0.2),
                at_least=0.0,
                compared=True,
            ),
            Number(
                "turn",
                "rad",
                "turn of the body with two steps",
                (0.0, 0.5),
                at_least=0.0,
                at_most=1.0,
                compared=True,
            ),
            _STEP_TIME,
            _DOUBLE_SUPPORT,
            _FLEXION,
            _CLEARANCE,
            _WIDTH,
        ),
    ),
)

STAND = _made(
    "stand",
    "standing still on both feet, upright or crouched",
    Recipe(StandingPose, stand, (_FLEXION, _WIDTH, _SLOPE), STILL_PHASES),
)

ONE_FOOT = _made(
    "one_foot",
    "standing on one foot, the feet in turn and each for half of the time; their change is left "
    "out, and motors take the mean of carrying and hanging",
    Recipe(OneFootPose, stand_on_one_foot, (_FLEXION, _WIDTH, _CLEARANCE, _SLOPE), STILL_PHASES),
)

_STEPS = 2
"""Steps of a stride."""

_LOAD = Number("payload.mass", "kg", "load that it carries", (0, 15), at_least=0.0)

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
    carried = values[q.TOTAL_MASS.name] + values[_LOAD.name]
    size = carried * leg / (values["mass"] * values["leg_length"])
    step = values["speed"] * values["stride_time"] / _STEPS
    return {
        q.STRIDE_TIME.name: values["stride_time"],
        q.WALKING_SPEED.name: values["speed"],
        q.JOINT_ANGLE.name: angle,
        q.JOINT_SPEED.name: speed,
        q.JOINT_ACCELERATION.name: acceleration,
        q.JOINT_TORQUE.name: torque * size[:, None, None],
        # whoever was recorded did reach the ground, stay on it and not slip
        q.REACH_MARGIN.name: np.ones_like(size),
        q.GROUND_LOAD_MARGIN.name: np.ones_like(size),
        q.BALANCE_MARGIN.name: np.ones_like(size),
        q.STEP_CLEARANCE_MARGIN.name: np.ones_like(size),
        q.FOOT_LOAD.name: np.zeros((len(size), q.PHASES)),
        q.FRICTION_USE.name: np.zeros_like(size),
        q.SOLE_ROOM.name: values[q.FOOT_WIDTH.name] / 2.0,
        # nor do straight knees hurt them: nobody works out joint rates from the place of the foot
        q.KNEE_FLEXION_MARGIN.name: np.ones_like(size),
        q.TOUCHDOWN_ENERGY.name: collision_loss(carried, values["speed"], step, leg),
    }


def _alike(keys: Array) -> Iterator[tuple[int, Codes]]:
    """Yield the first row of each group of equal rows, and the rows of the group."""
    _, first, group = np.unique(keys, axis=0, return_index=True, return_inverse=True)
    for number, row in enumerate(first):
        yield int(row), np.flatnonzero(group.reshape(-1) == number)


RECORDED = Kind(
    "recorded",
    slots.GAIT,
    "a recorded stride; its torques grow with weight and leg length, whatever the layout",
    (
        Recording(
            "stride", RECORDED_COLUMNS, "angles and torques of the left leg over one stride"
        ),
        Number("speed", "m/s", "mean forward speed", (0.2, 1.0), above=0.0),
        Number("stride_time", "s", "time of the stride", (0.8, 1.6), above=0.0),
        Number("mass", "kg", "mass of what was recorded", (40, 100), above=0.0),
        Number(
            "leg_length", "m", "hip centre to sole of what was recorded", (0.7, 1.0), above=0.0
        ),
        Number(
            "harmonics", "1", "harmonics kept of the recording", (8, 16), at_least=1.0, whole=True
        ),
        _LOAD,
    ),
    {"duty": Step((*q.FRAME_LENGTHS[:3], q.FOOT_WIDTH, q.TOTAL_MASS), _recorded)},
)
