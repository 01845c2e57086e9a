"""How long a charge lasts: currents over a stride at some states of charge, and time from them."""

from typing import Final, NamedTuple

import numpy as np

from tradeopt.arrays import Array, as_array
from tradeopt.physics.battery.cell import current_at_power

_GAUSS_POINTS, _GAUSS_WEIGHTS = np.polynomial.legendre.leggauss(8)
CHARGE_POINTS: Final[Array] = (1.0 + _GAUSS_POINTS) / 2.0
"""Places between the end of the charge (0) and its start (1) where currents are computed [1]."""
CHARGE_WEIGHTS: Final[Array] = _GAUSS_WEIGHTS / 2.0
"""Their weights, adding up to 1 [1]."""


class StrideCurrents(NamedTuple):
    """What a load that repeats every stride draws of a cell, at some states of charge.

    Attributes
    ----------
    mean : Array, shape (..., gait, point)
        Mean current; it empties the cell [A].
    mean_square : Array, shape (..., gait, point)
        Mean square current; it heats the cell [A^2].
    """

    mean: Array
    mean_square: Array


def charge_points(lowest: Array, highest: Array) -> Array:
    """States of charge at which currents are computed.

    Parameters
    ----------
    lowest : Array, shape (...)
        State of charge at the end [1].
    highest : Array, shape (...)
        State of charge at the start [1].

    Returns
    -------
    Array, shape (..., point)
        States of charge, rising [1]; all at the lowest where that lies above the highest.

    Notes
    -----
    Points of the Gauss-Legendre rule, so that `CHARGE_WEIGHTS` integrate over them.

    Examples
    --------
    >>> charge_points(np.array(0.1), np.array(1.0))[[0, -1]].round(4)
    array([0.1179, 0.9821])
    """
    usable = np.maximum(as_array(highest) - lowest, 0.0)
    points: Array = as_array(lowest)[..., np.newaxis] + usable[..., np.newaxis] * CHARGE_POINTS
    return points


def stride_currents(
    power: Array, *, open_circuit_voltage: Array, resistance: Array
) -> StrideCurrents:
    """Currents of loads that repeat every stride, at some states of charge.

    Parameters
    ----------
    power : Array, shape (..., gait, phase)
        Power drawn over a stride of each gait [W].
    open_circuit_voltage : Array, shape (..., point)
        Voltage without load at those states of charge [V].
    resistance : Array, shape (..., point)
        Internal resistance there [ohm].

    Returns
    -------
    StrideCurrents
        Mean [A] and mean square [A^2] of each gait at each point.

    Notes
    -----
    The mean of the current, not the current of the mean power: pulses draw more charge for the
    same energy.

    Examples
    --------
    >>> stride_currents(
    ...     np.array([[0.0, 40.0]]),
    ...     open_circuit_voltage=np.array([3.6]),
    ...     resistance=np.array([0.05]),
    ... ).mean.round(4)
    array([[6.8645]])
    """
    per_phase = current_at_power(
        as_array(open_circuit_voltage)[..., np.newaxis, :, np.newaxis],
        as_array(resistance)[..., np.newaxis, :, np.newaxis],
        as_array(power)[..., :, np.newaxis, :],
    )
    square: Array = np.einsum("...p,...p->...", per_phase, per_phase) / per_phase.shape[-1]
    return StrideCurrents(per_phase.mean(axis=-1), square)


def slowness(current: Array) -> Array:
    """Time each unit of charge lasts.

    Parameters
    ----------
    current : Array, shape (...)
        Current [A].

    Returns
    -------
    Array, shape (...)
        Seconds per ampere-second [1/A]; infinite where nothing is drawn, NaN where the current is.

    Notes
    -----
    1/I, and infinite where the current charges.

    Examples
    --------
    >>> slowness(np.array([2.0, 0.0, -1.0]))
    array([0.5, inf, inf])
    """
    idle = as_array(current) <= 0.0
    per_charge: Array = np.where(idle, np.inf, 1.0) / np.where(idle, 1.0, current)
    return per_charge


def drain_time(current: Array, charge: Array) -> Array:
    """Time until a charge is drawn by a current that changes with the state of charge.

    Parameters
    ----------
    current : Array, shape (..., point)
        Mean current at the states of charge of `charge_points` [A].
    charge : Array, shape (...)
        Charge between start and end [A*s].

    Returns
    -------
    Array, shape (...)
        Time [s]; 0 where there is no charge, infinite where none is drawn.

    Notes
    -----
    t = Q times the integral of ds/I(s), by Gauss-Legendre quadrature with 8 points.

    References
    ----------
    Derived from dQ/dt = -I; Gauss-Legendre rule from numpy.

    Examples
    --------
    >>> drain_time(np.full(8, 5.0), np.array(18000.0)).round(6)
    np.float64(3600.0)
    """
    per_charge = slowness(current)
    none = (as_array(charge) <= 0.0)[..., np.newaxis] & np.isinf(per_charge)
    time: Array = charge * (np.where(none, 0.0, per_charge) @ CHARGE_WEIGHTS)
    return time
