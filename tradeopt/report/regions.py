"""What a motor can do at a speed: for a moment, and for ever."""

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.physics import bus, field, heat, motor
from tradeopt.report.amount import Cell, amount
from tradeopt.report.section import Section
from tradeopt.report.view import View


def peak_torque_at(view: View, place: int, speed: Array, resistance: Array) -> Array:
    """
    Return the largest torque of a motor.

    Parameters
    ----------
    view : View
        The design.
    place : int
        Which joint.
    speed : Array
        Shape (speed,): of the motor along its torque; negative where it brakes [rad/s].
    resistance : Array
        Of one phase, as warm as the winding is taken to be [ohm].

    Returns
    -------
    Array
        Shape (speed,): by the motor's peak torque, the inverter's current and the voltage of the
        sagging pack, with the field as the study has it [N*m].
    """
    amplitude = view.of(q.DRIVE_CURRENT_LIMIT)
    current = _within_voltage(view, place, speed, resistance, amplitude)
    peak: float = view.of(q.PEAK_MOTOR_TORQUE)[place]
    return np.minimum(_at_shaft(view, place, speed, current), peak)


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
        Shape (speed,): of the motor along its torque; negative where it brakes [rad/s].
    temperature : float
        Of the winding [K].

    Returns
    -------
    Array
        Shape (speed,): constant torque at the shaft; 0 where iron and bearings alone are too warm
        [N*m].

    Notes
    -----
    By heat alone, whatever the voltage, unless the field is weakened: then some of the current
    makes no torque, and how much is a matter of the voltage.
    """
    drag = view.of(q.HYSTERESIS_TORQUE)[place] + view.of(q.MOTOR_FRICTION)[place]
    loss = heat.lasting_copper_loss(
        np.array(temperature - view.of(q.AMBIENT_TEMPERATURE)),
        motor.iron_loss(speed, drag, view.of(q.EDDY_COEFFICIENT)[place]),
        winding_to_housing=view.of(q.WINDING_TO_HOUSING)[place],
        housing_to_ambient=view.of(q.HOUSING_TO_AIR)[place],
    )
    hot = resistance_at(view, place, temperature)
    amplitude = np.sqrt(loss / motor.copper_loss(np.array(1.0), hot))
    weakened = view.of(q.WEAKENING_VOLTAGE) > 0.0
    current = _within_voltage(view, place, speed, hot, amplitude) if weakened else amplitude
    return _at_shaft(view, place, speed, current)


def resistance_at(view: View, place: int, temperature: float) -> Array:
    """Return the resistance of one phase of a joint's motor, its winding at a temperature [K]."""
    return motor.resistance_at(
        view.of(q.PHASE_RESISTANCE)[place],
        np.array(temperature),
        reference_temperature=np.array(motor.COPPER_REFERENCE_TEMPERATURE),
        coefficient=np.array(motor.COPPER_COEFFICIENT),
    )


def field_words(view: View) -> str:
    """Say whether the study weakens the field of its motors."""
    kept = float(view.of(q.WEAKENING_VOLTAGE))
    return f"field weakened to keep to {amount(kept, 'V')}" if kept > 0.0 else "field not weakened"


def _within_voltage(
    view: View, place: int, speed: Array, resistance: Array, amplitude: Array
) -> Array:
    """Return the largest current that makes torque, within one of both axes and the voltage."""
    pairs = view.of(q.POLE_PAIRS)[place]
    linkage = motor.flux_linkage(view.of(q.TORQUE_CONSTANT)[place], pairs)
    phase = field.Phase(resistance, view.of(q.PHASE_INDUCTANCE)[place], linkage, pairs)
    low, kept = view.of(q.LOW_BUS_VOLTAGE), view.of(q.WEAKENING_VOLTAGE)
    if kept > 0.0:
        there = bus.available_voltage(np.minimum(low, kept))
        return field.largest_weakened_current(speed, phase, voltage=there, amplitude=amplitude)
    largest = field.largest_current(speed, phase, voltage=bus.available_voltage(low))
    within: Array = np.minimum(largest, amplitude)
    return within


def _at_shaft(view: View, place: int, speed: Array, current: Array) -> Array:
    """Return the torque of a current, less the friction of the bearings."""
    constant, saturation = view.of(q.TORQUE_CONSTANT)[place], view.of(q.SATURATION_CURRENT)[place]
    pulled = motor.torque(current, constant, saturation)
    left: Array = np.maximum(pulled - view.of(q.MOTOR_FRICTION)[place] * np.sign(speed), 0.0)
    return left


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
        moment = peak_torque_at(view, place, speeds, resistance_at(view, place, hottest))
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
        f"at the motor shaft, {field_words(view)}; peak: by motor, inverter and sagging pack; "
        "lasting: a constant torque within it that holds the winding at its limit; asked: the "
        "largest of any gait, at whatever speed"
    )
    return Section("motor_regions", "Motor regions", heads, tuple(rows), remark)
