"""Peaks: a few seconds of great torque from the hot state of a gait, and what they leave."""

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.chain.kind import Entry, Kind, Number, Step
from tradeopt.chain.stage import Values
from tradeopt.physics import bus, field, heat, motor, warming
from tradeopt.physics.crouch import crouch
from tradeopt.stages import peak_slots

_AFTER = Entry("after", "gait", "gait that it follows, and that has warmed the motors")
_LOADS = (q.PEAK_TORQUE, q.PEAK_SPEED, q.PEAK_ANGLE)
_TIME = Number("time", "s", "how long it lasts", (0.5, 10), above=0.0)


def _follows(values: Values) -> Array:
    gaits = values[q.WALKING_SPEED.name].shape[1]
    picked: Array = (values["after"][:, None] == np.arange(gaits)).astype(np.float64)
    return picked


def _load_case(values: Values) -> Values:
    by_joint = (
        np.stack([values[f"{what}.{joint}"] for joint in q.JOINTS], axis=1)
        for what in ("torque", "speed", "angle")
    )
    return {
        q.PEAK_TIME.name: values["time"],
        q.PEAK_GAIT.name: _follows(values),
        **dict(zip((one.name for one in _LOADS), by_joint, strict=True)),
    }


def _stand_up(values: Values) -> Values:
    flexion, rate = values["knee_flexion"], values["knee_speed"]
    bent = crouch(values[q.THIGH_LENGTH.name], values[q.SHANK_LENGTH.name], flexion)
    weight = (values[q.TOTAL_MASS.name] + values["payload"]) * values[q.GRAVITY.name]
    carried = values["share"] * values["load_factor"] * weight
    nothing = np.zeros_like(rate)
    torque = {"knee": carried * bent.knee_lever}
    speed = {
        "hip_pitch": bent.hip_share * rate,
        "knee": rate,
        "ankle_pitch": (1.0 - bent.hip_share) * rate,
    }
    angle = {
        "hip_pitch": -bent.hip_bend,
        "knee": -flexion,
        "ankle_pitch": bent.hip_bend - flexion,
    }
    by_joint = (
        np.stack([one.get(joint, nothing) for joint in q.JOINTS], axis=1)
        for one in (torque, speed, angle)
    )
    return {
        q.PEAK_TIME.name: values["time"],
        q.PEAK_GAIT.name: _follows(values),
        **dict(zip((one.name for one in _LOADS), by_joint, strict=True)),
    }


def _of_each_joint(
    what: str, unit: str, meaning: str, typical: tuple[float, float]
) -> tuple[Number, ...]:
    return tuple(
        Number(f"{what}.{joint}", unit, f"{meaning} {joint}", typical) for joint in q.JOINTS
    )


LOAD_CASE = Kind(
    "load_case",
    peak_slots.PEAK,
    "torques of the drives, springs taken off, for some seconds: a push, a recovery, a stall",
    (
        _AFTER,
        _TIME,
        *_of_each_joint("torque", "N*m", "torque of the drive of", (-120, 120)),
        *_of_each_joint("speed", "rad/s", "speed of", (-4, 4)),
        *_of_each_joint("angle", "rad", "angle of", (-1.5, 0.5)),
    ),
    {"duty": Step((q.WALKING_SPEED,), _load_case)},
)

STAND_UP = Kind(
    "stand_up",
    peak_slots.PEAK,
    "rising from a crouch with the weight through hip and ankle: the knee carries it, no spring",
    (
        _AFTER,
        _TIME,
        Number("knee_flexion", "rad", "bend of the knee", (0.5, 2.0), at_least=0.0, at_most=2.8),
        Number("knee_speed", "rad/s", "knee straightening", (0.5, 3.0), at_least=0.0),
        Number(
            "share", "1", "of the weight on this leg", (0.4, 1.0), at_least=0.0, at_most=1.0
        ),
        Number(
            "load_factor", "1", "load over the weight at rest, from rising fast", (1.0, 1.5),
            at_least=1.0,
        ),
        Number("payload", "kg", "carried on the torso", (0, 20), at_least=0.0),
    ),
    {
        "duty": Step(
            (q.WALKING_SPEED, q.TOTAL_MASS, q.GRAVITY, q.THIGH_LENGTH, q.SHANK_LENGTH), _stand_up
        )
    },
)  # fmt: skip


def _hot_start(values: Values) -> warming.Rises:
    """Return the rises of the gait that each peak follows, by joint and peak.

    A gait of the mission leaves its warmest legs' warmth behind, any other that of going on for
    ever.
    """
    walks = (values[q.LEG_GAIT.name] > 0.0)[:, None]
    air = values[q.AMBIENT_TEMPERATURE.name][:, None, None]
    found = []
    for in_legs, for_ever in (
        (q.MISSION_WINDING_TEMPERATURE, q.WINDING_TEMPERATURE),
        (q.MISSION_HOUSING_TEMPERATURE, q.HOUSING_TEMPERATURE),
    ):
        warmest = np.where(walks, values[in_legs.name][..., None], 0.0).max(axis=2)
        warm = np.where(walks.any(axis=2), warmest, values[for_ever.name])
        found.append(np.einsum("djg,dpg->djp", warm - air, values[q.PEAK_GAIT.name]))
    return warming.Rises(*found)


def _warmed(values: Values, current: Array) -> Array:
    """Return the winding's temperature at the end of each peak, by joint and peak."""
    cold = motor.copper_loss(current, values[q.PHASE_RESISTANCE.name][..., None])
    air = values[q.AMBIENT_TEMPERATURE.name][:, None, None]
    coefficient = motor.COPPER_COEFFICIENT
    start = _hot_start(values)
    rises = warming.transient(
        values[q.PEAK_TIME.name][:, None],
        warming.Load(
            cold * (1.0 + coefficient * (air - motor.COPPER_REFERENCE_TEMPERATURE)),
            cold * coefficient,
            motor.iron_loss(
                values[q.PEAK_SHAFT_SPEED.name],
                (values[q.HYSTERESIS_TORQUE.name] + values[q.MOTOR_FRICTION.name])[..., None],
                values[q.EDDY_COEFFICIENT.name][..., None],
            ),
        ),
        start,
        warming.Network(
            *(
                values[one.name][..., None]
                for one in (
                    q.WINDING_TO_HOUSING,
                    q.HOUSING_TO_AIR,
                    q.WINDING_CAPACITY,
                    q.HOUSING_CAPACITY,
                )
            )
        ),
    )
    warmest: Array = air + heat.bounded_rise(np.maximum(start.winding, rises.winding))
    return warmest


def _voltage_left(values: Values, current: Array, winding: Array) -> Array:
    constant, pairs = values[q.TORQUE_CONSTANT.name], values[q.POLE_PAIRS.name]
    hot = motor.resistance_at(
        values[q.PHASE_RESISTANCE.name][..., None],
        winding,
        reference_temperature=np.array(motor.COPPER_REFERENCE_TEMPERATURE),
        coefficient=np.array(motor.COPPER_COEFFICIENT),
    )
    wide = (values[q.PHASE_INDUCTANCE.name], motor.flux_linkage(constant, pairs), pairs)
    phase = field.Phase(hot, *(one[..., None] for one in wide))
    needed = field.terminal_voltage(
        current, np.zeros_like(current), values[q.PEAK_SHAFT_SPEED.name], phase
    )
    there = bus.available_voltage(values[q.LOW_BUS_VOLTAGE.name])[:, None, None]
    margin: Array = 1.0 - needed / np.maximum(there, 1e-9)
    return margin


def _from_hot(values: Values) -> Values:
    torque = values[q.PEAK_SHAFT_TORQUE.name]
    drag = values[q.MOTOR_FRICTION.name][..., None] * np.sign(values[q.PEAK_SHAFT_SPEED.name])
    current = motor.current(
        torque + drag,
        values[q.TORQUE_CONSTANT.name][..., None],
        values[q.SATURATION_CURRENT.name][..., None],
    )
    winding = _warmed(values, current)
    limit = values[q.DRIVE_CURRENT_LIMIT.name][:, None, None]
    return {
        q.PEAK_CURRENT.name: current,
        q.PEAK_WINDING_TEMPERATURE.name: winding,
        q.PEAK_TORQUE_MARGIN.name: 1.0
        - np.abs(torque) / values[q.PEAK_MOTOR_TORQUE.name][..., None],
        q.PEAK_CURRENT_MARGIN.name: 1.0 - np.abs(current) / limit,
        q.PEAK_VOLTAGE_MARGIN.name: _voltage_left(values, current, winding),
        q.PEAK_HEAT_MARGIN.name: heat.range_left(winding, values[q.WINDING_LIMIT.name][..., None]),
    }


FROM_HOT = Kind(
    "from_hot",
    peak_slots.PEAK_DUTY,
    "each peak from the hot state of its gait, on the bus at the end of the charge",
    (),
    {
        "duty": Step(
            (
                q.PEAK_TIME,
                q.PEAK_GAIT,
                q.PEAK_SHAFT_TORQUE,
                q.PEAK_SHAFT_SPEED,
                q.TORQUE_CONSTANT,
                q.SATURATION_CURRENT,
                q.MOTOR_FRICTION,
                q.HYSTERESIS_TORQUE,
                q.EDDY_COEFFICIENT,
                q.PEAK_MOTOR_TORQUE,
                q.PHASE_RESISTANCE,
                q.PHASE_INDUCTANCE,
                q.POLE_PAIRS,
                q.WINDING_TO_HOUSING,
                q.HOUSING_TO_AIR,
                q.WINDING_CAPACITY,
                q.HOUSING_CAPACITY,
                q.WINDING_LIMIT,
                q.AMBIENT_TEMPERATURE,
                q.WINDING_TEMPERATURE,
                q.HOUSING_TEMPERATURE,
                q.MISSION_WINDING_TEMPERATURE,
                q.MISSION_HOUSING_TEMPERATURE,
                q.LEG_GAIT,
                q.LOW_BUS_VOLTAGE,
                q.DRIVE_CURRENT_LIMIT,
            ),
            _from_hot,
        )
    },
)
