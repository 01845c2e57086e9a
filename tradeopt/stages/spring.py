"""Springs beside the motor: they take a share of the joint torque at no power."""

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.chain.kind import Kind, Number, Step, Word
from tradeopt.chain.stage import Values
from tradeopt.physics import spring, spring_material
from tradeopt.stages import slots
from tradeopt.stages.maturity import MATURITY

_DIRECTIONS = ("extending", "flexing")
_SIGNS = np.array([1.0, -1.0])


def _no_mass(values: Values) -> Values:
    nothing = np.zeros_like(values[q.MOTOR_MASS.name])
    return {q.SPRING_MASS.name: nothing, q.SPRING_MATURITY.name: nothing}


def _no_torque(values: Values) -> Values:
    torque = values[q.JOINT_TORQUE.name]
    return {
        q.SPRING_TORQUE.name: np.zeros_like(torque),
        q.DRIVE_TORQUE.name: torque,
        q.SPRING_TRAVEL_MARGIN.name: np.ones(len(torque)),
    }


NONE = Kind(
    "none",
    slots.SPRING,
    "the motor carries the whole torque",
    (),
    {"size": Step((q.MOTOR_MASS,), _no_mass), "duty": Step((q.JOINT_TORQUE,), _no_torque)},
)

_SIZE = (
    Number("stiffness", "N*m/rad", "torque per angle", (10, 300), at_least=0.0),
    Number("travel", "rad", "largest deflection that it is built for", (0.3, 1.5), above=0.0),
    Number("energy_per_volume", "J/m^3", "stored at the working stress", (5e5, 3e6), above=0.0),
    Number("density", "kg/m^3", "of the spring's material", (1500, 8000), above=0.0),
    Number(
        "mount_factor", "1", "whole mass per mass of active material", (1.2, 2.0), at_least=1.0
    ),
    MATURITY,
)


def _mass(values: Values) -> Values:
    energy = spring.stored_energy(values["stiffness"], values["travel"])
    return {
        q.SPRING_MASS.name: spring_material.spring_mass(
            energy,
            energy_density=values["energy_per_volume"],
            density=values["density"],
            mount_factor=values["mount_factor"],
        ),
        q.SPRING_MATURITY.name: values[MATURITY.name],
    }


def _beside(torque: Array, deflection: Array, values: Values) -> Values:
    largest = np.abs(deflection).max(axis=(1, 2))
    return {
        q.SPRING_TORQUE.name: torque,
        q.DRIVE_TORQUE.name: values[q.JOINT_TORQUE.name] - torque,
        q.SPRING_TRAVEL_MARGIN.name: 1.0 - largest / values["travel"],
    }


def _two_way(values: Values) -> Values:
    angle = values[q.JOINT_ANGLE.name]
    stiffness, rest = (values[name][:, None, None] for name in ("stiffness", "rest_angle"))
    return _beside(spring.two_way_torque(angle, stiffness, rest), angle - rest, values)


def _one_sided(values: Values) -> Values:
    angle = values[q.JOINT_ANGLE.name]
    stiffness, engagement = (
        values[name][:, None, None] for name in ("stiffness", "engagement_angle")
    )
    sign = _SIGNS[values["wound_by"].astype(np.int64)][:, None, None]
    return _beside(
        spring.one_sided_torque(angle, stiffness, engagement, sign),
        spring.one_sided_deflection(angle, engagement, sign),
        values,
    )


TWO_WAY = Kind(
    "two_way",
    slots.SPRING,
    "pulls towards its rest angle from both sides",
    (Number("rest_angle", "rad", "joint angle without torque", (-0.5, 0.5)), *_SIZE),
    {
        "size": Step((), _mass),
        "duty": Step((q.JOINT_ANGLE, q.JOINT_TORQUE), _two_way),
    },
)

ONE_SIDED = Kind(
    "one_sided",
    slots.SPRING,
    "touched on one side of an angle only",
    (
        Number("engagement_angle", "rad", "joint angle at which it is first touched", (-0.5, 0.5)),
        Word("wound_by", _DIRECTIONS, "whether extending or flexing the joint winds it"),
        *_SIZE,
    ),
    {
        "size": Step((), _mass),
        "duty": Step((q.JOINT_ANGLE, q.JOINT_TORQUE), _one_sided),
    },
)
