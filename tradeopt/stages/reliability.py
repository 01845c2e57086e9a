"""Parts that may fail, spare pieces beside them, and the chance of coming home."""

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.chain.kind import Kind, Number, Step, Word
from tradeopt.chain.stage import Values
from tradeopt.physics import inertia, reliability
from tradeopt.stages import slots
from tradeopt.stages.maturity import MATURITY

_TORSO = q.BODIES.index("torso")


def _pieces(values: Values) -> Array:
    pieces: Array = values["groups"] * (values["needed"] + values["spare"])
    return pieces


def _carried(values: Values) -> Values:
    pieces = _pieces(values)
    mass = pieces * values["mass"]
    on_body = (values["body"][:, None] == np.arange(len(q.BODIES))).astype(np.float64)
    # what sits on the legs is shared by left and right; bodies are those of one leg
    on_body[:, np.arange(len(q.BODIES)) != _TORSO] /= q.LEGS
    centre = np.stack([values[f"centre.{axis}"] for axis in "xyz"], axis=-1)
    points = inertia.box_parameters(mass, centre, np.zeros_like(centre))
    return {
        q.COMPONENT_MASS.name: mass,
        q.COMPONENT_MATURITY.name: values["maturity"],
        q.COMPONENT_INERTIA.name: on_body[:, :, None] * points[:, None, :],
        q.COMPONENT_POWER.name: pieces * values["power"],
        q.COMPONENT_GROUPS.name: values["groups"],
        q.COMPONENT_NEEDED.name: values["needed"],
        q.COMPONENT_SPARE.name: values["spare"],
        q.COMMON_CAUSE.name: values["common_cause"],
    }


def _worn(values: Values) -> Values:
    return {
        q.COMPONENT_WEAR.name: reliability.wear(
            values[q.ROUND_TIME.name],
            values["cycles_per_stride"] * values[q.ROUND_STRIDES.name],
            per_time=values["failure_rate"],
            per_cycle=values["failures_per_cycle"],
        )
    }


CONSTANT_RATE = Kind(
    "constant_rate",
    slots.COMPONENT,
    "pieces that fail at a constant rate; a group works while enough of them do",
    (
        Number(
            "groups",
            "1",
            "groups, all needed: two for feet, twelve for joints",
            (1, 12),
            at_least=1.0,
            whole=True,
        ),
        Number("needed", "1", "pieces that a group needs", (1, 3), at_least=1.0, whole=True),
        Number(
            "spare",
            "1",
            "pieces beyond those",
            (0, 2),
            at_least=0.0,
            at_most=reliability.MOST_SPARES,
            whole=True,
        ),
        Number(
            "failure_rate", "1/s", "failures of one piece per time", (1e-10, 1e-8), at_least=0.0
        ),
        Number(
            "failures_per_cycle", "1", "failures of one piece per cycle", (0.0, 1e-8), at_least=0.0
        ),
        Number(
            "cycles_per_stride", "1", "cycles of one piece in a stride", (0.0, 4.0), at_least=0.0
        ),
        Number(
            "common_cause",
            "1",
            "share of failures that takes a whole group",
            (0.0, 0.2),
            at_least=0.0,
            at_most=1.0,
        ),
        Number(
            "mass", "kg", "one piece, as far as no other item has it", (0.0, 0.1), at_least=0.0
        ),
        Number(
            "power", "W", "one piece, as far as no other item has it", (0.0, 1.0), at_least=0.0
        ),
        MATURITY,
        Word("body", q.BODIES, "body that carries them, half of them on either leg"),
        *(
            Number(f"centre.{axis}", "m", f"their place along {axis} in that body", (-0.1, 0.1))
            for axis in "xyz"
        ),
    ),
    {
        "size": Step((), _carried),
        "duty": Step((q.ROUND_TIME, q.ROUND_STRIDES), _worn),
    },
)

_NEEDS = (
    q.COMPONENT_WEAR,
    q.COMPONENT_GROUPS,
    q.COMPONENT_NEEDED,
    q.COMPONENT_SPARE,
    q.COMMON_CAUSE,
    q.ROUND_DISTANCE,
)


def _chances(values: Values, rounds: Array) -> Values:
    wear, groups = values[q.COMPONENT_WEAR.name], values[q.COMPONENT_GROUPS.name]
    pieces = {
        "needed": values[q.COMPONENT_NEEDED.name],
        "spare": values[q.COMPONENT_SPARE.name],
        "common_cause": values[q.COMMON_CAUSE.name],
    }
    group_chance = reliability.chance_of_group(wear * rounds[:, None], **pieces)
    to_stop = reliability.mean_to_first_stop(wear, groups=groups, **pieces)
    return {
        q.COMPONENT_CHANCE.name: np.power(group_chance, groups),
        q.CHANCE_OF_FINISHING.name: reliability.chance_of_all(group_chance, groups),
        q.DISTANCE_TO_STOP.name: to_stop * values[q.ROUND_DISTANCE.name],
    }


def _one_round(values: Values) -> Values:
    return _chances(values, np.ones_like(values[q.ROUND_DISTANCE.name]))


def _over_distance(values: Values) -> Values:
    walked = values[q.ROUND_DISTANCE.name]
    walks = walked > 0.0
    rounds = np.where(walks, values["distance"] / np.where(walks, walked, 1.0), np.nan)
    return _chances(values, rounds)


ONE_ROUND = Kind(
    "one_round",
    slots.CHANCE,
    "chance of finishing one round of the mission",
    (),
    {"duty": Step(_NEEDS, _one_round)},
)
OVER_DISTANCE = Kind(
    "over_distance",
    slots.CHANCE,
    "chance of walking a distance in the mission's rounds",
    (Number("distance", "m", "distance", (1e3, 1e5), above=0.0),),
    {"duty": Step(_NEEDS, _over_distance)},
)
