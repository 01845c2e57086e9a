"""The electric bus between battery and motors: bridges, their losses, the sum of all loads."""

import numpy as np

from tradeopt.arrays import Array, as_array


def available_voltage(bus_voltage: Array) -> Array:
    """Largest phase voltage, amplitude, that a three-phase bridge makes of its bus.

    Parameters
    ----------
    bus_voltage : Array, shape (...)
        Voltage of the bus, sagged by its load [V].

    Returns
    -------
    Array, shape (...)
        Phase-to-star voltage, amplitude [V].

    Notes
    -----
    V/sqrt(3): the largest circle inside the hexagon of the bridge's states. Dead time takes a few
    per cent more.

    References
    ----------
    Mohan, Undeland, Robbins, "Power Electronics", chapter on inverters (from memory).

    Examples
    --------
    >>> available_voltage(np.array(48.0)).round(4)
    np.float64(27.7128)
    """
    voltage: Array = bus_voltage / np.sqrt(3.0)
    return voltage


def drive_loss(current: Array, *, fixed: Array, linear: Array, quadratic: Array) -> Array:
    """Heat of the drive's electronics.

    Parameters
    ----------
    current : Array, shape (..., phase)
        q-axis current, amplitude [A].
    fixed : Array, shape (..., phase)
        Loss without current: gate drive, logic, sensors [W].
    linear : Array, shape (..., phase)
        Loss per current: switching [W/A].
    quadratic : Array, shape (..., phase)
        Loss per squared current: conduction [W/A^2].

    Returns
    -------
    Array, shape (..., phase)
        Loss [W].

    Notes
    -----
    d0 + d1 |i| + d2 i^2. For a bridge of transistors each phase current is always in one of them,
    so d2 = 1.5 times their resistance.

    References
    ----------
    Mohan, Undeland, Robbins, "Power Electronics", chapter on losses (from memory).

    Examples
    --------
    >>> drive_loss(np.array([0.0, -10.0]), fixed=2.0, linear=0.25, quadratic=0.005)
    array([2., 5.])
    """
    return fixed + linear * np.abs(current) + quadratic * np.square(current)


def conduction_resistance(transistor: Array) -> Array:
    """Quadratic loss of a bridge of transistors.

    Parameters
    ----------
    transistor : Array, shape (...)
        Resistance of one transistor that is on, hot [ohm].

    Returns
    -------
    Array, shape (...)
        Loss per squared current amplitude [W/A^2].

    Notes
    -----
    1.5 R: each phase current is always in one transistor, and three sinusoids of amplitude i have
    1.5 i^2 of squares together. Dead time, in which the diodes carry it, is left out.

    References
    ----------
    Mohan, Undeland, Robbins, "Power Electronics", chapter on losses (from memory).

    Examples
    --------
    >>> conduction_resistance(np.array(0.002)).round(4)
    np.float64(0.003)
    """
    return 1.5 * transistor


def switching_voltage(voltage: Array, switching_time: Array, frequency: Array) -> Array:
    """Linear loss of a bridge of transistors.

    Parameters
    ----------
    voltage : Array, shape (...)
        Of the bus [V].
    switching_time : Array, shape (...)
        Of turning on and turning off together [s].
    frequency : Array, shape (...)
        Turns on a second [1/s].

    Returns
    -------
    Array, shape (...)
        Loss per current amplitude [W/A].

    Notes
    -----
    (3/pi) V t f: half of V i t f in each of three legs, whose currents have 2/pi of the amplitude
    in the mean. Charge of output and diodes is left out.

    References
    ----------
    Mohan, Undeland, Robbins, "Power Electronics", chapter on losses (from memory).

    Examples
    --------
    >>> switching_voltage(np.array(48.0), np.array(60e-9), np.array(40e3)).round(4)
    np.float64(0.11)
    """
    loss: Array = 3.0 / np.pi * voltage * switching_time * frequency
    return loss


def bus_power(leg_power: Array, standby_power: Array, *, regeneration_efficiency: Array) -> Array:
    """Power drawn from the battery by both legs and everything that is always on.

    Parameters
    ----------
    leg_power : Array, shape (..., phase)
        Electric power of one leg, an even number of phases [W].
    standby_power : Array, shape (...)
        Computing, sensing and joints that hold still [W].
    regeneration_efficiency : Array, shape (...)
        Share of returned power that the bus takes back into the battery [1].

    Returns
    -------
    Array, shape (..., phase)
        Power drawn; negative while charging [W].

    Notes
    -----
    P(t) = P_leg(t) + P_leg(t + T/2) + standby: one leg's braking feeds the other leg before it
    charges the battery, and only what is left passes through the regeneration efficiency.

    Examples
    --------
    >>> leg = np.array([90.0, -80.0, -20.0, 30.0])
    >>> bus_power(leg, np.array(10.0), regeneration_efficiency=0.5)
    array([ 80., -20.,  80., -20.])
    """
    drawn = _drawn(leg_power, standby_power)
    kept = as_array(regeneration_efficiency)[..., np.newaxis]
    return np.where(drawn >= 0.0, drawn, kept * drawn)


def regeneration_loss(
    leg_power: Array, standby_power: Array, *, regeneration_efficiency: Array
) -> Array:
    """Power that is returned and does not reach the battery.

    Parameters
    ----------
    leg_power : Array, shape (..., phase)
        Electric power of one leg, an even number of phases [W].
    standby_power : Array, shape (...)
        Computing, sensing and joints that hold still [W].
    regeneration_efficiency : Array, shape (...)
        Share of returned power that the bus takes back into the battery [1].

    Returns
    -------
    Array, shape (..., phase)
        Loss, never negative [W].

    Notes
    -----
    (1 - eta) max(-P, 0), with P the power of both legs and everything that is always on.

    Examples
    --------
    >>> leg = np.array([90.0, -80.0, -20.0, 30.0])
    >>> regeneration_loss(leg, np.array(10.0), regeneration_efficiency=0.5)
    array([ 0., 20.,  0., 20.])
    """
    lost = 1.0 - as_array(regeneration_efficiency)[..., np.newaxis]
    loss: Array = lost * np.maximum(-_drawn(leg_power, standby_power), 0.0)
    return loss


def _drawn(leg_power: Array, standby_power: Array) -> Array:
    """Power of both legs, half a stride apart, and everything that is always on."""
    half_stride = leg_power.shape[-1] // 2
    standby = as_array(standby_power)[..., np.newaxis]
    drawn: Array = leg_power + np.roll(leg_power, half_stride, axis=-1) + standby
    return drawn


def cell_power(power: Array, *, series: Array, parallel: Array) -> Array:
    """Power one cell gives when all share the load alike.

    Parameters
    ----------
    power : Array, shape (...)
        Power drawn from the pack [W].
    series : Array, shape (...)
        Cells in series [1].
    parallel : Array, shape (...)
        Strings in parallel [1].

    Returns
    -------
    Array, shape (...)
        Power of one cell [W].

    Notes
    -----
    P/(n_s n_p). Spread between cells is left out; the pack ends with its weakest cell.

    Examples
    --------
    >>> cell_power(np.array(312.0), series=np.array(13), parallel=np.array(12))
    np.float64(2.0)
    """
    return power / (series * parallel)
