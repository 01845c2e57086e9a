"""The spring that spares the motor most torque, found from the loads of all gaits together."""

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.chain.kind import Kind, Number, Row, Step, Word
from tradeopt.chain.stage import Values
from tradeopt.physics import spring, spring_material, spring_size
from tradeopt.stages import drive_slots
from tradeopt.stages.limbs import MATERIAL_COLUMNS
from tradeopt.stages.maturity import MATURITY
from tradeopt.stages.spring import WOUND_BY, beside, direction, weighed

_FORMS = ("twisted", "bent_round", "bent_flat")
_NEEDS = (q.JOINT_ANGLE, q.JOINT_TORQUE, q.GAIT_SHARE)


def _mass(values: Values) -> Values:
    """Weigh a spring that holds the energy at the working stress of its form."""
    stress = values["material.strength"] / values["safety_factor"]
    modulus = values["material.youngs_modulus"]
    held = (
        spring_material.torsion_energy_density(
            spring_size.SHEAR_SHARE * stress, values["material.shear_modulus"]
        ),
        spring_material.round_bending_energy_density(stress, modulus),
        spring_material.flat_bending_energy_density(stress, modulus),
    )
    mass = spring_material.spring_mass(
        values["energy"],
        energy_density=np.choose(values["form"].astype(np.int64), held),
        density=values["material.density"],
        mount_factor=values["mount_factor"],
    )
    return weighed(mass, values)


def _weight(values: Values) -> Array:
    return values[q.GAIT_SHARE.name][..., None]


def _energy_margin(values: Values, stiffness: Array, deflection: Array) -> dict[str, Array]:
    """Return the share of travel left: stress follows the deflection, energy its square."""
    stored = spring.stored_energy(stiffness, np.abs(deflection).max(axis=(1, 2)))
    return {q.SPRING_TRAVEL_MARGIN.name: 1.0 - np.sqrt(stored / values["energy"])}


def _best(values: Values) -> Values:
    angle = values[q.JOINT_ANGLE.name]
    stiffness, rest = spring.best_two_way(values[q.JOINT_TORQUE.name], angle, _weight(values))
    deflection = angle - rest[:, None, None]
    torque = spring.two_way_torque(angle, stiffness[:, None, None], rest[:, None, None])
    given = beside(values, torque, stiffness, rest)
    return given | _energy_margin(values, stiffness, deflection)


def _best_one_sided(values: Values) -> Values:
    angle, sign = values[q.JOINT_ANGLE.name], direction(values)
    stiffness, engagement = spring.best_one_sided(
        values[q.JOINT_TORQUE.name], angle, _weight(values), sign
    )
    place = engagement[:, None, None], sign[:, None, None]
    torque = spring.one_sided_torque(angle, stiffness[:, None, None], *place)
    given = beside(values, torque, stiffness, engagement)
    return given | _energy_margin(values, stiffness, spring.one_sided_deflection(angle, *place))


_SIZE = (
    Number("energy", "J", "largest that it is built to hold", (5, 40), above=0.0),
    Word(
        "form",
        _FORMS,
        "twisted: torsion bar or helical under a force; bent_round: helical about its axis; "
        "bent_flat: spiral of a strip",
    ),
    Row("material", "materials", MATERIAL_COLUMNS, "material of the spring"),
    Number("safety_factor", "1", "strength per stress", (1.5, 3), at_least=1.0),
    Number(
        "mount_factor", "1", "whole mass per mass of active material", (1.2, 2.0), at_least=1.0
    ),
    MATURITY,
)

BEST = Kind(
    "best",
    drive_slots.SPRING,
    "both ways, of the stiffness and rest angle that leave the least mean-square torque",
    _SIZE,
    {"size": Step((), _mass), "duty": Step(_NEEDS, _best)},
)
BEST_ONE_SIDED = Kind(
    "best_one_sided",
    drive_slots.SPRING,
    "one-sided, of the stiffness and engagement that leave the least mean-square torque",
    (WOUND_BY, *_SIZE),
    {"size": Step((), _mass), "duty": Step(_NEEDS, _best_one_sided)},
)
