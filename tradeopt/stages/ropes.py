"""Ropes on sheaves between motor and joint: light and quiet, but they bend, wear and stretch.

Of the equal stages of a rope drive the last one is looked at: there the rope is pulled hardest.
"""

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.chain.kind import Kind, Number, Step, Word
from tradeopt.chain.stage import Values
from tradeopt.physics import ratio, rope, transmission
from tradeopt.stages import drive_slots, passing, slots
from tradeopt.stages.maturity import MATURITY

_FIXINGS = ("anchored", "friction")
_FRICTION = _FIXINGS.index("friction")
_LAW = ("constant", "load", "diameter", "mixed")


def _sheave(values: Values) -> tuple[Array, Array]:
    """Return the ratio of a stage, and the diameter of its driven sheave."""
    each = transmission.stage_ratio(values["ratio"], values["rope_stages"])
    return each, each * values["drum_diameter"]


def _size(values: Values) -> Values:
    stages, drum = values["rope_stages"], values["drum_diameter"]
    each, sheave = _sheave(values)
    length = rope.rope_length(values["strand"], values["turns"], drum, sheave)
    wheels = values["wheel_mass"] * (np.square(drum) + np.square(sheave))
    stiffness = rope.drive_stiffness(
        values["rope_stiffness"], values["strand"], sheave, each, stages
    )
    mass = values["rope_base_mass"] + stages * (wheels + values["rope_mass"] * length)
    stress = rope.bending_stress(values["wire_modulus"], values["wire_diameter"], drum)
    least = values["least_diameter_ratio"] * values["rope_diameter"]
    bent = np.maximum(least / drum, stress / values["wire_strength"])
    return passing.sized(values, mass, values["length"], stiffness) | {
        q.ROPE_BENDING_MARGIN.name: 1.0 - bent
    }


def _duty(values: Values) -> Values:
    angle = values[q.JOINT_ANGLE.name]
    _, sheave = _sheave(values)
    efficiency = transmission.staged_efficiency(
        values["wheel_efficiency"], values["rope_stages"] * values["wheels"]
    )
    pulls = rope.pull(values[q.DRIVE_TORQUE.name], sheave[:, None])
    largest = pulls.max(axis=1)
    slips = values["fixing"] == _FRICTION
    hold = np.where(slips, rope.friction_hold(values["friction"], values["turns"]), 1.0)
    tension = rope.tight_tension(largest, values["pretension"])
    strength = 1.0 - values["rope_safety_factor"] * tension / values["breaking_force"]
    passage = passing.constant(values["ratio"], efficiency)
    stored = ratio.turn_margin(angle, values["ratio"], values["turns"])
    return passing.passed(values, passage, strength) | {
        q.TRANSMISSION_RATIO_MARGIN.name: 1.0 - sheave / values["largest_sheave"],
        q.TRANSMISSION_RANGE_MARGIN.name: np.where(slips, 1.0, stored),
        q.PRETENSION_MARGIN.name: rope.pretension_margin(largest, values["pretension"], hold),
        **_wear(values, pulls),
    }


def _wear(values: Values, pulls: Array) -> Values:
    """Return bends and share of the bending life in a stride, at its peak tension."""
    cycles = rope.bending_cycles(
        rope.tight_tension(pulls, values["pretension"][:, None]),
        values["rope_diameter"][:, None],
        values["drum_diameter"][:, None],
        values["wire_strength"][:, None],
        rope.LifeLaw(*(values[f"life.{name}"][:, None] for name in _LAW)),
    )
    bends = values["bends_per_swing"][:, None] * rope.swings(values[q.JOINT_ANGLE.name])
    return {q.STRIDE_BENDS.name: bends, q.STRIDE_WEAR.name: bends / cycles}


def _positive(name: str, unit: str, meaning: str, typical: tuple[float, float]) -> Number:
    return Number(name, unit, meaning, typical, above=0.0)


ROPE = Kind(
    "rope",
    slots.TRANSMISSION,
    "ropes on sheaves in one or two equal stages (a breaking rope whips: keep out of its reach)",
    (
        passing.RATIO,
        Number("rope_stages", "1", "rope stages", (1, 2), at_least=1.0, at_most=2.0, whole=True),
        Word("fixing", _FIXINGS, "anchored: fixed to both sheaves; friction: held by its turns"),
        _positive("drum_diameter", "m", "of the drum of each stage, rope centre", (0.02, 0.04)),
        _positive("largest_sheave", "m", "largest diameter there is room for", (0.1, 0.3)),
        _positive("turns", "1", "of rope around each drum", (2, 8)),
        Number("friction", "1", "of rope and drum", (0.1, 0.2), above=0.0),
        _positive("strand", "m", "free length of each strand", (0.1, 0.4)),
        _positive("pretension", "N", "of each strand", (500, 2500)),
        _positive("rope_diameter", "m", "of the rope", (1.5e-3, 4e-3)),
        _positive("wire_diameter", "m", "of its thickest wire", (1e-4, 3e-4)),
        _positive("wire_modulus", "Pa", "Young's modulus of the wires", (1.8e11, 2.1e11)),
        _positive("wire_strength", "Pa", "nominal strength of the wires", (1.57e9, 2.16e9)),
        _positive("breaking_force", "N", "of the rope", (2e3, 1e4)),
        Number("rope_safety_factor", "1", "breaking force per tension", (3, 6), at_least=1.0),
        _positive("least_diameter_ratio", "1", "drum per rope diameter, least", (10, 25)),
        _positive("rope_stiffness", "N", "force per strain of the rope", (5e4, 4e5)),
        _positive("rope_mass", "kg/m", "per length of rope", (0.01, 0.06)),
        _positive("wheel_mass", "kg/m^2", "of a drum or sheave per diameter squared", (5, 30)),
        Number("rope_base_mass", "kg", "shafts, bearings, tensioner", (0.1, 0.6), at_least=0.0),
        Number(
            "wheels",
            "1",
            "drum, sheave and guides that a rope of one stage passes",
            (2, 4),
            at_least=2.0,
            whole=True,
        ),
        # 0.98 on rolling, 0.96 on plain bearings (FEM, DIN 15020, from memory)
        Number("wheel_efficiency", "1", "of each", (0.96, 0.99), above=0.0, at_most=1.0),
        Number(
            "bends_per_swing",
            "1",
            "bends of the most bent stretch of rope for one to and fro of the joint",
            (1, 3),
            above=0.0,
        ),
        Number("life.constant", "1", "b0 of the law of bending life", (-4, 0)),
        Number("life.load", "1", "b1, of the load", (1.2, 1.4)),
        Number("life.diameter", "1", "b2, of sheave per rope diameter", (8.0, 8.3)),
        Number("life.mixed", "1", "b3, of both", (-2.4, -2.2)),
        *passing.SHAFT,
        passing.LENGTH,
        MATURITY,
    ),
    {
        "size": Step((), _size),
        "duty": passing.duty(_duty, q.JOINT_ANGLE),
    },
)


def _by_mission(values: Values) -> Values:
    time = values[q.ROUND_TIME.name][:, None] * values[q.GAIT_SHARE.name]
    strides = (time / values[q.STRIDE_TIME.name])[:, None]
    distance = values[q.ROUND_DISTANCE.name][:, None]
    return {
        q.ROPE_BENDS.name: rope.over_distance(values[q.STRIDE_BENDS.name], strides, distance),
        q.ROPE_WEAR.name: rope.over_distance(values[q.STRIDE_WEAR.name], strides, distance),
    }


BY_MISSION = Kind(
    "by_mission",
    drive_slots.ROPE_USE,
    "bends and wear of all strides of a round, by the distance of the round",
    (),
    {
        "duty": Step(
            (
                q.STRIDE_BENDS,
                q.STRIDE_WEAR,
                q.STRIDE_TIME,
                q.GAIT_SHARE,
                q.ROUND_TIME,
                q.ROUND_DISTANCE,
            ),
            _by_mission,
        )
    },
)
