"""Limb tubes: their mass follows from their section, their margins from the gait's own loads."""

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.chain.kind import Column, Kind, Number, Row, Step
from tradeopt.chain.stage import Values
from tradeopt.physics import inertia, tube
from tradeopt.physics.walking.limb_loads import bending_peak, deflecting_moment, limb_moments
from tradeopt.stages import slots
from tradeopt.stages.maturity import MATURITY

_THIGH, _SHANK = (q.BODIES.index(name) for name in ("thigh", "shank"))


def _massless_limbs(values: Values) -> Values:
    torque = values[q.JOINT_TORQUE.name]
    limbs = limb_moments(
        np.moveaxis(values[q.JOINT_ANGLE.name], 1, 2),
        np.moveaxis(torque, 1, 2),
        values[q.THIGH_LENGTH.name][:, None],
        values[q.SHANK_LENGTH.name][:, None],
    )
    weight = values[q.TOTAL_MASS.name] * values[q.GRAVITY.name]
    return {
        q.LIMB_FORCE.name: _on_limbs([weight, weight]),
        q.LIMB_MOMENT.name: _on_limbs(
            [_peak(tube.equivalent_moment(bending_peak(one), one.twist)) for one in limbs]
        ),
        q.LIMB_DEFLECTING_MOMENT.name: _on_limbs([_peak(deflecting_moment(one)) for one in limbs]),
        q.LIMB_TWISTING_MOMENT.name: _on_limbs([_peak(np.abs(one.twist)) for one in limbs]),
    }


def _on_limbs(both: list[Array]) -> Array:
    """Return what is known of thigh and shank by body; 0 for the bodies that are no limbs."""
    columns = [np.zeros_like(both[0])] * len(q.BODIES)
    columns[_THIGH], columns[_SHANK] = both
    return np.stack(columns, axis=1)


def _peak(moment: Array) -> Array:
    peak: Array = moment.max(axis=-1)
    return peak


MASSLESS_LIMBS = Kind(
    "massless_limbs",
    slots.LIMB_LOAD,
    "moments from the joint torques at both ends, with the whole weight on one leg",
    (),
    {
        "duty": Step(
            (
                q.JOINT_ANGLE,
                q.JOINT_TORQUE,
                q.THIGH_LENGTH,
                q.SHANK_LENGTH,
                q.TOTAL_MASS,
                q.GRAVITY,
            ),
            _massless_limbs,
        )
    },
)

MATERIAL_COLUMNS = (
    Column("density", "kg/m^3", "density", (1500, 8000)),
    Column("youngs_modulus", "Pa", "along the tube", (4e10, 2.1e11)),
    Column("shear_modulus", "Pa", "in the wall", (1.5e10, 8e10)),
    Column("strength", "Pa", "yield; of a laminate the first ply to fail", (2.5e8, 9e8)),
)


def _tube_size(values: Values) -> Values:
    length, outer = values[q.BODY_LENGTH.name], values["outer_diameter"]
    area = tube.section_area(outer, values["wall"])
    pipe = values["material.density"] * area * length
    half = values["fittings"] / 2.0
    zero = np.zeros_like(length)
    middle, bottom = (np.stack([zero, zero, -share * length], axis=-1) for share in (0.5, 1.0))
    about_middle = inertia.tube_inertia(pipe, outer, tube.bore(outer, values["wall"]), length)
    points = inertia.inertial_parameters(
        half, np.zeros_like(bottom), np.zeros_like(about_middle)
    ) + inertia.inertial_parameters(half, bottom, np.zeros_like(about_middle))
    return {
        q.STRUCTURE_MASS.name: pipe + values["fittings"],
        q.STRUCTURE_MATURITY.name: values[MATURITY.name],
        q.STRUCTURE_INERTIA.name: points + inertia.inertial_parameters(pipe, middle, about_middle),
        q.BODY_WIDTH.name: outer,
    }


def _tube_duty(values: Values) -> Values:
    # each value by (design, gait)
    length, outer, wall, safety = (
        values[name][:, None]
        for name in (q.BODY_LENGTH.name, "outer_diameter", "wall", "safety_factor")
    )
    stiff, shear, strength = (
        values[f"material.{name}"][:, None]
        for name in ("youngs_modulus", "shear_modulus", "strength")
    )
    force = (values["load_factor"] * values[q.LIMB_FORCE.name])[:, None]
    moment = values[q.LIMB_MOMENT.name]
    section = tube.second_moment(outer, wall)
    stress = safety * tube.outer_stress(force, moment, outer, wall)
    effective = values["effective_length"][:, None] * length
    column = tube.column_use(safety * force, stiff, section, effective)
    return {
        q.LIMB_STRESS_MARGIN.name: 1.0 - stress / strength,
        q.LIMB_COLUMN_MARGIN.name: np.broadcast_to(1.0 - column, moment.shape),
        q.LIMB_WALL_MARGIN.name: 1.0 - stress / tube.wall_stress(stiff, outer, wall),
        q.LIMB_STIFFNESS_MARGIN.name: 1.0
        - _give(values, length, stiff * section, 2.0 * shear * section),
    }


def _give(values: Values, length: Array, bending: Array, torsional: Array) -> Array:
    """Return deflection or twist over what is allowed, whichever is more."""
    deflection = tube.end_deflection(values[q.LIMB_DEFLECTING_MOMENT.name], length, bending)
    twist = tube.twist_angle(values[q.LIMB_TWISTING_MOMENT.name], length, torsional)
    return np.maximum(deflection / values["deflection"][:, None], twist / values["twist"][:, None])


TUBE = Kind(
    "tube",
    slots.BODY,
    "a round tube from its joint to the next, with fittings at both ends; for thigh and shank",
    (
        Row("material", "materials", MATERIAL_COLUMNS, "material of the tube"),
        Number("outer_diameter", "m", "outside of the tube", (0.04, 0.1), above=0.0),
        Number("wall", "m", "wall of the tube", (0.001, 0.004), above=0.0),
        Number(
            "fittings", "kg", "both ends, brackets and covers together", (0.3, 2), at_least=0.0
        ),
        MATURITY,
        Number(
            "safety_factor",
            "1",
            "strength and buckling load over what may be used; holes, welds and fatigue are in it",
            (1.5, 6.0),
            at_least=1.0,
        ),
        Number(
            "load_factor", "1", "force along the limb over the weight", (1.1, 2.5), at_least=1.0
        ),
        Number(
            "effective_length",
            "1",
            "buckling length over the length: 1 for pinned ends, 2 for an end that can sway",
            (1.0, 2.0),
            at_least=0.5,
        ),
        Number("deflection", "m", "most that one end may give way", (0.001, 0.005), above=0.0),
        Number("twist", "rad", "most that it may twist", (0.003, 0.02), above=0.0),
    ),
    {
        "size": Step((q.BODY_LENGTH,), _tube_size),
        "duty": Step(
            (
                q.BODY_LENGTH,
                q.LIMB_FORCE,
                q.LIMB_MOMENT,
                q.LIMB_DEFLECTING_MOMENT,
                q.LIMB_TWISTING_MOMENT,
            ),
            _tube_duty,
        ),
    },
)
