"""A battery cell behind its resistance: current, sag and cut-off.

Pack and cell obey the same law: give every function the values of one of them throughout.
"""

import numpy as np

from tradeopt.arrays import Array, as_array


def greatest_power(open_circuit_voltage: Array, resistance: Array) -> Array:
    """Most power a cell can give at all.

    Parameters
    ----------
    open_circuit_voltage : Array, shape (...)
        Voltage without load [V].
    resistance : Array, shape (...)
        Internal resistance [ohm].

    Returns
    -------
    Array, shape (...)
        Greatest power [W]; infinite where the resistance is zero or next to it.

    Notes
    -----
    V^2/(4 R), with half of the voltage lost inside.

    Examples
    --------
    >>> greatest_power(np.array(3.6), np.array(0.05)).round(4)
    np.float64(64.8)
    """
    square = np.square(open_circuit_voltage)
    square, four_fold = np.broadcast_arrays(square, 4.0 * as_array(resistance))
    unlimited = np.full(square.shape, np.inf)
    with np.errstate(over="ignore"):  # infinite is the answer for next to no resistance
        power: Array = np.divide(square, four_fold, out=unlimited, where=four_fold > 0.0)
    return power[()]


def power_margin(open_circuit_voltage: Array, resistance: Array, power: Array) -> Array:
    """Share of the greatest power that is not used.

    Parameters
    ----------
    open_circuit_voltage : Array, shape (...)
        Voltage without load [V].
    resistance : Array, shape (...)
        Internal resistance [ohm].
    power : Array, shape (...)
        Power asked for [W].

    Returns
    -------
    Array, shape (...)
        Margin; negative where the power cannot be given [1].

    Notes
    -----
    1 - 4 R P/V^2.

    Examples
    --------
    >>> power_margin(np.array(3.6), np.array(0.05), np.array([32.4, 129.6])).round(4)
    array([ 0.5, -1. ])
    """
    used: Array = 4.0 * resistance * power / np.square(open_circuit_voltage)
    return 1.0 - used


def current_at_power(open_circuit_voltage: Array, resistance: Array, power: Array) -> Array:
    """Find the current at which a cell gives a power.

    Parameters
    ----------
    open_circuit_voltage : Array, shape (...)
        Voltage without load, above zero [V].
    resistance : Array, shape (...)
        Internal resistance, zero or more [ohm].
    power : Array, shape (...)
        Power at the terminals; negative charges [W].

    Returns
    -------
    Array, shape (...)
        Current [A]. Where the power is more than the cell can give it is the current of the
        greatest power, V/(2 R); `power_margin` tells by how much.

    Notes
    -----
    I = (V - sqrt(V^2 - 4 R P))/(2 R), evaluated as 2 P/(V + sqrt(V^2 - 4 R P)), which holds down
    to R = 0.

    References
    ----------
    Derived: the smaller root of P = I (V - R I).

    Examples
    --------
    >>> current_at_power(np.array(3.6), np.array(0.05), np.array([20.0, 100.0])).round(4)
    array([ 6.0667, 36.    ])
    """
    given = np.minimum(power, greatest_power(open_circuit_voltage, resistance))
    under_root = np.square(open_circuit_voltage) - 4.0 * resistance * given
    current: Array = 2.0 * given / (open_circuit_voltage + np.sqrt(np.maximum(under_root, 0.0)))
    return current


def terminal_voltage(open_circuit_voltage: Array, resistance: Array, current: Array) -> Array:
    """Voltage of a cell under load.

    Parameters
    ----------
    open_circuit_voltage : Array, shape (...)
        Voltage without load [V].
    resistance : Array, shape (...)
        Internal resistance [ohm].
    current : Array, shape (...)
        Current; negative charges [A].

    Returns
    -------
    Array, shape (...)
        Voltage at the terminals [V].

    Notes
    -----
    V - R I. The slow part of the sag must be inside the resistance, as measured over seconds to
    minutes.

    Examples
    --------
    >>> terminal_voltage(np.array(3.6), np.array(0.05), np.array([6.0, -6.0]))
    array([3.3, 3.9])
    """
    return open_circuit_voltage - resistance * current


def interpolate(state_of_charge: Array, table: Array) -> Array:
    """Read tables over state of charge, each design its own.

    Parameters
    ----------
    state_of_charge : Array, shape (..., point)
        Where to read [1]; beyond 0 to 1 the end value is read.
    table : Array, shape (..., node)
        Values evenly spaced from empty to full, two or more, in any unit [unit of the result].

    Returns
    -------
    Array, shape (..., point)
        Values [unit of the table]; NaN where the state of charge is NaN.

    Notes
    -----
    Straight lines between the nodes; leading axes broadcast.

    Examples
    --------
    >>> interpolate(np.array([0.25, 0.5, 2.0]), np.array([[3.0, 3.5, 4.0], [2.0, 3.0, 4.0]]))
    array([[3.25, 3.5 , 4.  ],
           [2.5 , 3.  , 4.  ]])
    """
    intervals = table.shape[-1] - 1
    place = np.clip(state_of_charge, 0.0, 1.0) * intervals
    below = np.minimum(np.nan_to_num(place).astype(np.int64), intervals - 1)
    leading = np.broadcast_shapes(below.shape[:-1], table.shape[:-1])
    below = np.broadcast_to(below, (*leading, below.shape[-1]))
    table = np.broadcast_to(table, (*leading, table.shape[-1]))
    low = np.take_along_axis(table, below, axis=-1)
    high = np.take_along_axis(table, below + 1, axis=-1)
    value: Array = low + (place - below) * (high - low)
    return value


def stored_energy(capacity: Array, open_circuit_voltage: Array) -> Array:
    """Energy between full and empty if it could be drawn without loss.

    Parameters
    ----------
    capacity : Array, shape (...)
        Charge between full and empty [A*s].
    open_circuit_voltage : Array, shape (..., node)
        Table from empty to full [V].

    Returns
    -------
    Array, shape (...)
        Energy [J].

    Notes
    -----
    Charge times the mean voltage of the table's straight lines.

    Examples
    --------
    >>> stored_energy(np.array(18000.0), np.array([3.0, 3.6, 4.2]))
    np.float64(64800.0)
    """
    middles = (open_circuit_voltage[..., 1:] + open_circuit_voltage[..., :-1]) / 2.0
    energy: Array = capacity * middles.mean(axis=-1)
    return energy


def state_of_charge_at_cutoff(
    open_circuit_voltage: Array, resistance: Array, *, power: Array, cutoff_voltage: Array
) -> Array:
    """State of charge at which a load first pulls the voltage down to the cut-off.

    Parameters
    ----------
    open_circuit_voltage : Array, shape (..., node)
        Table from empty to full [V].
    resistance : Array, shape (..., node)
        Table from empty to full [ohm].
    power : Array, shape (...)
        Heaviest load [W]; charging counts as no load.
    cutoff_voltage : Array, shape (...)
        Least voltage at the terminals [V].

    Returns
    -------
    Array, shape (...)
        State of charge [1]: 0 if the load can be given until empty, 1 if not even when full; NaN
        where the load is NaN.

    Notes
    -----
    At the cut-off the current is P/V_c, so V(s) - R(s) P/V_c - V_c = 0; with tables of straight
    lines that is a straight line in each interval and is solved exactly, coming down from full.
    Where the cut-off is below half of the open-circuit voltage the answer is on the safe side.

    References
    ----------
    Derived from the cell behind a resistance.

    Examples
    --------
    >>> state_of_charge_at_cutoff(
    ...     np.array([3.0, 4.0]),
    ...     np.array([0.05, 0.05]),
    ...     power=np.array([0.0, 12.8, 80.0]),
    ...     cutoff_voltage=np.array(3.2),
    ... ).round(4)
    array([0.2, 0.4, 1. ])
    """
    heaviest = np.maximum(power, 0.0)
    sag = resistance * (heaviest / cutoff_voltage)[..., np.newaxis]
    spare: Array = open_circuit_voltage - sag - as_array(cutoff_voltage)[..., np.newaxis]
    intervals = spare.shape[-1] - 1
    short = spare < 0.0
    last_short = intervals - np.argmax(short[..., ::-1], axis=-1)
    below = np.minimum(last_short, intervals - 1)[..., np.newaxis]
    low = np.take_along_axis(spare, below, axis=-1)[..., 0]
    high = np.take_along_axis(spare, below + 1, axis=-1)[..., 0]
    crosses = (low < 0.0) & (high >= 0.0)
    crossing = (below[..., 0] - low / np.where(crosses, high - low, 1.0)) / intervals
    end = np.where(crosses, crossing, np.where(short[..., -1], 1.0, 0.0))
    return np.where(np.isnan(spare).any(axis=-1), np.nan, end)[()]
