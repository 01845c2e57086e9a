"""Mass roll-up: everything the robot carries, as inertial parameters of its bodies."""

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.chain.kind import Kind, Number, Step
from tradeopt.chain.stage import Values
from tradeopt.physics import inertia
from tradeopt.stages import slots

_TORSO = q.BODIES.index("torso")
_MIRRORED = np.array([1.0, 1.0, -1.0, 1.0, 1.0, -1.0, 1.0, 1.0, -1.0, 1.0])
"""Sign of each inertial parameter (m, m*c, Ixx, Ixy, Iyy, Ixz, Iyz, Izz) under y -> -y."""

_COPIES = np.array([1.0 if body == "torso" else 2.0 for body in q.BODIES])
"""How often each body is there: the legs' bodies twice."""


def drive_mass(values: Values) -> Array:
    """Return the basic mass of each drive [kg], shape (design, joint)."""
    return (
        values[q.MOTOR_MASS.name]
        + values[q.TRANSMISSION_MASS.name]
        + values[q.SPRING_MASS.name]
        + values[q.COOLING_MASS.name]
    )


def _roll_up(values: Values) -> Values:
    basic_drives = drive_mass(values)
    grown_drives = basic_drives * (1.0 + values["drive_growth"][:, None])
    grown_battery = values[q.BATTERY_MASS.name] * (1.0 + values["battery_growth"])
    bodies = values[q.STRUCTURE_INERTIA.name] + _on_bodies(grown_drives, values)
    size = values[q.BATTERY_SIZE.name]
    bodies[:, _TORSO] += inertia.box_parameters(
        grown_battery, values[q.BATTERY_POSITION.name], np.stack([size, size, size], axis=-1)
    )
    bodies[:, _TORSO] += values[q.GROUP_INERTIA.name].sum(axis=1)
    bodies += values[q.COMPONENT_INERTIA.name].sum(axis=1)
    # the legs are mirror images, so what would load them unequally is left out
    bodies[:, _TORSO] *= _MIRRORED > 0.0
    structure = values[q.STRUCTURE_MASS.name] @ _COPIES
    others = values[q.GROUP_MASS.name].sum(1) + values[q.COMPONENT_MASS.name].sum(1)
    others_growth = values[q.GROUP_GROWTH.name].sum(1) + values[q.COMPONENT_GROWTH.name].sum(1)
    return {
        q.INERTIA.name: bodies,
        q.BASIC_MASS.name: structure
        + others
        + 2.0 * basic_drives.sum(1)
        + values[q.BATTERY_MASS.name],
        q.TOTAL_MASS.name: structure
        + values[q.STRUCTURE_GROWTH.name] @ _COPIES
        + others
        + others_growth
        + 2.0 * grown_drives.sum(1)
        + grown_battery,
    }


def _on_bodies(masses: Array, values: Values) -> Array:
    """Return what the drives add to each body, shape (design, body, inertial)."""
    edge = values[q.MOTOR_DIAMETER.name]
    parts = inertia.box_parameters(
        masses, values[q.MOUNT_POSITION.name], np.stack([edge, edge, edge], axis=-1)
    )
    carried = values[q.MOUNT_BODY.name][..., None] == np.arange(len(q.BODIES))
    added: Array = np.einsum("djb,djp->dbp", carried.astype(np.float64), parts)
    # the torso carries the drives of both legs, all other bodies only their own leg's
    added[:, _TORSO] *= 1.0 + _MIRRORED
    return added


ROLL_UP = Kind(
    "roll_up",
    slots.MASS,
    "sum of structure, drives, battery and the rest, each with its growth allowance",
    (
        Number("drive_growth", "1", "growth allowance of the drives", (0.05, 0.2), at_least=0.0),
        Number("battery_growth", "1", "growth allowance of the battery", (0.0, 0.2), at_least=0.0),
    ),
    {
        "size": Step(
            (
                q.STRUCTURE_MASS,
                q.STRUCTURE_GROWTH,
                q.STRUCTURE_INERTIA,
                q.MOTOR_MASS,
                q.MOTOR_DIAMETER,
                q.TRANSMISSION_MASS,
                q.SPRING_MASS,
                q.COOLING_MASS,
                q.MOUNT_BODY,
                q.MOUNT_POSITION,
                q.BATTERY_MASS,
                q.BATTERY_POSITION,
                q.BATTERY_SIZE,
                q.GROUP_MASS,
                q.GROUP_GROWTH,
                q.GROUP_INERTIA,
                q.COMPONENT_MASS,
                q.COMPONENT_GROWTH,
                q.COMPONENT_INERTIA,
            ),
            _roll_up,
        )
    },
)
