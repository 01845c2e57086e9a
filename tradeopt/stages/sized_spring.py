"""Springs of a given size beside the motor: wound coils, coils on a lever, leaves."""

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.chain.kind import Kind, Number, Row, Step, Word
from tradeopt.chain.stage import Values
from tradeopt.physics import spring, spring_material, spring_size
from tradeopt.stages import drive_slots
from tradeopt.stages.limbs import MATERIAL_COLUMNS
from tradeopt.stages.maturity import MATURITY
from tradeopt.stages.spring import REST_ANGLE, beside, weighed

_WAYS = ("both_ways", "extending", "flexing")
_BOTH = _WAYS.index("both_ways")
_SIGNS = np.array([0.0, 1.0, -1.0])
_NEEDS = (q.JOINT_ANGLE, q.JOINT_TORQUE)


def _loaded(values: Values, stiffness: Array) -> tuple[dict[str, Array], Array]:
    """Return what a spring of this stiffness does, and its largest deflection."""
    way = values["acts"].astype(np.int64)
    angle, rest = values[q.JOINT_ANGLE.name], values["rest_angle"][:, None, None]
    one_sided = spring.one_sided_deflection(angle, rest, _SIGNS[way][:, None, None])
    deflection = np.where((way == _BOTH)[:, None, None], angle - rest, one_sided)
    torque = spring.two_way_torque(deflection, stiffness[:, None, None], np.array(0.0))
    given = beside(values, torque, stiffness, values["rest_angle"])
    return given, np.abs(deflection).max(axis=(1, 2))


def _stress_margin(values: Values, stress: Array, strength: Array) -> dict[str, Array]:
    return {q.SPRING_STRESS_MARGIN.name: 1.0 - values["safety_factor"] * stress / strength}


def _coil(values: Values) -> tuple[Array, Array]:
    return values["wire_diameter"], values["coil_diameter"]


def _coil_mass(values: Values) -> Array:
    density = values["material.density"]
    active = spring_size.coil_mass(*_coil(values), values["coils"], density)
    return values["mount_factor"] * active


def _torsion_size(values: Values) -> Values:
    return weighed(_coil_mass(values), values)


def _torsion(values: Values) -> Values:
    modulus = values["material.youngs_modulus"]
    stiffness = spring_size.torsion_rate(*_coil(values), values["coils"], modulus)
    given, largest = _loaded(values, stiffness)
    stress = spring_size.torsion_stress(stiffness * largest, *_coil(values))
    return given | _stress_margin(values, stress, values["material.strength"])


def _lever_size(values: Values) -> Values:
    # coils only push: to act both ways it takes a pair
    springs = np.where(values["acts"] == _BOTH, 2.0, 1.0)
    return weighed(springs * _coil_mass(values), values)


def _on_lever(values: Values) -> Values:
    wire, coil = _coil(values)
    rate = spring_material.helical_rate(
        wire, coil, values["coils"], values["material.shear_modulus"]
    )
    given, largest = _loaded(values, spring_size.on_lever(rate, values["lever"]))
    travel = values["lever"] * largest
    plain = spring_size.coil_shear_stress(rate * travel, wire, coil)
    stress = plain * spring_material.wahl_factor(coil / wire)
    strength = spring_size.SHEAR_SHARE * values["material.strength"]
    return (
        given
        | _stress_margin(values, stress, strength)
        | {q.SPRING_TRAVEL_MARGIN.name: 1.0 - travel / (values["coils"] * values["coil_gap"])}
    )


def _leaf_size(values: Values) -> Values:
    volume = values["length"] * values["width"] * values["thickness"] * values["leaves"]
    return weighed(values["mount_factor"] * values["material.density"] * volume, values)


def _leaf(values: Values) -> Values:
    modulus = values["material.youngs_modulus"]
    length, thickness = values["length"], values["thickness"]
    rate = spring_size.leaf_rate(length, values["width"], thickness, values["leaves"], modulus)
    given, largest = _loaded(values, spring_size.on_lever(rate, values["lever"]))
    stress = spring_size.leaf_stress(values["lever"] * largest, length, thickness, modulus)
    return given | _stress_margin(values, stress, values["material.strength"])


def _positive(name: str, unit: str, meaning: str, typical: tuple[float, float]) -> Number:
    return Number(name, unit, meaning, typical, above=0.0)


_COMMON = (
    Word(
        "acts",
        _WAYS,
        "both ways, or only where extending or flexing winds it beyond the rest angle",
    ),
    REST_ANGLE,
    Row("material", "materials", MATERIAL_COLUMNS, "material of the spring"),
    Number("safety_factor", "1", "strength per stress", (1.5, 3), at_least=1.0),
    Number(
        "mount_factor", "1", "whole mass per mass of active material", (1.2, 2.0), at_least=1.0
    ),
    MATURITY,
)
_COILS = (
    _positive("wire_diameter", "m", "of the wire", (3e-3, 8e-3)),
    _positive("coil_diameter", "m", "of the coil, middle of the wire", (25e-3, 50e-3)),
    _positive("coils", "1", "working coils", (3, 10)),
)
_LEVER = _positive("lever", "m", "arm of the spring's force about the joint", (0.03, 0.08))

TORSION = Kind(
    "torsion",
    drive_slots.SPRING,
    "a coil of round wire that is wound about the joint",
    (*_COILS, *_COMMON),
    {"size": Step((), _torsion_size), "duty": Step(_NEEDS, _torsion)},
)
COMPRESSION_ON_LEVER = Kind(
    "compression_on_lever",
    drive_slots.SPRING,
    "a coil that is pressed by a lever on the joint, a pair of them to act both ways",
    (
        *_COILS,
        _positive("coil_gap", "m", "free between two coils", (1e-3, 4e-3)),
        _LEVER,
        *_COMMON,
    ),
    {"size": Step((), _lever_size), "duty": Step(_NEEDS, _on_lever)},
)
LEAF = Kind(
    "leaf",
    drive_slots.SPRING,
    "clamped leaves that a lever on the joint bends at their end",
    (
        _positive("length", "m", "of the leaves, clamp to load", (0.1, 0.25)),
        _positive("width", "m", "of a leaf", (0.02, 0.05)),
        _positive("thickness", "m", "of a leaf", (1.5e-3, 4e-3)),
        Number("leaves", "1", "that carry together", (1, 4), at_least=1.0, whole=True),
        _LEVER,
        *_COMMON,
    ),
    {"size": Step((), _leaf_size), "duty": Step(_NEEDS, _leaf)},
)
