"""Mass roll-up: everything the robot carries, as inertial parameters of its bodies.

Predicted mass is basic mass plus a growth allowance that follows from how far along a part is:
common practice of ANSI/AIAA S-120A-2015 (from memory), by the heritage categories of
ECSS-E-ST-10-02C as published instrument plans use them. The shares are the study's own.
"""

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.chain.kind import Kind, Number, Step
from tradeopt.chain.stage import Values
from tradeopt.physics import inertia
from tradeopt.quantities import Quantity
from tradeopt.stages import slots

_TORSO = q.BODIES.index("torso")
_MIRRORED = np.array([1.0, 1.0, -1.0, 1.0, 1.0, -1.0, 1.0, 1.0, -1.0, 1.0])
"""Sign of each inertial parameter (m, m*c, Ixx, Ixy, Iyy, Ixz, Iyz, Izz) under y -> -y."""

_COPIES = np.array([1 if body == "torso" else q.LEGS for body in q.BODIES])
"""How often each body is there: the legs' bodies once a leg."""

_PARTS = (
    (q.MOTOR_MASS, q.MOTOR_MATURITY, q.MOTOR_GROWTH),
    (q.TRANSMISSION_MASS, q.TRANSMISSION_MATURITY, q.TRANSMISSION_GROWTH),
    (q.SPRING_MASS, q.SPRING_MATURITY, q.SPRING_GROWTH),
    (q.COOLING_MASS, q.COOLING_MATURITY, q.COOLING_GROWTH),
)
"""Basic mass, maturity and growth of every part of a drive."""


_REST = (
    (q.STRUCTURE_MASS, q.STRUCTURE_MATURITY, q.STRUCTURE_GROWTH),
    (q.BATTERY_MASS, q.BATTERY_MATURITY, q.BATTERY_GROWTH),
    (q.GROUP_MASS, q.GROUP_MATURITY, q.GROUP_GROWTH),
    (q.COMPONENT_MASS, q.COMPONENT_MATURITY, q.COMPONENT_GROWTH),
)
"""The same of everything else."""


def _share(maturity: Quantity, values: Values) -> Array:
    """Return the growth allowance over the basic mass, in the shape of the maturity."""
    allowances = np.stack([values[f"growth.{word}"] for word in q.MATURITIES], axis=-1)
    codes = values[maturity.name].astype(np.int64)
    share = np.take_along_axis(allowances, codes.reshape(len(codes), -1), axis=1)
    return share.reshape(codes.shape)


def _roll_up(values: Values) -> Values:
    growth = {
        given.name: values[mass.name] * _share(maturity, values)
        for mass, maturity, given in (*_PARTS, *_REST)
    }
    basic = _whole({mass.name: values[mass.name] for mass, _, _ in (*_PARTS, *_REST)})
    grown = {
        mass.name: values[mass.name] + growth[given.name] for mass, _, given in (*_PARTS, *_REST)
    }
    return {
        **growth,
        q.INERTIA.name: _on_bodies(values, grown),
        q.BASIC_MASS.name: basic,
        q.TOTAL_MASS.name: _whole(grown),
    }


def _drives(masses: Values) -> Array:
    """Return the masses of the drives of one leg [kg], shape (design, joint)."""
    drives: Array = np.stack([masses[mass.name] for mass, _, _ in _PARTS]).sum(axis=0)
    return drives


def _whole(masses: Values) -> Array:
    """Return the mass of the whole robot [kg], shape (design,)."""
    others = masses[q.GROUP_MASS.name].sum(1) + masses[q.COMPONENT_MASS.name].sum(1)
    legs_and_torso = masses[q.STRUCTURE_MASS.name] @ _COPIES + q.LEGS * _drives(masses).sum(1)
    whole: Array = legs_and_torso + masses[q.BATTERY_MASS.name] + others
    return whole


def _on_bodies(values: Values, grown: Values) -> Array:
    """Return the predicted masses as parameters of the bodies, shape (design, body, inertial)."""
    # growth sits where the part itself does
    bodies = _grown(q.STRUCTURE_INERTIA, q.STRUCTURE_MATURITY, values)
    bodies += _drives_on_bodies(_drives(grown), values)
    size = values[q.BATTERY_SIZE.name]
    bodies[:, _TORSO] += inertia.box_parameters(
        grown[q.BATTERY_MASS.name],
        values[q.BATTERY_POSITION.name],
        np.stack([size, size, size], axis=-1),
    )
    bodies[:, _TORSO] += _grown(q.GROUP_INERTIA, q.GROUP_MATURITY, values).sum(axis=1)
    bodies += _grown(q.COMPONENT_INERTIA, q.COMPONENT_MATURITY, values).sum(axis=1)
    # the legs are mirror images, so what would load them unequally is left out
    bodies[:, _TORSO] = np.where(_MIRRORED > 0.0, bodies[:, _TORSO], 0.0)
    return bodies


def _grown(basic: Quantity, maturity: Quantity, values: Values) -> Array:
    """Return inertial parameters with growth, in the shape of the basic ones."""
    share = _share(maturity, values)
    parameters = values[basic.name]
    return parameters * (1.0 + share.reshape(*share.shape, *[1] * (parameters.ndim - share.ndim)))


def _drives_on_bodies(masses: Array, values: Values) -> Array:
    """Return what the drives add to each body, shape (design, body, inertial)."""
    parts = inertia.box_parameters(
        masses, values[q.DRIVE_POSITION.name], values[q.DRIVE_SIZE.name]
    )
    carried = values[q.DRIVE_BODY.name][..., None] == np.arange(len(q.BODIES))
    added: Array = np.einsum("djb,djp->dbp", carried.astype(np.float64), parts)
    # the torso carries the drives of both legs, all other bodies only their own leg's
    added[:, _TORSO] *= 1.0 + _MIRRORED
    return added


ROLL_UP = Kind(
    "roll_up",
    slots.MASS,
    "sum of structure, drives, battery and the rest, each with the growth of its maturity",
    tuple(
        Number(f"growth.{word}", "1", f"allowance of what is {said}", typical, at_least=0.0)
        for word, said, typical in (
            ("off_the_shelf", "bought as it is", (0.02, 0.08)),
            ("minor_change", "changed a little", (0.06, 0.15)),
            ("new", "new", (0.12, 0.3)),
        )
    ),
    {
        "size": Step(
            (
                *(one for part in _PARTS for one in part[:2]),
                q.STRUCTURE_MASS,
                q.STRUCTURE_MATURITY,
                q.STRUCTURE_INERTIA,
                q.DRIVE_BODY,
                q.DRIVE_POSITION,
                q.DRIVE_SIZE,
                q.BATTERY_MASS,
                q.BATTERY_MATURITY,
                q.BATTERY_POSITION,
                q.BATTERY_SIZE,
                q.GROUP_MASS,
                q.GROUP_MATURITY,
                q.GROUP_INERTIA,
                q.COMPONENT_MASS,
                q.COMPONENT_MATURITY,
                q.COMPONENT_INERTIA,
            ),
            _roll_up,
        )
    },
)
