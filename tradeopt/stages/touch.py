"""What a hand meets: the housing of a drive, bare or behind a guard."""

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.chain.kind import Kind, Number, Step
from tradeopt.chain.stage import Values
from tradeopt.physics import heat
from tradeopt.stages import motor_slots

_LIMIT = Number(
    "limit",
    "K",
    "surface that may be touched; by material and time of contact, as ISO 13732-1 tells",
    (310, 340),
    above=heat.COOL,
)


def _surface(values: Values, share: Array) -> Values:
    """Return the surface over the mission, where a share of the housing's rise reaches it."""
    air = values[q.AMBIENT_TEMPERATURE.name][:, None]
    warmest = values[q.MISSION_HOUSING_TEMPERATURE.name].max(axis=2)
    surface = air + share[:, None] * (warmest - air)
    return {
        q.TOUCH_TEMPERATURE.name: surface,
        q.TOUCH_MARGIN.name: heat.range_left(surface, values["limit"][:, None]),
    }


def _bare(values: Values) -> Values:
    return _surface(values, np.ones_like(values["limit"]))


def _guarded(values: Values) -> Values:
    return _surface(values, values["passes"])


_NEEDS = (q.AMBIENT_TEMPERATURE, q.MISSION_HOUSING_TEMPERATURE)

BARE = Kind(
    "bare",
    motor_slots.TOUCH,
    "housings within reach of a hand",
    (_LIMIT,),
    {"duty": Step(_NEEDS, _bare)},
)

GUARDED = Kind(
    "guarded",
    motor_slots.TOUCH,
    "housings behind guards that air flows through",
    (
        _LIMIT,
        Number(
            "passes",
            "1",
            "share of the housing's rise that the guard's outside shows; measure it",
            (0.2, 0.7),
            at_least=0.0,
            at_most=1.0,
        ),
    ),
    {"duty": Step(_NEEDS, _guarded)},
)
