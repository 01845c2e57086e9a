"""Motors: what a motor is made of follows from its size, what it draws from its load."""

import numpy as np

from tradeopt import quantities as q
from tradeopt.chain.kind import Agreement, Column, Kind, Number, Row, Step
from tradeopt.chain.stage import Values
from tradeopt.physics import heat, motor
from tradeopt.stages import slots
from tradeopt.stages.maturity import MATURITY


def _positive(name: str, unit: str, meaning: str, typical: tuple[float, float]) -> Column:
    return Column(name, unit, meaning, typical, above=0.0)


def _loss(name: str, unit: str, meaning: str, typical: tuple[float, float]) -> Column:
    return Column(name, unit, meaning, typical, at_least=0.0)


def _limit(name: str, meaning: str, typical: tuple[float, float]) -> Column:
    return Column(name, "K", meaning, typical, above=heat.COOL)


_COMMON = (
    _positive("diameter", "m", "outside of the housing", (0.06, 0.15)),
    _positive("length", "m", "housing along the shaft", (0.025, 0.07)),
    _positive("mass", "kg", "motor with housing", (0.2, 2)),
    _positive("rotor_inertia", "kg*m^2", "rotor about the shaft", (1e-5, 1e-3)),
    _positive("torque_constant", "N*m/A", "torque per q-axis ampere, amplitude", (0.05, 0.3)),
    _positive("phase_resistance", "ohm", "one phase at 20 degC", (0.02, 0.4)),
    _positive("phase_inductance", "H", "one phase", (2e-5, 4e-4)),
    Column("pole_pairs", "1", "pole pairs", (7, 21), at_least=1.0),
    _loss("hysteresis_torque", "W*s/rad", "iron loss per speed", (0.005, 0.05)),
    _loss("eddy_coefficient", "W*s^2/rad^2", "iron loss per speed squared", (1e-6, 1e-4)),
    _positive("peak_torque", "N*m", "largest torque", (1, 20)),
    _positive("winding_area", "m^2", "winding facing the stator", (0.003, 0.03)),
    _positive("housing_area", "m^2", "housing and bracket facing the air", (0.005, 0.06)),
    _loss("friction", "N*m", "bearings and seals", (0.005, 0.05)),
    _positive(
        "saturation_current",
        "A",
        "unsaturated current of the torque that takes twice as much, amplitude",
        (40, 200),
    ),
    Column("winding_share", "1", "copper in the mass", (0.1, 0.35), above=0.0, at_most=0.9),
    _positive("rest_heat", "J/(kg*K)", "specific heat of iron, magnets and housing", (420, 600)),
    _limit("winding_limit", "temperature of the insulation's class", (380, 460)),
    _limit("magnet_limit", "temperature that the magnets stand", (340, 430)),
)

FAMILY_COLUMNS = (
    _positive("gap_radius", "m", "air-gap radius of the reference motor", (0.02, 0.06)),
    _positive("stack_length", "m", "stack length of the reference motor", (0.01, 0.05)),
    *_COMMON,
)

CATALOGUE_COLUMNS = (
    *_COMMON,
    _positive("motor_constant", "N*m/W^0.5", "torque per root of copper loss", (0.1, 1.0)),
)


def _given(part: Values, values: Values) -> Values:
    """Return what a motor is, from the columns of its own table."""
    winding, housing = heat.heat_capacities(part["mass"], part["winding_share"], part["rest_heat"])
    return {
        q.MOTOR_MASS.name: part["mass"],
        q.MOTOR_MATURITY.name: values[MATURITY.name],
        q.MOTOR_DIAMETER.name: part["diameter"],
        q.MOTOR_LENGTH.name: part["length"],
        q.ROTOR_INERTIA.name: part["rotor_inertia"],
        q.TORQUE_CONSTANT.name: part["torque_constant"],
        q.PHASE_RESISTANCE.name: part["phase_resistance"],
        q.PHASE_INDUCTANCE.name: part["phase_inductance"],
        q.POLE_PAIRS.name: part["pole_pairs"],
        q.HYSTERESIS_TORQUE.name: part["hysteresis_torque"],
        q.EDDY_COEFFICIENT.name: part["eddy_coefficient"],
        q.PEAK_MOTOR_TORQUE.name: part["peak_torque"],
        q.MOTOR_FRICTION.name: part["friction"],
        q.SATURATION_CURRENT.name: part["saturation_current"],
        q.WINDING_AREA.name: part["winding_area"],
        q.HOUSING_AREA.name: part["housing_area"],
        q.WINDING_CAPACITY.name: winding,
        q.HOUSING_CAPACITY.name: housing,
        q.WINDING_LIMIT.name: part["winding_limit"],
        q.MAGNET_LIMIT.name: part["magnet_limit"],
    }


def _scaled(values: Values) -> Values:
    family = {column.name: values[f"family.{column.name}"] for column in FAMILY_COLUMNS}
    radius_ratio = values["gap_radius"] / family["gap_radius"]
    length_ratio = values["stack_length"] / family["stack_length"]
    factors = motor.family_factors(radius_ratio, length_ratio, values["turns"])
    by_factor = {
        "diameter": radius_ratio,
        "length": length_ratio,
        "mass": factors.mass,
        "rotor_inertia": factors.rotor_inertia,
        "torque_constant": factors.torque_constant,
        "phase_resistance": factors.resistance,
        "phase_inductance": factors.inductance,
        "hysteresis_torque": factors.mass,
        "eddy_coefficient": factors.mass,
        "peak_torque": factors.peak_torque,
        "friction": factors.mass,
        "saturation_current": factors.peak_torque / factors.torque_constant,
        "winding_area": factors.area,
        "housing_area": factors.area,
    }
    own = {name: family[name] * factor for name, factor in by_factor.items()}
    return {
        **_given({**family, **own}, values),
        q.MOTOR_SCALING_MARGIN.name: motor.scaling_margin(radius_ratio, length_ratio),
    }


def _from_catalogue(values: Values) -> Values:
    part = {column.name: values[f"model.{column.name}"] for column in CATALOGUE_COLUMNS}
    return {
        **_given(part, values),
        q.MOTOR_SCALING_MARGIN.name: np.ones_like(part["mass"]),
    }


def _load(values: Values) -> Values:
    torque, speed = values[q.MOTOR_TORQUE.name], values[q.MOTOR_SPEED.name]
    constant, saturation, friction, hysteresis, eddy = (
        values[one.name][:, None, None]
        for one in (
            q.TORQUE_CONSTANT,
            q.SATURATION_CURRENT,
            q.MOTOR_FRICTION,
            q.HYSTERESIS_TORQUE,
            q.EDDY_COEFFICIENT,
        )
    )
    peak = np.abs(torque).max(axis=(1, 2))
    return {
        q.MOTOR_CURRENT.name: motor.current(
            torque + friction * np.sign(speed), constant, saturation
        ),
        q.IRON_LOSS.name: motor.iron_loss(speed, hysteresis + friction, eddy),
        q.MOTOR_TORQUE_MARGIN.name: 1.0 - peak / values[q.PEAK_MOTOR_TORQUE.name],
    }


_DUTY = Step(
    (
        q.MOTOR_TORQUE,
        q.MOTOR_SPEED,
        q.TORQUE_CONSTANT,
        q.SATURATION_CURRENT,
        q.MOTOR_FRICTION,
        q.HYSTERESIS_TORQUE,
        q.EDDY_COEFFICIENT,
        q.PEAK_MOTOR_TORQUE,
    ),
    _load,
)

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
    {"size": Step((), _scaled), "duty": _DUTY},
)

CATALOGUE = Kind(
    "catalogue",
    slots.MOTOR,
    "a motor of a catalogue, as its row says",
    (
        Row(
            "model",
            "motors",
            CATALOGUE_COLUMNS,
            "motor of the catalogue",
            agreements=(
                Agreement(
                    "motor_constant",
                    motor.motor_constant,
                    ("torque_constant", "phase_resistance"),
                    motor.DATA_TOLERANCE,
                    "torque_constant/sqrt(1.5 phase_resistance)",
                ),
            ),
        ),
        MATURITY,
    ),
    {"size": Step((), _from_catalogue), "duty": _DUTY},
)
