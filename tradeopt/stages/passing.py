"""What all transmissions have in common: how torque, speed and power pass, and what is asked."""

from collections.abc import Callable
from typing import Final, NamedTuple

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.chain.kind import Number, Step
from tradeopt.chain.stage import Values
from tradeopt.physics import compliance, ratio, transmission
from tradeopt.physics.walking.periodic import derivatives
from tradeopt.quantities import Quantity
from tradeopt.stages.maturity import MATURITY

_NEEDS: Final = (
    q.DRIVE_TORQUE,
    q.JOINT_SPEED,
    q.JOINT_ACCELERATION,
    q.STRIDE_TIME,
    q.SERIES_COMPLIANCE,
    q.ROTOR_INERTIA,
    q.TRANSMISSION_STIFFNESS,
)

SHAFT: Final = (
    Number("drag", "N*m", "load-free drag at the motor shaft", (0.0, 0.1), at_least=0.0),
    Number("shaft_inertia", "kg*m^2", "at the motor shaft", (0.0, 1e-4), at_least=0.0),
)
MASS_PER_TORQUE: Final = Number(
    "mass_per_torque", "kg/(N*m)", "mass per rated torque", (0.004, 0.02), at_least=0.0
)
LENGTH: Final = Number(
    "length", "m", "what it adds along the motor's shaft", (0.0, 0.06), at_least=0.0
)
RATED_TORQUE: Final = Number(
    "rated_torque", "N*m", "largest torque at the joint", (40, 250), above=0.0
)
STIFFNESS: Final = Number(
    "stiffness", "N*m/rad", "at the joint, motor held", (5e3, 3e4), above=0.0
)
EFFICIENCY: Final = Number(
    "efficiency", "1", "when the motor drives", (0.7, 0.98), above=0.0, at_most=1.0
)
BASE_MASS: Final = Number("base_mass", "kg", "mass of the smallest one", (0.1, 0.5), at_least=0.0)
RATIO: Final = Number("ratio", "1", "motor turns per joint turn", (5, 40), above=0.0)

_SIZE_MARGINS: Final = (
    q.TRANSMISSION_REACH_MARGIN,
    q.TRANSMISSION_ANGLE_MARGIN,
    q.TRANSMISSION_ROOM_MARGIN,
    q.ROPE_BENDING_MARGIN,
)
_DUTY_MARGINS: Final = (
    q.TRANSMISSION_RATIO_MARGIN,
    q.TRANSMISSION_RANGE_MARGIN,
    q.PRETENSION_MARGIN,
)


def duty(compute: Callable[[Values], Values], *more: Quantity) -> Step:
    """Return the step of a transmission that also needs these, behind a series spring if any."""
    return Step((*_NEEDS, *more), lambda values: compute(_behind_spring(values)))


def angle_duty(compute: Callable[[Values], Values]) -> Step:
    """Return the step of a transmission whose ratio changes with the angle."""
    return duty(compute, q.JOINT_ANGLE, q.FOOT_LOAD)


def _behind_spring(values: Values) -> Values:
    """Show a transmission its own output: the joint's motion and the wind of a series spring."""
    softness = values[q.SERIES_COMPLIANCE.name]
    rows = np.flatnonzero(softness)
    if not rows.size:
        return values
    wind = values[q.DRIVE_TORQUE.name][rows] * softness[rows, None, None]
    stride = values[q.STRIDE_TIME.name][rows][..., None]
    rate, acceleration = derivatives(wind, 1.0)
    moved = {
        q.JOINT_ANGLE.name: wind,
        q.JOINT_SPEED.name: rate / stride,
        q.JOINT_ACCELERATION.name: acceleration / np.square(stride),
    }
    seen = dict(values)
    for name in moved.keys() & seen.keys():
        seen[name] = seen[name].copy()
        seen[name][rows] += moved[name]
    return seen


class Passage(NamedTuple):
    """Ratio, its slope [1/rad] and efficiency, each to broadcast over (row, gait, phase)."""

    ratio: Array
    slope: Array
    efficiency: Array


def sized(values: Values, mass: Array, length: Array, stiffness: Array) -> dict[str, Array]:
    """Return what a transmission is, as wide as its motor; limits it does not have are far."""
    return {
        q.TRANSMISSION_MASS.name: mass,
        q.TRANSMISSION_LENGTH.name: length,
        q.TRANSMISSION_MATURITY.name: values[MATURITY.name],
        q.TRANSMISSION_DIAMETER.name: np.zeros_like(mass),
        q.TRANSMISSION_STIFFNESS.name: stiffness,
        **{one.name: np.ones_like(mass) for one in _SIZE_MARGINS},
    }


def passed(values: Values, passage: Passage, torque_margin: Array) -> dict[str, Array]:
    """Return what a transmission does under the loads; other limits of it are far away."""
    torque, speed = values[q.DRIVE_TORQUE.name], values[q.JOINT_SPEED.name]
    drag = values["drag"][:, None, None]
    rotor = (values[q.ROTOR_INERTIA.name] + values["shaft_inertia"])[:, None, None]
    load = {"ratio": passage.ratio, "efficiency": passage.efficiency, "drag_torque": drag}
    largest = np.abs(passage.ratio).max(axis=(1, 2))
    share = passage.efficiency[:, 0, 0]
    return {
        q.MOTOR_TORQUE.name: transmission.motor_torque(
            torque,
            speed,
            values[q.JOINT_ACCELERATION.name],
            ratio_slope=passage.slope,
            motor_inertia=rotor,
            **load,
        ),
        q.MOTOR_SPEED.name: transmission.motor_speed(speed, passage.ratio),
        q.TRANSMISSION_LOSS.name: transmission.loss(torque, speed, **load).mean(axis=-1),
        q.TRANSMISSION_EFFICIENCY.name: share,
        q.BACKDRIVING_EFFICIENCY.name: transmission.backdriving_efficiency(share),
        q.REFLECTED_INERTIA.name: transmission.reflected_inertia(largest, rotor[:, 0, 0]),
        q.BACKDRIVING_TORQUE.name: transmission.backdriving_torque(
            largest, efficiency=share, drag_torque=values["drag"]
        ),
        q.WIND_UP.name: compliance.wind_up(torque, values[q.TRANSMISSION_STIFFNESS.name]),
        **_by_stance(values, passage.ratio),
        q.TRANSMISSION_TORQUE_MARGIN.name: torque_margin,
        **{one.name: np.ones_like(largest) for one in _DUTY_MARGINS},
        **{one.name: np.zeros(torque.shape[:2]) for one in (q.STRIDE_BENDS, q.STRIDE_WEAR)},
    }


def _by_stance(values: Values, turned: Array) -> Values:
    """Return the ratio in stance and in swing; one ratio is the same in both."""
    if turned.shape[-1] == 1:
        gaits = values[q.DRIVE_TORQUE.name].shape[1]
        stance = swing = np.repeat(turned[..., 0], gaits, axis=1)
    else:
        stance, swing = ratio.stance_and_swing_ratio(turned, values[q.FOOT_LOAD.name])
    return {q.STANCE_RATIO.name: stance, q.SWING_RATIO.name: swing}


def constant(ratio_of_turns: Array, efficiency: Array) -> Passage:
    """Return the passage of a ratio that is the same at every angle."""
    turned = ratio_of_turns[:, None, None]
    return Passage(turned, np.zeros_like(turned), efficiency[:, None, None])


def rated_torque_margin(values: Values) -> Array:
    """Return what the peak leaves of the rated torque at the joint."""
    peak = np.abs(values[q.DRIVE_TORQUE.name]).max(axis=(1, 2))
    margin: Array = 1.0 - peak / values[RATED_TORQUE.name]
    return margin
