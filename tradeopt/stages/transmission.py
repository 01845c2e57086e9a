"""Transmissions of one ratio: from the torque a joint needs to the torque of its motor."""

from typing import Final

from tradeopt import quantities as q
from tradeopt.chain.kind import Kind, Number, Step
from tradeopt.chain.stage import Values
from tradeopt.physics import transmission
from tradeopt.stages import passing, slots
from tradeopt.stages.maturity import MATURITY

STAGES: Final = Number("stages", "1", "gear stages", (1, 3), at_least=1.0, at_most=4.0, whole=True)
STAGE_EFFICIENCY: Final = Number(
    "stage_efficiency", "1", "of one stage", (0.93, 0.98), above=0.0, at_most=1.0
)
LARGEST_STAGE_RATIO: Final = Number(
    "largest_stage_ratio", "1", "that one stage can have", (6, 10), above=1.0
)
STAGE_MASS: Final = Number(
    "stage_mass", "kg", "mass of one stage beside its share by torque", (0.1, 0.5), at_least=0.0
)
STAGE_LENGTH: Final = Number(
    "stage_length", "m", "what one adds along the motor's shaft", (0.01, 0.03), at_least=0.0
)
_COMMON = (
    *passing.SHAFT,
    passing.RATED_TORQUE,
    passing.MASS_PER_TORQUE,
    passing.STIFFNESS,
    MATURITY,
)


def _constant_size(values: Values) -> Values:
    by_torque = values["rated_torque"] * values["mass_per_torque"]
    mass = values["base_mass"] + by_torque
    return passing.sized(values, mass, values["length"], values["stiffness"])


def _constant(values: Values) -> Values:
    passage = passing.constant(values["ratio"], values["efficiency"])
    return passing.passed(values, passage, passing.rated_torque_margin(values))


CONSTANT = Kind(
    "constant",
    slots.TRANSMISSION,
    "one ratio at every angle, its efficiency given",
    (
        passing.RATIO,
        passing.EFFICIENCY,
        *_COMMON,
        passing.BASE_MASS,
        passing.LENGTH,
    ),
    {"size": Step((), _constant_size), "duty": passing.duty(_constant)},
)


def _geared_size(values: Values) -> Values:
    stages = values["stages"]
    mass = stages * values["stage_mass"] + values["rated_torque"] * values["mass_per_torque"]
    return passing.sized(values, mass, stages * values["stage_length"], values["stiffness"])


def _geared(values: Values) -> Values:
    stages, ratio = values["stages"], values["ratio"]
    efficiency = transmission.staged_efficiency(values["stage_efficiency"], stages)
    each = transmission.stage_ratio(ratio, stages)
    passage = passing.constant(ratio, efficiency)
    return passing.passed(values, passage, passing.rated_torque_margin(values)) | {
        q.TRANSMISSION_RATIO_MARGIN.name: 1.0 - each / values["largest_stage_ratio"]
    }


GEARED = Kind(
    "geared",
    slots.TRANSMISSION,
    "equal gear stages in a row: each costs mass and efficiency, and has a largest ratio",
    (
        passing.RATIO,
        STAGES,
        STAGE_EFFICIENCY,
        LARGEST_STAGE_RATIO,
        *_COMMON,
        STAGE_MASS,
        STAGE_LENGTH,
    ),
    {"size": Step((), _geared_size), "duty": passing.duty(_geared)},
)
