"""Drive electronics: power drawn from the bus, and whether its voltage is enough."""

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.chain.kind import Kind, Number, Step
from tradeopt.chain.stage import Values
from tradeopt.physics import bus, field, motor
from tradeopt.stages import motor_slots, slots
from tradeopt.stages.field import phase_of


def _limit(values: Values) -> Values:
    return {q.DRIVE_CURRENT_LIMIT.name: values["peak_current"]}


def _drawn(values: Values, fixed: Array, linear: Array, quadratic: Array) -> Values:
    """Return what drives whose electronics lose so much draw from the bus."""
    squared = np.square(values[q.MOTOR_CURRENT.name]) + np.square(values[q.FIELD_CURRENT.name])
    current = np.sqrt(squared)
    fixed, linear, quadratic = (one[:, None, None, None] for one in (fixed, linear, quadratic))
    lost = bus.drive_loss(current, fixed=fixed, linear=linear, quadratic=quadratic)
    shaft = values[q.MOTOR_TORQUE.name] * values[q.MOTOR_SPEED.name]
    copper = motor.copper_loss(current, values[q.HOT_RESISTANCE.name][..., None])
    drive = shaft + copper + values[q.IRON_LOSS.name] + lost
    always_on = values[q.STANDBY_POWER.name] + q.LEGS * values[q.COOLING_POWER.name].sum(axis=1)
    both_legs = drive.sum(axis=1), always_on[:, None]
    kept = values["regeneration"][:, None]
    drawn = bus.bus_power(*both_legs, regeneration_efficiency=kept)
    returned = bus.regeneration_loss(*both_legs, regeneration_efficiency=kept)
    peak = current.max(axis=(2, 3))
    return {
        q.DRIVE_LOSS.name: lost.mean(axis=-1),
        q.DRIVE_POWER.name: drive.mean(axis=-1),
        q.BUS_POWER.name: drawn,
        q.MEAN_POWER.name: drawn.mean(axis=-1),
        q.REGENERATION_LOSS.name: returned.mean(axis=-1),
        q.DRIVE_CURRENT_MARGIN.name: 1.0 - peak / values["peak_current"][:, None],
    }


def _inverters(values: Values) -> Values:
    return _drawn(values, values["fixed_loss"], values["loss_per_current"], values["resistance"])


def _bridges(values: Values) -> Values:
    return _drawn(
        values,
        values["fixed_loss"],
        bus.switching_voltage(
            values["bus_voltage"], values["switching_time"], values["switching_frequency"]
        ),
        bus.conduction_resistance(values["transistor"]),
    )


_FIXED = Number("fixed_loss", "W", "of one inverter without current", (0.5, 5), at_least=0.0)
_SHARED = (
    Number(
        "regeneration",
        "1",
        "share of returned power that reaches the pack",
        (0.0, 0.95),
        at_least=0.0,
        at_most=1.0,
    ),
    Number(
        "peak_current",
        "A",
        "largest that one inverter gives, amplitude of both axes",
        (20, 120),
        above=0.0,
    ),
)
_STEPS_NEED = (
    q.MOTOR_CURRENT,
    q.FIELD_CURRENT,
    q.MOTOR_TORQUE,
    q.MOTOR_SPEED,
    q.IRON_LOSS,
    q.HOT_RESISTANCE,
    q.STANDBY_POWER,
    q.COOLING_POWER,
)

INVERTERS = Kind(
    "inverters",
    slots.ELECTRONICS,
    "one inverter a motor on a shared bus, its losses given",
    (
        _FIXED,
        Number("loss_per_current", "V", "of one inverter per ampere", (0.0, 0.5), at_least=0.0),
        Number(
            "resistance", "ohm", "of one inverter, per ampere squared", (0.001, 0.02), at_least=0.0
        ),
        *_SHARED,
    ),
    {"size": Step((), _limit), "duty": Step(_STEPS_NEED, _inverters)},
)

BRIDGES = Kind(
    "bridges",
    slots.ELECTRONICS,
    "one inverter a motor on a shared bus, its losses from its transistors",
    (
        _FIXED,
        Number("transistor", "ohm", "one that is on, hot", (0.0005, 0.01), at_least=0.0),
        Number("switching_time", "s", "turning on and off", (2e-8, 2e-7), at_least=0.0),
        Number("switching_frequency", "1/s", "turns on a second", (1e4, 1e5), at_least=0.0),
        Number("bus_voltage", "V", "that is switched", (36, 60), above=0.0),
        *_SHARED,
    ),
    {"size": Step((), _limit), "duty": Step(_STEPS_NEED, _bridges)},
)


def _sine_wave(values: Values) -> Values:
    needed = field.terminal_voltage(
        values[q.MOTOR_CURRENT.name],
        values[q.FIELD_CURRENT.name],
        values[q.MOTOR_SPEED.name],
        phase_of(values, values[q.HOT_RESISTANCE.name][..., None]),
    )
    there = bus.available_voltage(values[q.LOW_BUS_VOLTAGE.name])[:, None]
    return {q.VOLTAGE_MARGIN.name: 1.0 - needed.max(axis=(2, 3)) / np.maximum(there, 1e-9)}


SINE_WAVE = Kind(
    "sine_wave",
    motor_slots.VOLTAGE,
    "sinusoidal phase voltages within what the sagging bus gives",
    (),
    {
        "duty": Step(
            (
                q.MOTOR_CURRENT,
                q.FIELD_CURRENT,
                q.MOTOR_SPEED,
                q.HOT_RESISTANCE,
                q.PHASE_INDUCTANCE,
                q.TORQUE_CONSTANT,
                q.POLE_PAIRS,
                q.LOW_BUS_VOLTAGE,
            ),
            _sine_wave,
        )
    },
)
