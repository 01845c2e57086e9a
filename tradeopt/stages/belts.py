"""A toothed belt between motor and joint."""

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.chain.kind import Kind, Number, Step
from tradeopt.chain.stage import Values
from tradeopt.physics import belt, rope
from tradeopt.stages import passing, slots
from tradeopt.stages.maturity import MATURITY


def _run(values: Values) -> tuple[Array, Array, belt.BeltRun]:
    """Return pitch diameters of both pulleys, and how the belt lies on them."""
    small = belt.pitch_diameter(values["small_pulley_teeth"], values["pitch"])
    large = values["ratio"] * small
    return small, large, belt.belt_run(small, large, values["shaft_distance"])


def _size(values: Values) -> Values:
    small, large, run = _run(values)
    wheels = values["pulley_mass"] * (np.square(small) + np.square(large))
    belt_mass = values["belt_mass"] * values["belt_width"] * run.length
    stiffness = rope.drive_stiffness(
        values["belt_stiffness"] * values["belt_width"],
        run.strand,
        large,
        values["ratio"],
        np.ones_like(large),
    )
    mass = values["belt_base_mass"] + wheels + belt_mass
    apart = 1.0 - (small + large) / (2.0 * values["shaft_distance"])
    return passing.sized(values, mass, values["length"], stiffness) | {
        q.TRANSMISSION_ROOM_MARGIN.name: apart
    }


def _duty(values: Values) -> Values:
    _, large, run = _run(values)
    pull = rope.pull(values[q.DRIVE_TORQUE.name], large[:, None]).max(axis=1)
    tension = rope.tight_tension(pull, values["belt_pretension"])
    strength = 1.0 - tension / (values["belt_strength"] * values["belt_width"])
    in_mesh = belt.teeth_margin(
        values["small_pulley_teeth"], run.wrap, values["least_teeth_in_mesh"]
    )
    room = np.minimum(1.0 - large / values["largest_pulley"], in_mesh)
    passage = passing.constant(values["ratio"], values["belt_efficiency"])
    return passing.passed(values, passage, strength) | {
        q.TRANSMISSION_RATIO_MARGIN.name: room,
        q.PRETENSION_MARGIN.name: rope.pretension_margin(
            pull, values["belt_pretension"], np.ones_like(pull)
        ),
    }


def _positive(name: str, unit: str, meaning: str, typical: tuple[float, float]) -> Number:
    return Number(name, unit, meaning, typical, above=0.0)


BELT = Kind(
    "belt",
    slots.TRANSMISSION,
    "a toothed belt on two pulleys",
    (
        passing.RATIO,
        Number("small_pulley_teeth", "1", "of the small pulley", (14, 30), above=0.0, whole=True),
        _positive("pitch", "m", "from tooth to tooth", (3e-3, 8e-3)),
        _positive("belt_width", "m", "of the belt", (9e-3, 30e-3)),
        _positive("belt_strength", "N/m", "largest tension per width", (3e4, 1.2e5)),
        _positive("belt_stiffness", "N/m", "force per strain and width", (5e6, 3e7)),
        _positive("belt_mass", "kg/m^2", "per width and length", (2, 6)),
        _positive("shaft_distance", "m", "between the two shafts", (0.1, 0.4)),
        _positive("largest_pulley", "m", "largest diameter there is room for", (0.1, 0.25)),
        _positive("least_teeth_in_mesh", "1", "that must hold", (6, 8)),
        _positive("belt_pretension", "N", "of each strand", (200, 1500)),
        Number(
            "belt_efficiency", "1", "when the motor drives", (0.95, 0.98), above=0.0, at_most=1.0
        ),
        _positive("pulley_mass", "kg/m^2", "of a pulley per diameter squared", (10, 60)),
        Number("belt_base_mass", "kg", "shafts, bearings, tensioner", (0.05, 0.4), at_least=0.0),
        *passing.SHAFT,
        passing.LENGTH,
        MATURITY,
    ),
    {"size": Step((), _size), "duty": passing.duty(_duty)},
)
