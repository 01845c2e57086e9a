"""Temperature of winding and housing: a network of two nodes.

Copper loss heats the winding; from there heat passes to the housing, where iron loss joins it, and
on to the air.
"""

from typing import Final, NamedTuple

import numpy as np

from tradeopt.arrays import Array

EXACT_RISE: Final = 500.0
"""Rise up to which `steady_temperatures` is exact [K]: no insulation lives to see it."""
GREATEST_RISE: Final = 1000.0
"""Ceiling the rise approaches beyond that [K], near the melting point of copper."""
LEAST_DIVISOR: Final = 0.01
"""Runaway margin below which its reciprocal goes on along its tangent [1]."""


COPPER_SPECIFIC_HEAT: Final = 385.0
"""Heat to warm copper [J/(kg*K)]: F. P. Incropera, D. P. DeWitt, *Fundamentals of Heat and Mass
Transfer*, 6th ed., table A.1 at 300 K (from memory)."""
COOL: Final = 293.15
"""20 degC, from which the range of a part's temperature counts [K]; common practice, no source."""


class SteadyTemperatures(NamedTuple):
    """Where winding and housing settle.

    Attributes
    ----------
    winding : Array, shape (...)
        Temperature of the winding [K].
    housing : Array, shape (...)
        Temperature of the housing [K].
    runaway_margin : Array, shape (...)
        Share of the heating by warmer copper that is left before it feeds itself without end [1].
    """

    winding: Array
    housing: Array
    runaway_margin: Array


def steady_temperatures(
    cold_copper_loss: Array,
    iron_loss: Array,
    *,
    winding_to_housing: Array,
    housing_to_ambient: Array,
    ambient: Array,
    reference_temperature: Array,
    coefficient: Array,
) -> SteadyTemperatures:
    """Temperatures if a load goes on for ever, with copper that resists more as it warms.

    Parameters
    ----------
    cold_copper_loss : Array, shape (...)
        Mean copper loss with the winding at the reference temperature [W].
    iron_loss : Array, shape (...)
        Mean iron loss [W].
    winding_to_housing : Array, shape (...)
        Thermal resistance [K/W].
    housing_to_ambient : Array, shape (...)
        Thermal resistance [K/W].
    ambient : Array, shape (...)
        Temperature of the air [K].
    reference_temperature : Array, shape (...)
        Temperature the coefficient counts from [K].
    coefficient : Array, shape (...)
        Rise of the winding's resistance per kelvin, share of that at the reference temperature
        [1/K].

    Returns
    -------
    SteadyTemperatures
        Winding [K], housing [K] and runaway margin [1]. A margin of 0 or less means that no steady
        state exists; the temperatures are then stand-ins that only keep the order of designs (see
        Notes).

    Notes
    -----
    The winding's rise is [R_S a (1 + alpha (T_a - T_0)) + R_2 P_fe]/(1 - alpha a R_S), with a the
    cold copper loss, R_S = R_1 + R_2 both resistances in line, and the divisor as runaway margin.
    Beyond a rise of 500 K, and past runaway, the rise goes on smoothly towards 1000 K: it still
    grows with every loss and resistance, yet stays finite. The housing then keeps the share of the
    rise that its resistance has. Current ripple within a stride is faster than the winding, so the
    mean loss counts.

    References
    ----------
    Derived from the energy balance of both nodes with R(T) linear.

    Examples
    --------
    >>> steady = steady_temperatures(
    ...     np.array([30.0, 200.0]),
    ...     np.array(0.0),
    ...     winding_to_housing=np.array(0.5),
    ...     housing_to_ambient=np.array(1.5),
    ...     ambient=np.array(298.15),
    ...     reference_temperature=293.15,
    ...     coefficient=0.00393,
    ... )
    >>> steady.winding.round(2), steady.housing.round(2), steady.runaway_margin.round(4)
    (array([ 378.21, 1298.05]), array([ 358.19, 1048.07]), array([ 0.7642, -0.572 ]))
    """
    in_line = winding_to_housing + housing_to_ambient
    runaway_margin = 1.0 - coefficient * cold_copper_loss * in_line
    copper_at_ambient = cold_copper_loss * (1.0 + coefficient * (ambient - reference_temperature))
    driving = in_line * copper_at_ambient + housing_to_ambient * iron_loss
    winding_rise = bounded_rise(driving * _reciprocal(runaway_margin))
    hot_copper = copper_at_ambient + coefficient * cold_copper_loss * winding_rise
    through_housing = housing_to_ambient * (hot_copper + iron_loss)
    whole = through_housing + winding_to_housing * hot_copper
    share = through_housing / np.where(whole == 0.0, 1.0, whole)
    return SteadyTemperatures(
        winding=ambient + winding_rise,
        housing=ambient + winding_rise * share,
        runaway_margin=runaway_margin,
    )


def lasting_copper_loss(
    winding_rise: Array, iron_loss: Array, *, winding_to_housing: Array, housing_to_ambient: Array
) -> Array:
    """Copper loss that holds the winding at a rise if it lasts for ever.

    Parameters
    ----------
    winding_rise : Array, shape (...)
        Rise of the winding over the air [K].
    iron_loss : Array, shape (...)
        Iron loss that goes with it [W].
    winding_to_housing : Array, shape (...)
        Thermal resistance [K/W].
    housing_to_ambient : Array, shape (...)
        Thermal resistance [K/W].

    Returns
    -------
    Array, shape (...)
        Loss, the winding hot [W]; 0 where the iron alone is too warm.

    Notes
    -----
    (dT - R_2 P_fe)/(R_1 + R_2).

    References
    ----------
    Derived from the energy balance of both nodes.

    Examples
    --------
    >>> lasting_copper_loss(
    ...     np.array(100.0),
    ...     np.array([0.0, 10.0, 90.0]),
    ...     winding_to_housing=np.array(0.5),
    ...     housing_to_ambient=np.array(1.5),
    ... )
    array([50. , 42.5,  0. ])
    """
    room = winding_rise - housing_to_ambient * iron_loss
    return np.maximum(room, 0.0) / (winding_to_housing + housing_to_ambient)


def range_left(temperature: Array, limit: Array) -> Array:
    """Share of a part's range of temperature that is left.

    Parameters
    ----------
    temperature : Array, shape (...)
        Of the part [K].
    limit : Array, shape (...)
        What it stands, above 20 degC [K].

    Returns
    -------
    Array, shape (...)
        1 at 20 degC, 0 at the limit, negative beyond [1].

    Notes
    -----
    (T_limit - T)/(T_limit - 20 degC).

    Examples
    --------
    >>> range_left(np.array([293.15, 373.15, 423.15]), np.array(393.15))
    array([ 1. ,  0.2, -0.3])
    """
    return (limit - temperature) / (limit - COOL)


def heat_capacities(mass: Array, winding_share: Array, rest_heat: Array) -> tuple[Array, Array]:
    """Heat capacities of a motor's winding and of the rest of it.

    Parameters
    ----------
    mass : Array, shape (...)
        Motor with housing [kg].
    winding_share : Array, shape (...)
        Part of it that is copper [1].
    rest_heat : Array, shape (...)
        Specific heat of iron, magnets and housing together [J/(kg*K)].

    Returns
    -------
    winding : Array, shape (...)
        Heat capacity of the copper [J/K].
    housing : Array, shape (...)
        Heat capacity of the rest [J/K].

    Notes
    -----
    385 J/(kg K) for the copper; its insulation is left out, which is the safe side.

    Examples
    --------
    >>> winding, housing = heat_capacities(np.array(0.8), np.array(0.25), np.array(480.0))
    >>> winding.round(4), housing.round(4)
    (np.float64(77.0), np.float64(288.0))
    """
    copper = mass * winding_share
    return COPPER_SPECIFIC_HEAT * copper, rest_heat * (mass - copper)


def bounded_rise(rise: Array) -> Array:
    """Bend a rise that no winding lives to see smoothly towards a ceiling.

    Parameters
    ----------
    rise : Array, shape (...)
        Rise over the air [K].

    Returns
    -------
    Array, shape (...)
        The same up to 500 K, and beyond that ever nearer to 1000 K [K].

    Notes
    -----
    It keeps the order of designs and stays finite, without step or kink.

    Examples
    --------
    >>> bounded_rise(np.array([80.0, 1000.0, 1e30]))
    array([  80.,  750., 1000.])
    """
    room = GREATEST_RISE - EXACT_RISE
    beyond = np.maximum(rise - EXACT_RISE, 0.0)
    bent: Array = np.minimum(rise, EXACT_RISE) + beyond / (1.0 + beyond / room)
    return bent


def _reciprocal(margin: Array) -> Array:
    """1/margin, continued along its tangent where the margin is small or negative."""
    divisor = np.maximum(margin, LEAST_DIVISOR)
    reciprocal: Array = (2.0 - np.minimum(margin, LEAST_DIVISOR) / LEAST_DIVISOR) / divisor
    return reciprocal
