"""Upkeep: minutes of service in 100 km of walking."""

import numpy as np

from tradeopt import quantities as q
from tradeopt.chain.kind import Kind, Number, Step
from tradeopt.chain.stage import Values
from tradeopt.physics import mission
from tradeopt.stages import slots

_DISTANCE = np.array(100_000.0)
"""Distance that service is counted over [m]; the glossary says so too."""

_EACH = Number("time", "s", "time it takes each time", (60, 3600), at_least=0.0)


def _by_distance(values: Values) -> Values:
    return {q.TASK_TIME.name: mission.service_time(values["time"], values["every"], _DISTANCE)}


def _by_hours(values: Values) -> Values:
    speed = values[q.ROUND_DISTANCE.name] / values[q.ROUND_TIME.name]
    every = values["every"] * speed
    return {q.TASK_TIME.name: mission.service_time(values["time"], every, _DISTANCE)}


def _by_charge(values: Values) -> Values:
    return {
        q.TASK_TIME.name: mission.service_time(values["time"], values[q.RANGE.name], _DISTANCE)
    }


def _by_bends(values: Values) -> Values:
    use = q.LEGS * values[q.ROPE_BENDS.name].sum(axis=1)
    time = mission.service_time_by_use(values["time"], use, values["every"], _DISTANCE)
    return {q.TASK_TIME.name: time}


def _by_wear(values: Values) -> Values:
    use = q.LEGS * values[q.ROPE_WEAR.name].sum(axis=1)
    time = mission.service_time_by_use(values["time"], use, values["share"], _DISTANCE)
    return {q.TASK_TIME.name: time}


BY_DISTANCE = Kind(
    "by_distance",
    slots.TASK,
    "due after a distance, such as a check of the joints",
    (_EACH, Number("every", "m", "distance from one time to the next", (1e4, 1e6), above=0.0)),
    {"duty": Step((), _by_distance)},
)
BY_HOURS = Kind(
    "by_hours",
    slots.TASK,
    "due after hours of the mission, such as a fan's change",
    (_EACH, Number("every", "s", "time from one time to the next", (1e5, 1e7), above=0.0)),
    {"duty": Step((q.ROUND_TIME, q.ROUND_DISTANCE), _by_hours)},
)
BY_CHARGE = Kind(
    "by_charge",
    slots.TASK,
    "due with every charge, such as a swap of the battery",
    (_EACH,),
    {"duty": Step((q.RANGE,), _by_charge)},
)
BY_BENDS = Kind(
    "by_bends",
    slots.TASK,
    "due for each rope after a number of bends, such as its retension",
    (_EACH, Number("every", "1", "bends from one time to the next", (1e4, 1e6), above=0.0)),
    {"duty": Step((q.ROPE_BENDS,), _by_bends)},
)
BY_WEAR = Kind(
    "by_wear",
    slots.TASK,
    "due for each rope after a share of its bending life, such as its change",
    (
        _EACH,
        Number("share", "1", "of the bending life", (0.3, 0.8), above=0.0, at_most=1.0),
    ),
    {"duty": Step((q.ROPE_WEAR,), _by_wear)},
)


def _sum(values: Values) -> Values:
    return {q.UPKEEP_TIME.name: values[q.TASK_TIME.name].sum(axis=1)}


SUM = Kind(
    "sum",
    slots.UPKEEP,
    "all tasks of upkeep, one after the other",
    (),
    {"duty": Step((q.TASK_TIME,), _sum)},
)
