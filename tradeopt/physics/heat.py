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


class Rises(NamedTuple):
    """Rise over the air at the two nodes.

    Attributes
    ----------
    winding : Array, shape (...)
        Rise of the winding [K].
    housing : Array, shape (...)
        Rise of the housing [K].
    """

    winding: Array
    housing: Array


class TimeConstants(NamedTuple):
    """The two time constants of the network.

    Attributes
    ----------
    fast : Array, shape (...)
        Winding against housing [s].
    slow : Array, shape (...)
        Both against the air [s].
    """

    fast: Array
    slow: Array


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
    winding_rise = _ceiling(driving * _reciprocal(runaway_margin))
    hot_copper = copper_at_ambient + coefficient * cold_copper_loss * winding_rise
    through_housing = housing_to_ambient * (hot_copper + iron_loss)
    whole = through_housing + winding_to_housing * hot_copper
    share = through_housing / np.where(whole == 0.0, 1.0, whole)
    return SteadyTemperatures(
        winding=ambient + winding_rise,
        housing=ambient + winding_rise * share,
        runaway_margin=runaway_margin,
    )


def time_constants(
    *,
    winding_to_housing: Array,
    housing_to_ambient: Array,
    winding_capacity: Array,
    housing_capacity: Array,
) -> TimeConstants:
    """Time constants with which winding and housing warm up together.

    Parameters
    ----------
    winding_to_housing : Array, shape (...)
        Thermal resistance [K/W].
    housing_to_ambient : Array, shape (...)
        Thermal resistance [K/W].
    winding_capacity : Array, shape (...)
        Heat capacity of the winding [J/K].
    housing_capacity : Array, shape (...)
        Heat capacity of the housing with the iron [J/K].

    Returns
    -------
    TimeConstants
        Fast and slow one [s].

    Notes
    -----
    Minus the reciprocals of the eigenvalues of the network's 2 x 2 matrix. They are not R_1 C_1
    and R_2 C_2: the nodes are coupled.

    References
    ----------
    Derived; linear network of two capacities.

    Examples
    --------
    >>> constants = time_constants(
    ...     winding_to_housing=np.array(1.0),
    ...     housing_to_ambient=np.array(1.0),
    ...     winding_capacity=np.array(10.0),
    ...     housing_capacity=np.array(10.0),
    ... )
    >>> [round(float(constant), 4) for constant in constants]
    [3.8197, 26.1803]
    """
    own = 1.0 / (winding_to_housing * winding_capacity)
    back = 1.0 / (winding_to_housing * housing_capacity)
    out = 1.0 / (housing_to_ambient * housing_capacity)
    half_sum = (own + back + out) / 2.0
    fast_rate = half_sum + np.sqrt(np.square(half_sum) - own * out)
    return TimeConstants(fast=1.0 / fast_rate, slow=fast_rate / (own * out))


def transient(
    time: Array,
    copper_loss: Array,
    iron_loss: Array,
    start: Rises,
    *,
    winding_to_housing: Array,
    housing_to_ambient: Array,
    winding_capacity: Array,
    housing_capacity: Array,
) -> Rises:
    """Rises over the air some time after the losses were switched on.

    Parameters
    ----------
    time : Array, shape (...)
        Time since then [s].
    copper_loss : Array, shape (...)
        Copper loss from then on [W], at one resistance throughout.
    iron_loss : Array, shape (...)
        Iron loss from then on [W].
    start : Rises
        Rises at time 0 [K].
    winding_to_housing : Array, shape (...)
        Thermal resistance [K/W].
    housing_to_ambient : Array, shape (...)
        Thermal resistance [K/W].
    winding_capacity : Array, shape (...)
        Heat capacity of the winding [J/K].
    housing_capacity : Array, shape (...)
        Heat capacity of the housing with the iron [J/K].

    Returns
    -------
    Rises
        Winding and housing [K].

    Notes
    -----
    x(t) = x_end + exp(M t) (x_0 - x_end) with the exponential of the 2 x 2 matrix written out by
    its two eigenvalues, which always differ. Copper that warms is followed by short legs, each
    with the loss at its start.

    References
    ----------
    Derived; linear network of two capacities.

    Examples
    --------
    >>> rises = transient(
    ...     np.array([0.0, 60.0]),
    ...     np.array(8.0),
    ...     np.array(0.0),
    ...     Rises(np.array(0.0), np.array(0.0)),
    ...     winding_to_housing=np.array(1.7),
    ...     housing_to_ambient=np.array(6.0),
    ...     winding_capacity=np.array(16.9 / 1.7),
    ...     housing_capacity=np.array(593.0 / 6.0),
    ... )
    >>> rises.winding.round(4)
    array([ 0.    , 15.3454])
    """
    constants = time_constants(
        winding_to_housing=winding_to_housing,
        housing_to_ambient=housing_to_ambient,
        winding_capacity=winding_capacity,
        housing_capacity=housing_capacity,
    )
    housing_end = housing_to_ambient * (copper_loss + iron_loss)
    winding_end = housing_end + winding_to_housing * copper_loss
    winding_gap = start.winding - winding_end
    housing_gap = start.housing - housing_end
    winding_flow = (housing_gap - winding_gap) / (winding_to_housing * winding_capacity)
    housing_flow = (
        (winding_gap - housing_gap) / winding_to_housing - housing_gap / housing_to_ambient
    ) / housing_capacity
    return Rises(
        winding=winding_end + _fading(time, winding_gap, winding_flow, constants),
        housing=housing_end + _fading(time, housing_gap, housing_flow, constants),
    )


def _fading(time: Array, gap: Array, flow: Array, constants: TimeConstants) -> Array:
    """Sum of two decays that starts at `gap` with the slope `flow`."""
    fast_rate, slow_rate = 1.0 / constants.fast, 1.0 / constants.slow
    slow_part = (flow + fast_rate * gap) / (fast_rate - slow_rate)
    fading: Array = slow_part * np.exp(-slow_rate * time) + (gap - slow_part) * np.exp(
        -fast_rate * time
    )
    return fading


def _reciprocal(margin: Array) -> Array:
    """1/margin, continued along its tangent where the margin is small or negative."""
    divisor = np.maximum(margin, LEAST_DIVISOR)
    reciprocal: Array = (2.0 - np.minimum(margin, LEAST_DIVISOR) / LEAST_DIVISOR) / divisor
    return reciprocal


def _ceiling(rise: Array) -> Array:
    """Bend a rise beyond the exact range smoothly towards the ceiling."""
    room = GREATEST_RISE - EXACT_RISE
    beyond = np.maximum(rise - EXACT_RISE, 0.0)
    bent: Array = np.minimum(rise, EXACT_RISE) + beyond / (1.0 + beyond / room)
    return bent
