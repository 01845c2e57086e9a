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
from tradeopt.stages.transmission import (
    LARGEST_STAGE_RATIO,
    STAGE_EFFICIENCY,
    STAGE_LENGTH,
    STAGE_MASS,
    STAGES,
)

DIAMETER: Final = Number("diameter", "m", "outside", (0.05, 0.15), above=0.0)

_TRAIN = (
    passing.RATIO,
    STAGES,
    Number(
        "stage_step",
        "1",
        "ratio of a stage per that of the one before it; above 1 it rises towards the joint",
        (0.7, 1.5),
        above=0.0,
    ),
    Number("least_stage_ratio", "1", "that one stage can have", (1, 3), at_least=1.0),
    LARGEST_STAGE_RATIO,
    *passing.SHAFT,
    passing.RATED_TORQUE,
    passing.STIFFNESS,
    STAGE_MASS,
    STAGE_LENGTH,
    DIAMETER,
    MATURITY,
)


def _shares(values: Values) -> Array:
    return gears.stage_ratios(values["ratio"], values["stages"], values["stage_step"])


def _train(values: Values, wheels: Array) -> Values:
    stages = values["stages"]
    mass = stages * values["stage_mass"] + wheels
    length = stages * values["stage_length"]
    return passing.sized(values, mass, length, values["stiffness"]) | _round(values)


def _spur_size(values: Values) -> Values:
    torque, stages = values["rated_torque"], values["stages"]
    each = values["pinion_mass_per_torque"]
    return _train(values, gears.spur_mass(torque, _shares(values), stages, each))


def _planetary_size(values: Values) -> Values:
    torque, stages = values["rated_torque"], values["stages"]
    planets, each = values["planets"], values["sun_mass_per_torque"]
    wheels = gears.planetary_mass(torque, _shares(values), stages, planets, each)
    return _train(values, wheels)


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
    return gears.ratio_margin(
        ratios, values["stages"], values["least_stage_ratio"], values["largest_stage_ratio"]
    )


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
        STAGE_EFFICIENCY,
        Number(
            "pinion_mass_per_torque",
            "kg/(N*m)",
            "of a pinion by its own torque",
            (5e-4, 3e-3),
            at_least=0.0,
        ),
        Number("pinion_inertia", "kg*m^2", "of one pinion", (1e-7, 1e-6), at_least=0.0),
    ),
    {"size": Step((), _spur_size), "duty": passing.duty(_spur)},
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
        Number(
            "sun_mass_per_torque",
            "kg/(N*m)",
            "of a sun by its torque per planet",
            (4e-3, 2e-2),
            at_least=0.0,
        ),
        Number("sun_inertia", "kg*m^2", "of one sun", (1e-7, 1e-6), at_least=0.0),
    ),
    {"size": Step((), _planetary_size), "duty": passing.duty(_planetary)},
)


def _single_stage(
    word: str, efficiency: tuple[float, float], ratios: tuple[float, float]
) -> tuple[tuple[Parameter, ...], dict[str, Step]]:
    """Return parameters and steps of a gear that has its whole ratio in one stage.

    What differs from gear to gear bears its word, so that a search may choose between them.
    """
    share, mass, least, largest = (
        f"{word}_{name}" for name in ("efficiency", "mass", "least_ratio", "largest_ratio")
    )
    parameters: tuple[Parameter, ...] = (
        passing.RATIO,
        Number(share, "1", "at rated torque", efficiency, above=0.0, at_most=1.0),
        Number(least, "1", "that it is made with", (0.8 * ratios[0], ratios[0]), at_least=1.0),
        Number(largest, "1", "that it is made with", (ratios[1], 1.2 * ratios[1]), above=1.0),
        *passing.SHAFT,
        passing.RATED_TORQUE,
        passing.MASS_PER_TORQUE,
        passing.STIFFNESS,
        Number(mass, "kg", "of the smallest one", (0.05, 0.5), at_least=0.0),
        passing.LENGTH,
        DIAMETER,
        MATURITY,
    )

    def size(values: Values) -> Values:
        whole = values[mass] + values["rated_torque"] * values["mass_per_torque"]
        return passing.sized(values, whole, values["length"], values["stiffness"]) | _round(values)

    def duty(values: Values) -> Values:
        ratio = values["ratio"]
        one = np.ones_like(ratio)
        room = gears.ratio_margin(ratio[:, None], one, values[least], values[largest])
        return _turned(values, values[share], np.zeros_like(ratio), room)

    return parameters, {"size": Step((), size), "duty": passing.duty(duty)}


# efficiencies: strain wave 65 to 85 % (handbook values, from memory; what falls with small loads,
# speed and cold is drag), cycloid 75 to 85 % (published range, seen second-hand)
STRAIN_WAVE = Kind(
    "strain_wave",
    slots.TRANSMISSION,
    "a flexible spline, turned by a wave: high ratio, no play",
    *_single_stage("wave", efficiency=(0.65, 0.85), ratios=(30, 120)),
)
CYCLOID = Kind(
    "cycloid",
    slots.TRANSMISSION,
    "a disc that rolls off inside pins: high ratio, stands shocks",
    *_single_stage("cycloid", efficiency=(0.75, 0.85), ratios=(10, 100)),
)
