"""Gears behind a motor: spur and planetary stages with their split, and gears of one stage."""

from typing import Final

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.chain.kind import Kind, Number, Parameter, Step
from tradeopt.chain.stage import Values
from tradeopt.physics import gears, transmission
from tradeopt.stages import passing, slots
from tradeopt.stages.maturity import MATURITY

DIAMETER: Final = Number("diameter", "m", "outside", (0.05, 0.15), above=0.0)
LARGEST: Final = "largest_stage_ratio"
LEAST: Final = "least_stage_ratio"

_TRAIN = (
    passing.RATIO,
    Number("stages", "1", "gear stages", (1, 3), at_least=1.0, at_most=4.0, whole=True),
    Number(
        "stage_step",
        "1",
        "ratio of a stage per that of the one before it; above 1 it rises towards the joint",
        (0.7, 1.5),
        above=0.0,
    ),
    Number(LEAST, "1", "that one stage can have", (1, 3), at_least=1.0),
    Number(LARGEST, "1", "that one stage can have", (6, 10), above=1.0),
    *passing.SHAFT,
    passing.RATED_TORQUE,
    Number("mass_per_torque", "kg/(N*m)", "of a stage by its torque", (0.004, 0.02), at_least=0.0),
    passing.STIFFNESS,
    Number(
        "stage_mass", "kg", "of one stage beside its share by torque", (0.05, 0.3), at_least=0.0
    ),
    Number("stage_length", "m", "what one adds along the shaft", (0.01, 0.03), at_least=0.0),
    DIAMETER,
    MATURITY,
)


def _shares(values: Values) -> Array:
    return gears.stage_ratios(values["ratio"], values["stages"], values["stage_step"])


def _train_size(values: Values) -> Values:
    stages = values["stages"]
    torque = gears.staged_torque(values["rated_torque"], _shares(values), stages)
    mass = stages * values["stage_mass"] + values["mass_per_torque"] * torque
    length = stages * values["stage_length"]
    return passing.sized(values, mass, length, values["stiffness"]) | _round(values)


def _round(values: Values) -> dict[str, Array]:
    return {q.TRANSMISSION_DIAMETER.name: values[DIAMETER.name]}


def _turned(values: Values, efficiency: Array, inertia: Array, room: Array) -> Values:
    """Return what a gear does whose own inertia counts at the motor's shaft."""
    seen = {**values, "shaft_inertia": values["shaft_inertia"] + inertia}
    passage = passing.constant(values["ratio"], efficiency)
    return passing.passed(seen, passage, passing.rated_torque_margin(values)) | {
        q.TRANSMISSION_RATIO_MARGIN.name: room
    }


def _room(values: Values, ratios: Array) -> Array:
    return gears.ratio_margin(ratios, values["stages"], values[LEAST], values[LARGEST])


def _spur(values: Values) -> Values:
    ratios, stages = _shares(values), values["stages"]
    efficiency = transmission.staged_efficiency(values["stage_efficiency"], stages)
    inertia = gears.spur_inertia(ratios, stages, values["pinion_inertia"])
    return _turned(values, efficiency, inertia, _room(values, ratios))


def _planetary(values: Values) -> Values:
    ratios, stages = _shares(values), values["stages"]
    efficiency = gears.planetary_efficiency(ratios, values["mesh_efficiency"])
    inertia = gears.planetary_inertia(ratios, stages, values["sun_inertia"], values["planets"])
    return _turned(values, efficiency, inertia, _room(values, ratios))


SPUR = Kind(
    "spur",
    slots.TRANSMISSION,
    "spur meshes in a row, the ratio shared out freely",
    (
        *_TRAIN,
        Number("stage_efficiency", "1", "of one mesh", (0.94, 0.99), above=0.0, at_most=1.0),
        Number("pinion_inertia", "kg*m^2", "of one pinion", (1e-7, 1e-6), at_least=0.0),
    ),
    {"size": Step((), _train_size), "duty": passing.duty(_spur)},
)
PLANETARY = Kind(
    "planetary",
    slots.TRANSMISSION,
    "planetary stages in a row, ring gears held, the ratio shared out freely",
    (
        *_TRAIN,
        Number(
            "mesh_efficiency",
            "1",
            "from sun to ring, carrier held",
            (0.96, 0.99),
            above=0.0,
            at_most=1.0,
        ),
        Number("planets", "1", "of a stage", (3, 5), at_least=1.0, whole=True),
        Number("sun_inertia", "kg*m^2", "of one sun", (1e-7, 1e-6), at_least=0.0),
    ),
    {"size": Step((), _train_size), "duty": passing.duty(_planetary)},
)


def _single_size(values: Values) -> Values:
    mass = values["base_mass"] + values["rated_torque"] * values["mass_per_torque"]
    return passing.sized(values, mass, values["length"], values["stiffness"]) | _round(values)


def _single(values: Values) -> Values:
    ratio, efficiency = values["ratio"], values["efficiency"]
    room = gears.ratio_margin(ratio[:, None], np.ones_like(ratio), values[LEAST], values[LARGEST])
    return _turned(values, efficiency, np.zeros_like(ratio), room)


def _single_stage(
    name: str, meaning: str, efficiency: tuple[float, float], ratios: tuple[float, float]
) -> Kind:
    """Return a gear that has its whole ratio in one stage."""
    least, largest = ratios
    parameters: tuple[Parameter, ...] = (
        Number("ratio", "1", "motor turns per joint turn", ratios, above=0.0),
        Number("efficiency", "1", "at rated torque", efficiency, above=0.0, at_most=1.0),
        Number(LEAST, "1", "that it is made with", (0.8 * least, least), at_least=1.0),
        Number(LARGEST, "1", "that it is made with", (largest, 1.2 * largest), above=1.0),
        *passing.SHAFT,
        passing.RATED_TORQUE,
        passing.MASS_PER_TORQUE,
        passing.STIFFNESS,
        Number("base_mass", "kg", "of the smallest one", (0.05, 0.5), at_least=0.0),
        passing.LENGTH,
        DIAMETER,
        MATURITY,
    )
    steps = {"size": Step((), _single_size), "duty": passing.duty(_single)}
    return Kind(name, slots.TRANSMISSION, meaning, parameters, steps)


# efficiencies: strain wave 65 to 85 % (handbook values, from memory; what falls with small loads,
# speed and cold is drag), cycloid 75 to 85 % (published range, seen second-hand)
STRAIN_WAVE = _single_stage(
    "strain_wave",
    "a flexible spline, turned by a wave: high ratio, no play",
    (0.65, 0.85),
    (30, 120),
)
CYCLOID = _single_stage(
    "cycloid",
    "a disc that rolls off inside pins: high ratio, stands shocks",
    (0.75, 0.85),
    (10, 100),
)
