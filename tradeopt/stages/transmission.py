"""Transmissions: from the torque a joint needs to the torque and speed of its motor."""

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.chain.kind import Kind, Number, Step
from tradeopt.chain.stage import Values
from tradeopt.physics import transmission
from tradeopt.stages import slots
from tradeopt.stages.maturity import MATURITY


def _through(values: Values, efficiency: Array, room: Array) -> Values:
    """Return what a transmission of one ratio gives under the loads."""
    torque = values[q.DRIVE_TORQUE.name]
    speed = values[q.JOINT_SPEED.name]
    ratio, drag = (values[name][:, None, None] for name in ("ratio", "drag"))
    share = efficiency[:, None, None]
    rotor = (values[q.ROTOR_INERTIA.name] + values["shaft_inertia"])[:, None, None]
    lost = transmission.loss(torque, speed, ratio=ratio, efficiency=share, drag_torque=drag)
    peak = np.abs(torque).max(axis=(1, 2))
    return {
        q.MOTOR_TORQUE.name: transmission.motor_torque(
            torque,
            speed,
            values[q.JOINT_ACCELERATION.name],
            ratio=ratio,
            ratio_slope=np.zeros_like(ratio),
            efficiency=share,
            motor_inertia=rotor,
            drag_torque=drag,
        ),
        q.MOTOR_SPEED.name: transmission.motor_speed(speed, ratio),
        q.TRANSMISSION_LOSS.name: lost.mean(axis=-1),
        q.TRANSMISSION_TORQUE_MARGIN.name: 1.0 - peak / values["rated_torque"],
        q.TRANSMISSION_RATIO_MARGIN.name: room,
    }


_NEEDS = (q.DRIVE_TORQUE, q.JOINT_SPEED, q.JOINT_ACCELERATION, q.ROTOR_INERTIA)
_RATIO = Number("ratio", "1", "motor turns per joint turn", (5, 40), above=0.0)
_COMMON = (
    Number("drag", "N*m", "load-free drag at the motor shaft", (0.0, 0.1), at_least=0.0),
    Number("shaft_inertia", "kg*m^2", "at the motor shaft", (0.0, 1e-4), at_least=0.0),
    Number("rated_torque", "N*m", "largest torque at the joint", (40, 250), above=0.0),
    Number("mass_per_torque", "kg/(N*m)", "mass per rated torque", (0.004, 0.02), at_least=0.0),
    MATURITY,
)


def _constant_mass(values: Values) -> Values:
    by_torque = values["rated_torque"] * values["mass_per_torque"]
    return {
        q.TRANSMISSION_MASS.name: values["base_mass"] + by_torque,
        q.TRANSMISSION_LENGTH.name: values["length"],
        q.TRANSMISSION_MATURITY.name: values[MATURITY.name],
    }


def _constant(values: Values) -> Values:
    efficiency = values["efficiency"]
    return _through(values, efficiency, room=np.ones_like(efficiency))


CONSTANT = Kind(
    "constant",
    slots.TRANSMISSION,
    "one ratio at every angle, its efficiency given",
    (
        _RATIO,
        Number("efficiency", "1", "when the motor drives", (0.7, 0.98), above=0.0, at_most=1.0),
        *_COMMON,
        Number("base_mass", "kg", "mass of the smallest one", (0.1, 0.5), at_least=0.0),
        Number("length", "m", "what it adds along the motor's shaft", (0.0, 0.06), at_least=0.0),
    ),
    {"size": Step((), _constant_mass), "duty": Step(_NEEDS, _constant)},
)


def _geared_mass(values: Values) -> Values:
    by_torque = values["rated_torque"] * values["mass_per_torque"]
    return {
        q.TRANSMISSION_MASS.name: values["stages"] * values["stage_mass"] + by_torque,
        q.TRANSMISSION_LENGTH.name: values["stages"] * values["stage_length"],
        q.TRANSMISSION_MATURITY.name: values[MATURITY.name],
    }


def _geared(values: Values) -> Values:
    stages = values["stages"]
    largest = values["largest_stage_ratio"]
    return _through(
        values,
        efficiency=transmission.staged_efficiency(values["stage_efficiency"], stages),
        room=1.0 - transmission.stage_ratio(values["ratio"], stages) / largest,
    )


GEARED = Kind(
    "geared",
    slots.TRANSMISSION,
    "equal gear stages in a row: each costs mass and efficiency, and has a largest ratio",
    (
        _RATIO,
        Number("stages", "1", "gear stages", (1, 3), at_least=1.0, at_most=4.0, whole=True),
        Number("stage_efficiency", "1", "of one stage", (0.93, 0.98), above=0.0, at_most=1.0),
        Number("largest_stage_ratio", "1", "that one stage can have", (6, 10), above=1.0),
        *_COMMON,
        Number(
            "stage_mass",
            "kg",
            "mass of one stage beside its share by torque",
            (0.1, 0.5),
            at_least=0.0,
        ),
        Number(
            "stage_length",
            "m",
            "what one adds along the motor's shaft",
            (0.01, 0.03),
            at_least=0.0,
        ),
    ),
    {"size": Step((), _geared_mass), "duty": Step(_NEEDS, _geared)},
)
