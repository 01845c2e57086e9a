"""The field of the motors: undisturbed, or weakened where the bus has too little voltage."""

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.chain.kind import Kind, Number, Step
from tradeopt.chain.stage import Values
from tradeopt.physics import bus, field, motor
from tradeopt.stages import motor_slots


def _given(values: Values, weakening: Array, kept: Array) -> Values:
    current = np.square(values[q.MOTOR_CURRENT.name]) + np.square(weakening)
    resistance = values[q.PHASE_RESISTANCE.name][:, :, None]
    return {
        q.FIELD_CURRENT.name: weakening,
        q.WEAKENING_VOLTAGE.name: kept,
        q.COLD_COPPER_LOSS.name: motor.copper_loss(np.sqrt(current.mean(axis=-1)), resistance),
    }


def _undisturbed(values: Values) -> Values:
    none = np.zeros_like(values[q.MOTOR_CURRENT.name])
    return _given(values, none, none[:, 0, 0, 0])


def phase_of(values: Values, resistance: Array) -> field.Phase:
    """Return one phase of each motor, ready for arrays by gait and phase of the stride."""
    constant, pairs = values[q.TORQUE_CONSTANT.name], values[q.POLE_PAIRS.name]
    inductance, linkage = values[q.PHASE_INDUCTANCE.name], motor.flux_linkage(constant, pairs)
    wide = (one[:, :, None, None] for one in (inductance, linkage, pairs))
    return field.Phase(resistance, *wide)


def _weakened(values: Values) -> Values:
    there = bus.available_voltage(values["bus_voltage"])
    weakening = field.weakening_current(
        values[q.MOTOR_CURRENT.name],
        values[q.MOTOR_SPEED.name],
        phase_of(values, values[q.PHASE_RESISTANCE.name][:, :, None, None]),
        voltage=there[:, None, None, None],
    )
    return _given(values, weakening, values["bus_voltage"])


UNDISTURBED = Kind(
    "undisturbed",
    motor_slots.FIELD,
    "all current makes torque",
    (),
    {"duty": Step((q.MOTOR_CURRENT, q.PHASE_RESISTANCE), _undisturbed)},
)

WEAKENED = Kind(
    "weakened",
    motor_slots.FIELD,
    "current against the magnets where a motor would need more than the bus gives",
    (
        Number(
            "bus_voltage",
            "V",
            "bus voltage that the drives keep to, below the sagging one with some room",
            (36, 54),
            above=0.0,
        ),
    ),
    {
        "duty": Step(
            (
                q.MOTOR_CURRENT,
                q.MOTOR_SPEED,
                q.PHASE_RESISTANCE,
                q.PHASE_INDUCTANCE,
                q.TORQUE_CONSTANT,
                q.POLE_PAIRS,
            ),
            _weakened,
        )
    },
)
