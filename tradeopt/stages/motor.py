"""Motors: what a motor is made of follows from its size, what it draws from its load."""

import numpy as np

from tradeopt import quantities as q
from tradeopt.chain.kind import Column, Kind, Number, Row, Step
from tradeopt.chain.stage import Values
from tradeopt.physics import motor
from tradeopt.stages import slots
from tradeopt.stages.maturity import MATURITY

FAMILY_COLUMNS = (
    Column("gap_radius", "m", "air-gap radius of the reference motor", (0.02, 0.06)),
    Column("stack_length", "m", "stack length of the reference motor", (0.01, 0.05)),
    Column("diameter", "m", "outside of the housing", (0.06, 0.15)),
    Column("length", "m", "housing along the shaft", (0.025, 0.07)),
    Column("mass", "kg", "motor with housing", (0.2, 2)),
    Column("rotor_inertia", "kg*m^2", "rotor about the shaft", (1e-5, 1e-3)),
    Column("torque_constant", "N*m/A", "torque per q-axis ampere, amplitude", (0.05, 0.3)),
    Column("phase_resistance", "ohm", "one phase at 20 degC", (0.02, 0.4)),
    Column("phase_inductance", "H", "one phase", (2e-5, 4e-4)),
    Column("pole_pairs", "1", "pole pairs", (7, 21)),
    Column("hysteresis_torque", "W*s/rad", "iron loss per speed", (0.005, 0.05)),
    Column("eddy_coefficient", "W*s^2/rad^2", "iron loss per speed squared", (1e-6, 1e-4)),
    Column("peak_torque", "N*m", "largest torque", (1, 20)),
    Column("winding_area", "m^2", "winding facing the stator", (0.003, 0.03)),
    Column("housing_area", "m^2", "housing and bracket facing the air", (0.005, 0.06)),
)


def _scaled(values: Values) -> Values:
    family = {column.name: values[f"family.{column.name}"] for column in FAMILY_COLUMNS}
    radius_ratio = values["gap_radius"] / family["gap_radius"]
    length_ratio = values["stack_length"] / family["stack_length"]
    factors = motor.family_factors(radius_ratio, length_ratio, values["turns"])
    return {
        q.MOTOR_MASS.name: family["mass"] * factors.mass,
        q.MOTOR_MATURITY.name: values[MATURITY.name],
        q.MOTOR_DIAMETER.name: family["diameter"] * radius_ratio,
        q.MOTOR_LENGTH.name: family["length"] * length_ratio,
        q.ROTOR_INERTIA.name: family["rotor_inertia"] * factors.rotor_inertia,
        q.TORQUE_CONSTANT.name: family["torque_constant"] * factors.torque_constant,
        q.PHASE_RESISTANCE.name: family["phase_resistance"] * factors.resistance,
        q.PHASE_INDUCTANCE.name: family["phase_inductance"] * factors.inductance,
        q.POLE_PAIRS.name: family["pole_pairs"],
        q.HYSTERESIS_TORQUE.name: family["hysteresis_torque"] * factors.mass,
        q.EDDY_COEFFICIENT.name: family["eddy_coefficient"] * factors.mass,
        q.PEAK_MOTOR_TORQUE.name: family["peak_torque"] * factors.peak_torque,
        q.MOTOR_SCALING_MARGIN.name: motor.scaling_margin(radius_ratio, length_ratio),
        q.WINDING_AREA.name: family["winding_area"] * factors.area,
        q.HOUSING_AREA.name: family["housing_area"] * factors.area,
    }


def _load(values: Values) -> Values:
    torque = values[q.MOTOR_TORQUE.name]
    current = motor.current(torque, values[q.TORQUE_CONSTANT.name][:, None, None])
    resistance = values[q.PHASE_RESISTANCE.name][:, None, None]
    peak = np.abs(torque).max(axis=(1, 2))
    return {
        q.MOTOR_CURRENT.name: current,
        q.COLD_COPPER_LOSS.name: motor.copper_loss(current, resistance).mean(axis=-1),
        q.IRON_LOSS.name: motor.iron_loss(
            values[q.MOTOR_SPEED.name],
            values[q.HYSTERESIS_TORQUE.name][:, None, None],
            values[q.EDDY_COEFFICIENT.name][:, None, None],
        ),
        q.MOTOR_TORQUE_MARGIN.name: 1.0 - peak / values[q.PEAK_MOTOR_TORQUE.name],
    }


SCALED = Kind(
    "scaled",
    slots.MOTOR,
    "a motor of a family, its air-gap radius, stack length and turns chosen freely",
    (
        Row("family", "motor_families", FAMILY_COLUMNS, "family of motors"),
        Number("gap_radius", "m", "air-gap radius", (0.02, 0.06), above=0.0),
        Number("stack_length", "m", "stack length", (0.008, 0.04), above=0.0),
        Number("turns", "1", "turns, as a multiple of the family's", (0.5, 2.0), above=0.0),
        MATURITY,
    ),
    {
        "size": Step((), _scaled),
        "duty": Step(
            (
                q.MOTOR_TORQUE,
                q.MOTOR_SPEED,
                q.TORQUE_CONSTANT,
                q.PHASE_RESISTANCE,
                q.HYSTERESIS_TORQUE,
                q.EDDY_COEFFICIENT,
                q.PEAK_MOTOR_TORQUE,
            ),
            _load,
        ),
    },
)
