"""Gaits: motion of the joints over a stride, and the torques that it takes."""

from tradeopt.chain.kind import Kind, Number, Step
from tradeopt.chain.stage import Values
from tradeopt.physics.walking.gait import (
    OneFootPose,
    SideStepGait,
    StairGait,
    StandingPose,
    WalkingGait,
)
from tradeopt.physics.walking.pattern import (
    climb,
    side_step,
    stand,
    stand_on_one_foot,
    walk,
)
from tradeopt.stages import slots
from tradeopt.stages.recipe import Recipe
from tradeopt.stages.recorded import NOT_RECORDED
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
    return Kind(
        name, slots.GAIT, meaning, numbers, {"size": NOT_RECORDED, "duty": Step(NEEDS, duty)}
    )


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
