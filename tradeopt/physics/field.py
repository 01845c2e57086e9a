"""Voltage of a turning motor in its two axes, and the current that weakens its field.

Convention: currents, voltages and flux linkage are amplitudes of one phase; the q axis makes
torque and the d axis lies along the magnets' field, so that a negative current on it weakens it.
"""

from typing import NamedTuple

import numpy as np

from tradeopt.arrays import Array


class Phase(NamedTuple):
    """One phase of a motor.

    Attributes
    ----------
    resistance : Array, shape (..., phase)
        At the temperature of the winding [ohm].
    inductance : Array, shape (..., phase)
        The same on both axes [H].
    flux_linkage : Array, shape (..., phase)
        Of the magnets, amplitude [Wb].
    pole_pairs : Array, shape (..., phase)
        Pole pairs [1].
    """

    resistance: Array
    inductance: Array
    flux_linkage: Array
    pole_pairs: Array


def terminal_voltage(current: Array, field_current: Array, speed: Array, phase: Phase) -> Array:
    """Phase voltage the motor needs, amplitude.

    Parameters
    ----------
    current : Array, shape (..., phase)
        q-axis current, amplitude with sign [A].
    field_current : Array, shape (..., phase)
        d-axis current, amplitude; negative weakens the field [A].
    speed : Array, shape (..., phase)
        Motor speed [rad/s].
    phase : Phase
        Resistance, inductance, flux linkage and pole pairs.

    Returns
    -------
    Array, shape (..., phase)
        Phase-to-star voltage, amplitude [V].

    Notes
    -----
    sqrt((R i_q + w (lambda + L i_d))^2 + (R i_d - w L i_q)^2) with w = p times the speed. The
    change of current within the stride is slow beside the electrical turning.

    References
    ----------
    Steady-state d-q equations of the synchronous machine.

    Examples
    --------
    >>> phase = Phase(np.array(0.1), np.array(1e-4), np.array(0.01), np.array(10.0))
    >>> terminal_voltage(
    ...     np.array([0.0, 20.0, 20.0]), np.array([0.0, 0.0, -10.0]), np.array(200.0), phase
    ... ).round(4)
    array([20.    , 22.3607, 20.6155])
    """
    electrical_speed = phase.pole_pairs * speed
    reactance = electrical_speed * phase.inductance
    along = phase.resistance * current + electrical_speed * phase.flux_linkage
    q_axis = along + reactance * field_current
    d_axis = phase.resistance * field_current - reactance * current
    voltage: Array = np.sqrt(np.square(q_axis) + np.square(d_axis))
    return voltage


def weakening_current(current: Array, speed: Array, phase: Phase, *, voltage: Array) -> Array:
    """Find the least d-axis current that brings a motor down to a voltage.

    Parameters
    ----------
    current : Array, shape (..., phase)
        q-axis current, amplitude with sign [A].
    speed : Array, shape (..., phase)
        Motor speed [rad/s].
    phase : Phase
        Resistance, inductance, flux linkage and pole pairs.
    voltage : Array, shape (..., phase)
        Phase-to-star voltage to keep to, amplitude [V].

    Returns
    -------
    Array, shape (..., phase)
        d-axis current, 0 or negative [A].

    Notes
    -----
    The squared voltage is A i_d^2 + 2 B i_d + C with A = R^2 + (w L)^2, B = w^2 L lambda and C its
    excess without i_d; the nearer root is -C/(B + sqrt(B^2 - A C)). Where no current is enough, it
    is the one of the least voltage, -B/A. Magnets that lose their strength for good under much
    weakening are left out: ask their maker.

    References
    ----------
    Steady-state d-q equations of the synchronous machine, solved for i_d.

    Examples
    --------
    >>> phase = Phase(np.array(0.1), np.array(1e-4), np.array(0.01), np.array(10.0))
    >>> found = weakening_current(
    ...     np.array(20.0), np.array([100.0, 200.0]), phase, voltage=np.array(21.0)
    ... )
    >>> found.round(4) + 0.0
    array([ 0.    , -7.7504])
    """
    nothing = np.zeros_like(current)
    excess = np.square(terminal_voltage(current, nothing, speed, phase)) - np.square(voltage)
    squared_speed = np.square(phase.pole_pairs * speed)
    square = np.square(phase.resistance) + squared_speed * np.square(phase.inductance)
    half = squared_speed * phase.inductance * phase.flux_linkage
    root = np.sqrt(np.maximum(np.square(half) - square * excess, 0.0))
    divisor = half + root
    nearer = excess / np.where(divisor > 0.0, divisor, 1.0)
    needed: Array = -np.clip(nearer, 0.0, half / square)
    return needed


def largest_current(speed: Array, phase: Phase, *, voltage: Array) -> Array:
    """Find the largest driving current that a voltage still pushes into a turning motor.

    Parameters
    ----------
    speed : Array, shape (..., phase)
        Motor speed; negative where the current brakes [rad/s].
    phase : Phase
        Resistance, inductance, flux linkage and pole pairs.
    voltage : Array, shape (..., phase)
        Phase-to-star voltage that there is, amplitude [V].

    Returns
    -------
    Array, shape (..., phase)
        q-axis current, amplitude; 0 where no driving current is possible [A].

    Notes
    -----
    The larger root of (R i + w lambda)^2 + (w L i)^2 = V^2, without field weakening. There is none
    where the voltage of the magnets is too large, nor a driving one where it is more than V.

    References
    ----------
    Steady-state d-q equations of the synchronous machine.

    Examples
    --------
    >>> phase = Phase(np.array(0.1), np.array(1e-4), np.array(0.01), np.array(10.0))
    >>> largest_current(np.array([0.0, 200.0]), phase, voltage=np.array(22.3607)).round(2)
    array([223.61,  20.  ])
    """
    electrical_speed = phase.pole_pairs * speed
    back = electrical_speed * phase.flux_linkage
    square = np.square(phase.resistance) + np.square(electrical_speed * phase.inductance)
    half = phase.resistance * back
    under_root = np.square(half) + square * (np.square(voltage) - np.square(back))
    root = np.sqrt(np.maximum(under_root, 0.0))
    return np.where(under_root >= 0.0, np.maximum((root - half) / square, 0.0), 0.0)


def largest_weakened_current(
    speed: Array, phase: Phase, *, voltage: Array, amplitude: Array
) -> Array:
    """Find the largest torque-making current of a motor whose field may be weakened.

    Parameters
    ----------
    speed : Array, shape (..., phase)
        Motor speed; negative where the current brakes [rad/s].
    phase : Phase
        Resistance, inductance, flux linkage and pole pairs.
    voltage : Array, shape (..., phase)
        Phase-to-star voltage to keep to, amplitude [V].
    amplitude : Array, shape (..., phase)
        Largest current of both axes together [A].

    Returns
    -------
    Array, shape (..., phase)
        q-axis current, amplitude; 0 where no driving current is possible [A].

    Notes
    -----
    Over i_d and i_q the voltage is a circle of radius V/Z about (-X E, -R E)/Z^2, with X = w L,
    E = w lambda, Z^2 = R^2 + X^2, and the amplitude one about the origin. The largest i_q of both
    is the top of either circle, if the other one holds it, or else where they cross: on the line
    R i_q + X i_d = (V^2 - E^2 - Z^2 I^2)/(2 E).

    References
    ----------
    Steady-state d-q equations of the synchronous machine; both circles derived from them.

    Examples
    --------
    >>> phase = Phase(np.array(0.1), np.array(1e-4), np.array(0.01), np.array(10.0))
    >>> found = largest_weakened_current(
    ...     np.array([100.0, 200.0]), phase, voltage=np.array(21.0), amplitude=np.array(40.0)
    ... )
    >>> found.round(4)
    array([40.    , 33.6139])
    """
    electrical_speed = phase.pole_pairs * speed
    reactance = electrical_speed * phase.inductance
    back = electrical_speed * phase.flux_linkage
    square = np.square(phase.resistance) + np.square(reactance)
    impedance = np.sqrt(square)
    by_voltage = voltage / impedance - phase.resistance * back / square
    is_within = np.hypot(by_voltage, reactance * back / square) <= amplitude
    excess = np.square(voltage) - np.square(back) - square * np.square(amplitude)
    along = excess / np.where(back == 0.0, 1.0, 2.0 * back * impedance)
    across = np.square(amplitude) - np.square(along)
    crossing = phase.resistance * along + np.abs(reactance) * np.sqrt(np.maximum(across, 0.0))
    crossed = np.where(across >= 0.0, crossing / impedance, 0.0)
    nothing = np.zeros_like(square)
    is_free = terminal_voltage(amplitude, nothing, speed, phase) <= voltage
    largest = np.where(is_free, amplitude, np.where(is_within, by_voltage, crossed))
    return np.maximum(largest, 0.0)
