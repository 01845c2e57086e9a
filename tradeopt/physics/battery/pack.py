"""A pack of many cells: cold, age, wiring and heat."""

from typing import Final

import numpy as np

from tradeopt.arrays import Array, as_array
from tradeopt.physics.battery.cell import interpolate

TEMPERATURES: Final[Array] = 273.15 + np.linspace(-20.0, 60.0, 5)
"""Where tables over temperature have their points [K]: -20, 0, 20, 40 and 60 degC."""


def at_temperature(temperature: Array, table: Array) -> Array:
    """Read a table over temperature.

    Parameters
    ----------
    temperature : Array, shape (...)
        Temperature of the cells [K].
    table : Array, shape (..., node)
        Values at `TEMPERATURES`, in any unit [unit of the result].

    Returns
    -------
    Array, shape (...)
        Value [unit of the table].

    Notes
    -----
    Straight lines between the points, the end value beyond them. Resistance falls with temperature
    along a curve that opens upwards, so that the straight lines are on the safe side.

    Examples
    --------
    >>> at_temperature(np.array([263.15, 293.15]), np.array([4.0, 2.0, 1.0, 0.8, 0.7]))
    array([3., 1.])
    """
    span = TEMPERATURES[-1] - TEMPERATURES[0]
    place = (as_array(temperature) - TEMPERATURES[0]) / span
    return interpolate(place[..., np.newaxis], table)[..., 0]


def aged(at_end_of_life: Array, age: Array) -> Array:
    """Factor of a property of a cell that has used up part of its life.

    Parameters
    ----------
    at_end_of_life : Array, shape (...)
        Property at the end of its life over that of a new cell [1].
    age : Array, shape (...)
        Share of its life that is used up [1].

    Returns
    -------
    Array, shape (...)
        Property over that of a new cell [1].

    Notes
    -----
    A straight line from new to the end of life. What wears the cell, cycles or years, is left to
    whoever states the age.

    Examples
    --------
    >>> aged(np.array([0.8, 1.6]), np.array(0.5)).round(4)
    array([0.9, 1.3])
    """
    factor: Array = 1.0 + age * (at_end_of_life - 1.0)
    return factor


def with_wiring(resistance: Array, wiring: Array, *, series: Array, parallel: Array) -> Array:
    """Resistance of one cell with its share of the pack's wiring.

    Parameters
    ----------
    resistance : Array, shape (...)
        One cell [ohm].
    wiring : Array, shape (...)
        Busbars, fuses, switches and leads of the whole pack, in line [ohm].
    series : Array, shape (...)
        Cells in series [1].
    parallel : Array, shape (...)
        Strings in parallel [1].

    Returns
    -------
    Array, shape (...)
        Resistance [ohm] with which a cell loses its share of what cells and wiring lose.

    Notes
    -----
    R + R_w n_p/n_s, so that the pack's n_s/n_p R becomes n_s/n_p R + R_w.

    Examples
    --------
    >>> with_wiring(np.array(0.02), np.array(0.01), series=np.array(10), parallel=np.array(5))
    np.float64(0.025)
    """
    whole: Array = resistance + wiring * parallel / series
    return whole


def cell_rise(
    cell_loss: Array, *, cells: Array, cell_to_case: Array, film: Array, edge: Array
) -> Array:
    """Temperature of the cells above the air around the pack, if a load goes on for ever.

    Parameters
    ----------
    cell_loss : Array, shape (...)
        Mean loss in one cell [W].
    cells : Array, shape (...)
        Cells of the pack [1].
    cell_to_case : Array, shape (...)
        Thermal resistance of one cell to the pack's case [K/W].
    film : Array, shape (...)
        Heat from the case to the air per area and temperature difference [W/(m^2*K)].
    edge : Array, shape (...)
        Edge of a cube of the pack's volume [m].

    Returns
    -------
    Array, shape (...)
        Rise [K].

    Notes
    -----
    P (R_c + n/(h 6 a^2)). A cube has the least surface of all boxes, so that the rise is on the
    safe side for flatter packs.

    References
    ----------
    F. P. Incropera, D. P. DeWitt, *Fundamentals of Heat and Mass Transfer*, 6th ed., section 3.1
    (thermal circuits; from memory).

    Examples
    --------
    >>> cell_rise(
    ...     np.array(0.05),
    ...     cells=np.array(120.0),
    ...     cell_to_case=np.array(4.0),
    ...     film=np.array(5.0),
    ...     edge=np.array(0.2),
    ... ).round(4)
    np.float64(5.2)
    """
    to_air = cells / (film * 6.0 * np.square(edge))
    rise: Array = cell_loss * (cell_to_case + to_air)
    return rise
