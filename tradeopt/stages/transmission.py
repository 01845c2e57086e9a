"""Transmissions: from the torque a joint needs to the torque and speed of its motor."""

import numpy as np

from tradeopt import quantities as q
from tradeopt.chain.kind import Kind, Number, Step
from tradeopt.chain.stage import Values
from tradeopt.physics import transmission
from tradeopt.stages import slots
from tradeopt.stages.maturity import MATURITY


def _mass(values: Values) -> Values:
    return {
        q.TRANSMISSION_MASS.name: values["base_mass"]
        + values["rated_torque"] * values["mass_per_torque"],
        q.TRANSMISSION_MATURITY.name: values[MATURITY.name],
        q.TRANSMISSION_LENGTH.name: values["length"],
    }


def _constant(values: Values) -> Values:
    torque = values[q.DRIVE_TORQUE.name]
    speed = values[q.JOINT_SPEED.name]
    ratio, efficiency, drag = (
        values[name][:, None, None] for name in ("ratio", "efficiency", "drag")
    )
    rotor = (values[q.ROTOR_INERTIA.name] + values["shaft_inertia"])[:, None, None]
    lost = transmission.loss(torque, speed, ratio=ratio, efficiency=efficiency, drag_torque=drag)
    peak = np.abs(torque).max(axis=(1, 2))
    return {
        q.MOTOR_TORQUE.name: transmission.motor_torque(
            torque,
            speed,
            values[q.JOINT_ACCELERATION.name],
            ratio=ratio,
            ratio_slope=np.zeros_like(ratio),
            efficiency=efficiency,
            motor_inertia=rotor,
            drag_torque=drag,
        ),
        q.MOTOR_SPEED.name: transmission.motor_speed(speed, ratio),
        q.TRANSMISSION_LOSS.name: lost.mean(axis=-1),
        q.TRANSMISSION_TORQUE_MARGIN.name: 1.0 - peak / values["rated_torque"],
    }


CONSTANT = Kind(
    "constant",
    slots.TRANSMISSION,
    "one ratio at every angle",
    (
        Number("ratio", "1", "motor turns per joint turn", (5, 50), above=0.0),
        Number("efficiency", "1", "when the motor drives", (0.7, 0.98), above=0.0, at_most=1.0),
        Number("drag", "N*m", "load-free drag at the motor shaft", (0.0, 0.1), at_least=0.0),
        Number("shaft_inertia", "kg*m^2", "at the motor shaft", (0.0, 1e-4), at_least=0.0),
        Number("rated_torque", "N*m", "largest torque at the joint", (40, 250), above=0.0),
        Number("base_mass", "kg", "mass of the smallest one", (0.1, 0.5), at_least=0.0),
        Number(
            "mass_per_torque", "kg/(N*m)", "mass per rated torque", (0.004, 0.02), at_least=0.0
        ),
        Number("length", "m", "what it adds along the motor's shaft", (0.0, 0.06), at_least=0.0),
        MATURITY,
    ),
    {
        "size": Step((), _mass),
        "duty": Step(
            (q.DRIVE_TORQUE, q.JOINT_SPEED, q.JOINT_ACCELERATION, q.ROTOR_INERTIA), _constant
        ),
    },
)
