"""Linkages between motor and joint: the ratio changes with the angle."""

from typing import Final

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.chain.kind import Kind, Number, Step, Word
from tradeopt.chain.stage import Values
from tradeopt.physics import compliance, four_bar, ratio, screw_lever, tube
from tradeopt.stages import passing, slots
from tradeopt.stages.maturity import MATURITY

LOWEST_ANGLE: Final = Number("lowest_angle", "rad", "joint angle it must reach", (-2.0, -0.6))
HIGHEST_ANGLE: Final = Number("highest_angle", "rad", "joint angle it must reach", (-0.1, 0.6))

_GEAR_RATIO = Number(
    "gear_ratio", "1", "motor turns per turn of what follows, 1 without a gear", (1, 20), above=0.0
)
_GEAR_EFFICIENCY = Number(
    "gear_efficiency", "1", "when the motor drives", (0.85, 1.0), above=0.0, at_most=1.0
)
_LEAST_TRANSMISSION_ANGLE = Number(
    "least_transmission_angle",
    "rad",
    "least angle of what pushes and what is pushed; 180 deg less of it is the largest",
    (0.5, 0.8),
    above=0.0,
    at_most=1.5,
)

_SIDES = ("ahead", "behind")
_SIGNS = np.array([1.0, -1.0])
_LINKS = ("input", "coupler", "output", "ground")


def _drawn(values: Values, axes: int) -> tuple[four_bar.Links, Array, Array]:
    """Return links, angle of the output link at joint angle 0, and side, with axes added."""
    shape = (-1, *(1,) * axes)
    lengths = (values[f"links.{name}"].reshape(shape) for name in _LINKS)
    side = _SIGNS[values["input_side"].astype(np.int64)]
    return (
        four_bar.Links(*lengths),
        values["output_angle"].reshape(shape),
        side.reshape(shape),
    )


def _four_bar_size(values: Values) -> Values:
    links, mounted, side = _drawn(values, axes=1)
    angle = mounted + ratio.places_between(values[LOWEST_ANGLE.name], values[HIGHEST_ANGLE.name])
    drive = four_bar.link_drive(links, angle, side)
    stands = four_bar.posture(links, angle, side)
    stiffness = compliance.stiffness_in_row(
        values["gear_stiffness"][:, None] * np.square(drive.ratio),
        values["coupler_stiffness"][:, None] * np.square(drive.arm),
    )
    moving = links.input + links.coupler + links.output
    mass = (
        values["gear_mass"]
        + values["gear_torque"] * values["mass_per_torque"]
        + values["link_mass"] * moving[:, 0]
        + values["pivot_mass"]
    )
    along, across = four_bar.swept_room(stands, links.ground[:, 0], values["ground_angle"])
    room = np.maximum(along / values["room.along"], across / values["room.across"])
    return passing.sized(values, mass, values["length"], stiffness.min(axis=1)) | {
        q.TRANSMISSION_REACH_MARGIN.name: stands.reach.min(axis=1),
        q.TRANSMISSION_ANGLE_MARGIN.name: four_bar.transmission_angle_margin(
            stands.transmission_angle, values["least_transmission_angle"]
        ),
        q.TRANSMISSION_ROOM_MARGIN.name: 1.0 - room,
    }


def _four_bar(values: Values) -> Values:
    angle = values[q.JOINT_ANGLE.name]
    links, mounted, side = _drawn(values, axes=2)
    drive = four_bar.link_drive(links, mounted + angle, side)
    gear = values["gear_ratio"][:, None, None]
    share = values["gear_efficiency"] * values["linkage_efficiency"]
    passage = passing.Passage(gear * drive.ratio, gear * drive.ratio_slope, share[:, None, None])
    torque = np.abs(values[q.DRIVE_TORQUE.name])
    in_gear = (torque / np.abs(drive.ratio)).max(axis=(1, 2)) / values["gear_torque"]
    in_coupler = (torque / drive.arm).max(axis=(1, 2)) / values["coupler_force"]
    margin = 1.0 - np.maximum(in_gear, in_coupler)
    return passing.passed(values, passage, margin) | {
        q.TRANSMISSION_RANGE_MARGIN.name: ratio.range_margin(
            angle, values[LOWEST_ANGLE.name], values[HIGHEST_ANGLE.name]
        )
    }


def _length(name: str, meaning: str, typical: tuple[float, float]) -> Number:
    return Number(name, "m", meaning, typical, above=0.0)


FOUR_BAR = Kind(
    "four_bar",
    slots.TRANSMISSION,
    "four links behind a gear: the ratio follows the joint's angle",
    (
        _length("links.input", "link on the gear, pivot to pivot", (0.03, 0.06)),
        _length("links.coupler", "link between, pivot to pivot", (0.1, 0.3)),
        _length("links.output", "link on the joint, pivot to pivot", (0.04, 0.08)),
        _length("links.ground", "distance of the gear's pivot and the joint", (0.1, 0.3)),
        Number(
            "output_angle",
            "rad",
            "from the line of pivots, gear to joint, to the output link at joint angle 0",
            (1.2, 2.6),
        ),
        Word(
            "input_side",
            _SIDES,
            "whether the input link is ahead of the line from the gear's pivot to the output "
            "link's end, in the joint's positive sense, or behind it",
        ),
        Number("ground_angle", "rad", "of the line of pivots from the limb's axis", (-0.5, 0.5)),
        LOWEST_ANGLE,
        HIGHEST_ANGLE,
        _LEAST_TRANSMISSION_ANGLE,
        _length("room.along", "room for the pivots along the limb's axis", (0.2, 0.5)),
        _length("room.across", "room for the pivots across the limb's axis", (0.1, 0.2)),
        _GEAR_RATIO,
        _GEAR_EFFICIENCY,
        Number("linkage_efficiency", "1", "of all pins", (0.95, 0.99), above=0.0, at_most=1.0),
        *passing.SHAFT,
        Number("gear_torque", "N*m", "largest at the input link", (40, 250), above=0.0),
        Number("coupler_force", "N", "largest in the coupler", (1e3, 1e4), above=0.0),
        Number("gear_mass", "kg", "of the smallest gear", (0.1, 0.5), at_least=0.0),
        passing.MASS_PER_TORQUE,
        Number("link_mass", "kg/m", "per length of links", (0.3, 2.0), at_least=0.0),
        Number("pivot_mass", "kg", "of all pivots", (0.05, 0.3), at_least=0.0),
        Number("gear_stiffness", "N*m/rad", "at the input link", (5e3, 3e4), above=0.0),
        Number("coupler_stiffness", "N/m", "with its pivots", (5e6, 5e7), above=0.0),
        passing.LENGTH,
        MATURITY,
    ),
    {
        "size": Step((), _four_bar_size),
        "duty": passing.angle_duty(_four_bar),
    },
)


def _lever(values: Values, angle: Array) -> tuple[Array, Array, Array]:
    """Return screw's pivot distance, lever and angle between them, by (row, ...) of the angle."""
    shape = (-1, *(1,) * (angle.ndim - 1))
    ground, lever, mounted = (
        values[name].reshape(shape) for name in ("pivot_distance", "lever", "lever_angle")
    )
    return ground, lever, mounted + angle


def _screw_size(values: Values) -> Values:
    places = ratio.places_between(values[LOWEST_ANGLE.name], values[HIGHEST_ANGLE.name])
    triangle = _lever(values, places)
    drive = screw_lever.lever_drive(*triangle)
    stiffness = (values["screw_stiffness"][:, None] * np.square(drive.arm)).min(axis=1)
    mass = values["screw_base_mass"] + values["screw_mass"] * values["longest"]
    return passing.sized(values, mass, values["length"], stiffness) | {
        q.TRANSMISSION_REACH_MARGIN.name: screw_lever.stroke_margin(
            drive.length, values["shortest"], values["longest"]
        ),
        q.TRANSMISSION_ANGLE_MARGIN.name: four_bar.transmission_angle_margin(
            screw_lever.push_angle(*triangle), values["least_transmission_angle"]
        ),
    }


def _screw_lever(values: Values) -> Values:
    angle = values[q.JOINT_ANGLE.name]
    drive = screw_lever.lever_drive(*_lever(values, angle))
    gear, lead = (values[name][:, None, None] for name in ("gear_ratio", "lead"))
    share = (values["gear_efficiency"] * values["screw_efficiency"])[:, None, None]
    passage = passing.Passage(
        gear * screw_lever.screw_ratio(drive.arm, lead),
        gear * screw_lever.screw_ratio(drive.arm_slope, lead),
        share,
    )
    force = np.abs(values[q.DRIVE_TORQUE.name] / drive.arm)
    core = values["core_diameter"][:, None, None]
    buckled = tube.column_use(
        force,
        values["screw_modulus"][:, None, None],
        tube.second_moment(core, core / 2.0),
        drive.length,
    ).max(axis=(1, 2))
    carried = force.max(axis=(1, 2)) / values["screw_force"]
    margin = 1.0 - np.maximum(carried, values["screw_safety_factor"] * buckled)
    return passing.passed(values, passage, margin) | {
        q.TRANSMISSION_RANGE_MARGIN.name: ratio.range_margin(
            angle, values[LOWEST_ANGLE.name], values[HIGHEST_ANGLE.name]
        )
    }


SCREW_LEVER = Kind(
    "screw_lever",
    slots.TRANSMISSION,
    "a screw that pushes a lever on the joint: the ratio follows the joint's angle",
    (
        _length("lead", "travel of the nut per turn", (2e-3, 10e-3)),
        _length("lever", "from the joint to the lever's end", (0.03, 0.07)),
        _length("pivot_distance", "from the joint to the screw's pivot", (0.15, 0.35)),
        Number(
            "lever_angle",
            "rad",
            "from the line joint to screw's pivot to the lever, at joint angle 0",
            (1.2, 2.6),
        ),
        LOWEST_ANGLE,
        HIGHEST_ANGLE,
        _LEAST_TRANSMISSION_ANGLE,
        _length("shortest", "screw with its nut, pivot to pivot", (0.1, 0.2)),
        _length("longest", "screw with its nut, pivot to pivot", (0.25, 0.4)),
        _GEAR_RATIO,
        _GEAR_EFFICIENCY,
        Number("screw_efficiency", "1", "motor drives", (0.8, 0.92), above=0.0, at_most=1.0),
        *passing.SHAFT,
        Number("screw_force", "N", "largest of nut, bearings and pivots", (2e3, 2e4), above=0.0),
        _length("core_diameter", "of the screw under its thread", (6e-3, 14e-3)),
        Number("screw_modulus", "Pa", "Young's modulus of the screw", (1.9e11, 2.1e11), above=0.0),
        Number("screw_safety_factor", "1", "buckling force per force", (1.5, 4), at_least=1.0),
        Number("screw_stiffness", "N/m", "nut, bearings, pivots", (1e7, 1e8), above=0.0),
        Number("screw_mass", "kg/m", "per length of screw", (0.3, 1.5), at_least=0.0),
        Number("screw_base_mass", "kg", "nut, bearings, pivots, lever", (0.2, 0.8), at_least=0.0),
        passing.LENGTH,
        MATURITY,
    ),
    {
        "size": Step((), _screw_size),
        "duty": passing.angle_duty(_screw_lever),
    },
)
