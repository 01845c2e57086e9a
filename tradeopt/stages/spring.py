"""Springs beside the motor: they take a share of the joint torque at no power."""

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.chain.kind import Kind, Number, Step, Word
from tradeopt.chain.stage import Values
from tradeopt.physics import spring, spring_material
from tradeopt.stages import drive_slots
from tradeopt.stages.maturity import MATURITY

_DIRECTIONS = ("extending", "flexing")
_SIGNS = np.array([1.0, -1.0])


def _no_mass(values: Values) -> Values:
    nothing = np.zeros_like(values[q.MOTOR_MASS.name])
    return {
        q.SPRING_MASS.name: nothing,
        q.SPRING_MATURITY.name: nothing,
        q.SERIES_COMPLIANCE.name: nothing,
    }


def _no_torque(values: Values) -> Values:
    torque = values[q.JOINT_TORQUE.name]
    nothing = np.zeros(len(torque))
    return {
        q.SPRING_TORQUE.name: np.zeros_like(torque),
        q.DRIVE_TORQUE.name: torque,
        q.SPRING_STIFFNESS.name: nothing,
        q.SPRING_REST_ANGLE.name: nothing,
        q.SPRING_TRAVEL_MARGIN.name: np.ones(len(torque)),
        q.SPRING_STRESS_MARGIN.name: np.ones(len(torque)),
    }


NONE = Kind(
    "none",
    drive_slots.SPRING,
    "the motor carries the whole torque",
    (),
    {"size": Step((q.MOTOR_MASS,), _no_mass), "duty": Step((q.JOINT_TORQUE,), _no_torque)},
)

REST_ANGLE = Number("rest_angle", "rad", "joint angle without torque", (-0.5, 0.5))
WOUND_BY = Word("wound_by", _DIRECTIONS, "whether extending or flexing the joint winds it")

_BUILD = (
    Number("energy_per_volume", "J/m^3", "stored at the working stress", (5e5, 3e6), above=0.0),
    Number("density", "kg/m^3", "of the spring's material", (1500, 8000), above=0.0),
    Number(
        "mount_factor", "1", "whole mass per mass of active material", (1.2, 2.0), at_least=1.0
    ),
    MATURITY,
)
_SIZE = (
    Number("stiffness", "N*m/rad", "torque per angle", (10, 300), at_least=0.0),
    Number("travel", "rad", "largest deflection that it is built for", (0.3, 1.5), above=0.0),
    *_BUILD,
)


def weighed(mass: Array, values: Values) -> dict[str, Array]:
    """Return what a spring beside the motor is."""
    return {
        q.SPRING_MASS.name: mass,
        q.SPRING_MATURITY.name: values[MATURITY.name],
        q.SERIES_COMPLIANCE.name: np.zeros_like(mass),
    }


def beside(values: Values, torque: Array, stiffness: Array, rest_angle: Array) -> dict[str, Array]:
    """Return what a spring beside the motor does; limits that it does not have are far away."""
    far = np.ones_like(stiffness)
    return {
        q.SPRING_TORQUE.name: torque,
        q.DRIVE_TORQUE.name: values[q.JOINT_TORQUE.name] - torque,
        q.SPRING_STIFFNESS.name: stiffness,
        q.SPRING_REST_ANGLE.name: rest_angle,
        q.SPRING_TRAVEL_MARGIN.name: far,
        q.SPRING_STRESS_MARGIN.name: far,
    }


def direction(values: Values) -> Array:
    """Return the sense that winds a one-sided spring."""
    return _SIGNS[values[WOUND_BY.name].astype(np.int64)]


def _mass(values: Values) -> dict[str, Array]:
    energy = spring.stored_energy(values["stiffness"], values["travel"])
    return weighed(_of_energy(energy, values), values)


def _of_energy(energy: Array, values: Values) -> Array:
    return spring_material.spring_mass(
        energy,
        energy_density=values["energy_per_volume"],
        density=values["density"],
        mount_factor=values["mount_factor"],
    )


def _travel_margin(deflection: Array, values: Values) -> dict[str, Array]:
    largest = np.abs(deflection).max(axis=(1, 2))
    return {q.SPRING_TRAVEL_MARGIN.name: 1.0 - largest / values["travel"]}


def _two_way(values: Values) -> Values:
    angle = values[q.JOINT_ANGLE.name]
    stiffness, rest = (values[name][:, None, None] for name in ("stiffness", "rest_angle"))
    torque = spring.two_way_torque(angle, stiffness, rest)
    given = beside(values, torque, values["stiffness"], values["rest_angle"])
    return given | _travel_margin(angle - rest, values)


def _one_sided(values: Values) -> Values:
    angle = values[q.JOINT_ANGLE.name]
    stiffness, engagement = (
        values[name][:, None, None] for name in ("stiffness", "engagement_angle")
    )
    sign = direction(values)[:, None, None]
    torque = spring.one_sided_torque(angle, stiffness, engagement, sign)
    given = beside(values, torque, values["stiffness"], values["engagement_angle"])
    return given | _travel_margin(spring.one_sided_deflection(angle, engagement, sign), values)


TWO_WAY = Kind(
    "two_way",
    drive_slots.SPRING,
    "pulls towards its rest angle from both sides",
    (REST_ANGLE, *_SIZE),
    {
        "size": Step((), _mass),
        "duty": Step((q.JOINT_ANGLE, q.JOINT_TORQUE), _two_way),
    },
)

ONE_SIDED = Kind(
    "one_sided",
    drive_slots.SPRING,
    "touched on one side of an angle only",
    (
        Number("engagement_angle", "rad", "joint angle at which it is first touched", (-0.5, 0.5)),
        WOUND_BY,
        *_SIZE,
    ),
    {
        "size": Step((), _mass),
        "duty": Step((q.JOINT_ANGLE, q.JOINT_TORQUE), _one_sided),
    },
)


def _clutched_mass(values: Values) -> Values:
    sized = _mass(values)
    return sized | {q.SPRING_MASS.name: sized[q.SPRING_MASS.name] + values["clutch_mass"]}


def _clutched(values: Values) -> Values:
    angle = values[q.JOINT_ANGLE.name]
    turned = spring.clutched_deflection(
        angle, values["engaged_at"][:, None], values["held_for"][:, None]
    )
    torque = spring.two_way_torque(turned, values["stiffness"][:, None, None], np.array(0.0))
    given = beside(values, torque, values["stiffness"], np.zeros_like(values["stiffness"]))
    travel = _travel_margin(turned, values)[q.SPRING_TRAVEL_MARGIN.name]
    held = 1.0 - np.abs(torque).max(axis=(1, 2)) / values["clutch_torque"]
    return given | {q.SPRING_TRAVEL_MARGIN.name: np.minimum(travel, held)}


CLUTCHED = Kind(
    "clutched",
    drive_slots.SPRING,
    "held by a clutch over a part of every stride, slack when it takes hold",
    (
        Number("engaged_at", "1", "part of the stride", (0.0, 1.0), at_least=0.0, at_most=1.0),
        Number("held_for", "1", "part of the stride", (0.1, 0.6), at_least=0.0, at_most=1.0),
        Number("clutch_mass", "kg", "of the clutch", (0.05, 0.3), at_least=0.0),
        Number("clutch_torque", "N*m", "largest that it holds", (20, 150), above=0.0),
        *_SIZE,
    ),
    {
        "size": Step((), _clutched_mass),
        "duty": Step((q.JOINT_ANGLE, q.JOINT_TORQUE), _clutched),
    },
)


def _series_size(values: Values) -> Values:
    energy = spring.stored_energy(values["series_stiffness"], values["series_travel"])
    soft = 1.0 / values["series_stiffness"]
    return weighed(_of_energy(energy, values), values) | {q.SERIES_COMPLIANCE.name: soft}


def _series(values: Values) -> Values:
    torque, stiffness = values[q.JOINT_TORQUE.name], values["series_stiffness"]
    given = beside(values, np.zeros_like(torque), stiffness, np.zeros_like(stiffness))
    largest = np.abs(torque).max(axis=(1, 2)) / stiffness
    return given | {q.SPRING_TRAVEL_MARGIN.name: 1.0 - largest / values["series_travel"]}


SERIES = Kind(
    "series",
    drive_slots.SPRING,
    "between transmission and joint: it carries the whole torque, and the motor winds it",
    (
        Number("series_stiffness", "N*m/rad", "torque per angle", (300, 3000), above=0.0),
        Number("series_travel", "rad", "largest one it is built for", (0.05, 0.3), above=0.0),
        *_BUILD,
    ),
    {"size": Step((), _series_size), "duty": Step((q.JOINT_TORQUE,), _series)},
)
