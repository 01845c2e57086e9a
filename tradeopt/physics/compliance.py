"""How much a transmission gives under load: stiffness of parts in a row, and wind-up."""

import numpy as np

from tradeopt.arrays import Array


def stiffness_in_row(first: Array, second: Array) -> Array:
    """Stiffness of two elastic parts that carry the same load one after the other.

    Parameters
    ----------
    first, second : Array, shape (...)
        Stiffness of each, as the joint feels it [N*m/rad].

    Returns
    -------
    Array, shape (...)
        Of both [N*m/rad]; 0 where one has none.

    Notes
    -----
    1/k = 1/k1 + 1/k2. A part behind a ratio r feels r times as stiff squared.

    Examples
    --------
    >>> stiffness_in_row(np.array([2000.0, 0.0]), np.array([6000.0, 0.0]))
    array([1500.,    0.])
    """
    whole = first + second
    return first * second / np.where(whole > 0.0, whole, 1.0)


def wind_up(torque: Array, stiffness: Array) -> Array:
    """Largest turn of the joint against a held motor.

    Parameters
    ----------
    torque : Array, shape (..., gait, phase)
        Torque of the drive [N*m].
    stiffness : Array, shape (...)
        Stiffness at the joint [N*m/rad].

    Returns
    -------
    Array, shape (...)
        Angle [rad]; infinite where there is no stiffness.

    Notes
    -----
    max |tau|/k, slow load. It is said beside the result and does not change the motion.

    Examples
    --------
    >>> wind_up(np.array([[40.0, -80.0]]), np.array(16e3))
    np.float64(0.005)
    """
    peak = np.abs(torque).max(axis=(-2, -1))
    stiff = stiffness > 0.0
    return np.where(stiff, peak / np.where(stiff, stiffness, 1.0), np.inf)[()]
