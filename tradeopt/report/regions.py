"""What a motor can do at a speed: for a moment, and for ever."""

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.physics import bus, field, heat, motor
from tradeopt.report.amount import Cell, amount
from tradeopt.report.section import Section
from tradeopt.report.view import View


def peak_torque_at(view: View, place: int, speed: Array) -> Array:
    """
    Return the largest driving torque of a motor.

    Parameters
    ----------
    view : View
        The design.
    place : int
        Which joint.
    speed : Array
        Shape (speed,): of the motor, 0 or more [rad/s].

    Returns
    -------
    Array
        Shape (speed,): by the motor's peak torque, the inverter's current and the voltage of the
        sagging pack, the winding at its limit and the field not weakened [N*m].
    """
    hot = _resistance(view, place, view.of(q.WINDING_LIMIT)[place])
    constant, pairs = view.of(q.TORQUE_CONSTANT)[place], view.of(q.POLE_PAIRS)[place]
    linkage = motor.flux_linkage(constant, pairs)
    by_voltage = field.largest_current(
        speed,
        field.Phase(hot, view.of(q.PHASE_INDUCTANCE)[place], linkage, pairs),
        voltage=bus.available_voltage(view.of(q.LOW_BUS_VOLTAGE)),
    )
    current = np.minimum(by_voltage, view.of(q.DRIVE_CURRENT_LIMIT))
    pulled = motor.torque(current, constant, view.of(q.SATURATION_CURRENT)[place])
    at_shaft = pulled - view.of(q.MOTOR_FRICTION)[place]
    largest: Array = np.clip(at_shaft, 0.0, view.of(q.PEAK_MOTOR_TORQUE)[place])
    return largest


def lasting_torque_at(view: View, place: int, speed: Array, temperature: float) -> Array:
    """
    Return the torque that holds a winding at a temperature if it lasts for ever.

    Parameters
    ----------
    view : View
        The design.
    place : int
        Which joint.
    speed : Array
        Shape (speed,): of the motor [rad/s].
    temperature : float
        Of the winding [K].

    Returns
    -------
    Array
        Shape (speed,): constant torque at the shaft; 0 where iron and bearings alone are too warm
        [N*m].
    """
    friction = view.of(q.MOTOR_FRICTION)[place]
    iron = motor.iron_loss(
        speed, view.of(q.HYSTERESIS_TORQUE)[place] + friction, view.of(q.EDDY_COEFFICIENT)[place]
    )
    loss = heat.lasting_copper_loss(
        np.array(temperature - view.of(q.AMBIENT_TEMPERATURE)),
        iron,
        winding_to_housing=view.of(q.WINDING_TO_HOUSING)[place],
        housing_to_ambient=view.of(q.HOUSING_TO_AIR)[place],
    )
    hot = _resistance(view, place, np.array(temperature))
    current = np.sqrt(loss / motor.copper_loss(np.array(1.0), hot))
    pulled = motor.torque(
        current, view.of(q.TORQUE_CONSTANT)[place], view.of(q.SATURATION_CURRENT)[place]
    )
    return np.maximum(pulled - np.where(speed > 0.0, friction, 0.0), 0.0)


def region_section(view: View) -> Section:
    """
    Put what each motor can do beside the fastest that the gaits ask of it.

    Parameters
    ----------
    view : View
        The design.

    Returns
    -------
    Section
        Torque for a moment and for ever, standing and at the fastest speed, and what is asked.
    """
    rows: list[tuple[Cell, ...]] = []
    for place, joint in enumerate(q.JOINTS):
        fastest = float(np.abs(view.of(q.MOTOR_SPEED)[place]).max())
        speeds = np.array([0.0, fastest])
        hottest = float(view.of(q.WINDING_LIMIT)[place])
        moment = peak_torque_at(view, place, speeds)
        lasting = np.minimum(lasting_torque_at(view, place, speeds, hottest), moment)
        asked = np.abs(view.of(q.MOTOR_TORQUE)[place]).max()
        cells = [amount(float(one), "N*m") for one in (moment[0], lasting[0])]
        there = [amount(float(one), "N*m") for one in (moment[1], lasting[1], asked)]
        rows.append((joint, *cells, amount(fastest, "rad/s"), *there))
    heads = (
        "joint",
        "peak_standing",
        "lasting_standing",
        "fastest",
        "peak_at_fastest",
        "lasting_at_fastest",
        "asked_peak",
    )
    remark = (
        "at the motor shaft; peak: by motor, inverter and sagging pack; lasting: a constant "
        "torque within it that holds the winding at its limit; asked: the largest of any gait, at "
        "whatever speed"
    )
    return Section("motor_regions", "Motor regions", heads, tuple(rows), remark)


def _resistance(view: View, place: int, temperature: Array) -> Array:
    return motor.resistance_at(
        view.of(q.PHASE_RESISTANCE)[place],
        temperature,
        reference_temperature=np.array(motor.COPPER_REFERENCE_TEMPERATURE),
        coefficient=np.array(motor.COPPER_COEFFICIENT),
    )
