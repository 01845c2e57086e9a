"""Winding and housing as they warm and cool: one load, a round of loads, many rounds.

The network has two nodes. Copper loss heats the winding, and grows with its temperature; from
there heat passes to the housing, where iron loss joins it, and on to the air. Every temperature
here is a rise over that air. With a resistance that is linear in the temperature the network is
linear, so each load has a closed form: x(t) = x0 + t phi(M t) (M x0 + u), where phi(z) = (exp(z) -
1)/z acts on the two eigenvalues of M, which are real and never equal.
"""

from typing import Final, NamedTuple

import numpy as np

from tradeopt.arrays import Array

LARGEST_EXPONENT: Final = 60.0
"""Largest growth that is followed [1]: exp(60) K is past any winding, and still a number."""
LARGEST_RISE: Final = 1e9
"""Where a rise without end is cut off, so that what follows stays a number [K]."""
FORGOTTEN: Final = 1e-9
"""Share of the rise at its start below which a round has forgotten it [1]."""
SMALL_EXPONENT: Final = 1e-4
"""Below this a difference of exponentials is taken from its series, right to 1e-9 [1]."""
_TINY: Final = 1e-300


class Network(NamedTuple):
    """The two nodes, and the ways of the heat.

    Attributes
    ----------
    winding_to_housing : Array, shape (...)
        Thermal resistance [K/W].
    housing_to_air : Array, shape (...)
        Thermal resistance [K/W].
    winding_capacity : Array, shape (...)
        Heat capacity of the winding [J/K].
    housing_capacity : Array, shape (...)
        Heat capacity of the housing with the iron [J/K].
    """

    winding_to_housing: Array
    housing_to_air: Array
    winding_capacity: Array
    housing_capacity: Array


class Load(NamedTuple):
    """Heat that comes in.

    Attributes
    ----------
    copper_loss : Array, shape (...)
        Mean copper loss with the winding as warm as the air [W].
    copper_growth : Array, shape (...)
        What it grows by as the winding warms [W/K]; 0 for a resistance that stays.
    iron_loss : Array, shape (...)
        Mean loss in iron and bearings, which heats the housing [W].
    """

    copper_loss: Array
    copper_growth: Array
    iron_loss: Array


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


class LegRises(NamedTuple):
    """What winding and housing see in each leg of the last round.

    Attributes
    ----------
    winding_peak : Array, shape (..., leg)
        Largest rise of the winding [K].
    housing_peak : Array, shape (..., leg)
        Largest rise of the housing [K].
    winding_mean : Array, shape (..., leg)
        Mean rise of the winding over the time of the leg [K].
    """

    winding_peak: Array
    housing_peak: Array
    winding_mean: Array


class TimeConstants(NamedTuple):
    """The two time constants of a network.

    Attributes
    ----------
    fast : Array, shape (...)
        Winding against housing [s].
    slow : Array, shape (...)
        Both against the air [s].
    """

    fast: Array
    slow: Array


class _Modes(NamedTuple):
    """The matrix of a network under a load: its eigenvalues [1/s], its rows and what drives it."""

    fast: Array
    slow: Array
    winding_own: Array
    winding_cross: Array
    housing_own: Array
    housing_cross: Array
    winding_drive: Array
    housing_drive: Array


class _Way(NamedTuple):
    """How both nodes go on from a start: the slope of each, split by eigenvalue."""

    start: Rises
    slow: Rises
    fast: Rises


def time_constants(network: Network) -> TimeConstants:
    """Time constants with which winding and housing warm up together.

    Parameters
    ----------
    network : Network
        Resistances and capacities.

    Returns
    -------
    TimeConstants
        Fast and slow one, at a resistance that stays [s].

    Notes
    -----
    Minus the reciprocals of the eigenvalues of the network's 2 x 2 matrix. They are not R_1 C_1
    and R_2 C_2: the nodes are coupled.

    References
    ----------
    Derived; linear network of two capacities.

    Examples
    --------
    >>> constants = time_constants(Network(*(np.array(x) for x in (1.0, 1.0, 10.0, 10.0))))
    >>> [round(float(constant), 4) for constant in constants]
    [3.8197, 26.1803]
    """
    nothing = np.zeros_like(network.winding_capacity)
    modes = _modes(network, Load(nothing, nothing, nothing))
    return TimeConstants(fast=-1.0 / modes.fast, slow=-1.0 / modes.slow)


def transient(time: Array, load: Load, start: Rises, network: Network) -> Rises:
    """Rises some time after a load came on.

    Parameters
    ----------
    time : Array, shape (...)
        Time since then [s].
    load : Load
        Losses from then on.
    start : Rises
        Rises at time 0, none below 0.
    network : Network
        Resistances and capacities.

    Returns
    -------
    Rises
        Winding and housing [K].

    Notes
    -----
    The matrix exponential of the 2 x 2 network, written out by its eigenvalues. Past runaway,
    where warmer copper feeds itself, the rise grows without end; it is cut off at 1e9 K.

    References
    ----------
    Derived; linear network of two capacities.

    Examples
    --------
    >>> network = Network(*(np.array(x) for x in (1.7, 6.0, 16.9 / 1.7, 593.0 / 6.0)))
    >>> load = Load(np.array(8.0), np.array(0.0), np.array(0.0))
    >>> cold = Rises(np.array(0.0), np.array(0.0))
    >>> transient(np.array([0.0, 60.0]), load, cold, network).winding.round(4)
    array([ 0.    , 15.3454])
    """
    modes = _modes(network, load)
    return _after(time, _way(start, modes), modes)


def rounds_from_cold(time: Array, load: Load, network: Network, *, rounds: Array) -> LegRises:
    """Rises in each leg of a mission that is walked round after round from a cold start.

    Parameters
    ----------
    time : Array, shape (..., leg)
        Time of each leg [s].
    load : Load
        Losses in each leg.
    network : Network
        Resistances and capacities in each leg: without its fan a housing cools less.
    rounds : Array, shape (...)
        Rounds walked one after another, 1 or more [1]; a great number gives the periodic state.

    Returns
    -------
    LegRises
        Those of the last round, which is the warmest [K].

    Notes
    -----
    A round takes the rises at its start to those at its end by x -> F x + b, so n - 1 rounds from
    cold give (I + F + ... + F^(n-2)) b, summed in closed form over the eigenvalues of F. They are
    real and positive, because heat only goes from warm to cold. Every round is warmer than the
    one before, as both start from no rise. In a leg each node turns at most once, where the two
    decaying parts of its slope cancel; this moment is checked beside the leg's start and end.

    References
    ----------
    Derived; linear network of two capacities, legs of constant load.

    Examples
    --------
    Five minutes of work and five of rest, 40 W: first round, and after many.

    >>> legs = np.array([300.0, 300.0])
    >>> load = Load(np.array([40.0, 0.0]), np.array([0.1572, 0.0]), np.array([2.0, 0.0]))
    >>> network = Network(*(np.full(2, x) for x in (0.5, 1.5, 60.0, 600.0)))
    >>> for rounds in (1.0, 1000.0):
    ...     rises = rounds_from_cold(legs, load, network, rounds=np.array(rounds))
    ...     print(rises.winding_peak.round(2), rises.winding_mean.round(2))
    [37.77 37.77] [26.18 18.21]
    [67.53 67.53] [59.25 42.38]
    """
    found = _modes(network, load)
    shape = np.broadcast_shapes(time.shape, *(part.shape for part in found))
    time = np.broadcast_to(time, shape)
    modes = _Modes(*(np.broadcast_to(part, shape) for part in found))
    start = _start_of_last_round(time, modes, rounds)
    legs = []
    for leg in range(time.shape[-1]):
        one = _Modes(*(part[..., leg] for part in modes))
        legs.append(_way(start, one))
        start = _after(time[..., leg], legs[-1], one)
    ways = _Way(
        *(
            Rises(*(np.stack(parts, axis=-1) for parts in zip(*pairs, strict=True)))
            for pairs in zip(*legs, strict=True)
        )
    )
    end = _after(time, ways, modes)
    turns = Rises(*(_turn(*parts) for parts in zip(ways.slow, ways.fast, strict=True)))
    span = modes.slow - modes.fast
    at_turn = [_after(np.clip(turn / span, 0.0, time), ways, modes) for turn in turns]
    peaks = [
        np.maximum(np.maximum(ways.start[node], end[node]), at_turn[node][node])
        for node in range(len(end))
    ]
    return LegRises(peaks[0], peaks[1], _mean_winding(time, ways, modes))


def _modes(network: Network, load: Load) -> _Modes:
    inner, outer, winding, housing = network
    own = (load.copper_growth - 1.0 / inner) / winding
    cross = 1.0 / (inner * winding)
    back = 1.0 / (inner * housing)
    away = -(1.0 / inner + 1.0 / outer) / housing
    middle = (own + away) / 2.0
    apart = np.sqrt(np.square((own - away) / 2.0) + cross * back)
    product = (1.0 - load.copper_growth * (inner + outer)) / (inner * outer * winding * housing)
    # of the two the one without cancellation, and the other by their product
    sure = np.where(middle < 0.0, middle - apart, middle + apart)
    other = product / sure
    return _Modes(
        fast=np.minimum(sure, other),
        slow=np.maximum(sure, other),
        winding_own=own,
        winding_cross=cross,
        housing_own=away,
        housing_cross=back,
        winding_drive=load.copper_loss / winding,
        housing_drive=load.iron_loss / housing,
    )


def _way(start: Rises, modes: _Modes) -> _Way:
    winding = modes.winding_own * start.winding + modes.winding_cross * start.housing
    housing = modes.housing_own * start.housing + modes.housing_cross * start.winding
    winding, housing = winding + modes.winding_drive, housing + modes.housing_drive
    span = modes.slow - modes.fast
    slow = Rises(
        ((modes.winding_own - modes.fast) * winding + modes.winding_cross * housing) / span,
        ((modes.housing_own - modes.fast) * housing + modes.housing_cross * winding) / span,
    )
    return _Way(start, slow, Rises(winding - slow.winding, housing - slow.housing))


def _after(time: Array, way: _Way, modes: _Modes) -> Rises:
    slow, fast = (time * _growth(rate * time) for rate in (modes.slow, modes.fast))
    winding, housing = (
        np.clip(start + slow * along_slow + fast * along_fast, 0.0, LARGEST_RISE)
        for start, along_slow, along_fast in zip(*way, strict=True)
    )
    return Rises(winding, housing)


def _growth(exponent: Array) -> Array:
    """Return (exp(z) - 1)/z, which is 1 at nought."""
    bounded = np.minimum(exponent, LARGEST_EXPONENT)
    divisor = np.where(bounded == 0.0, 1.0, bounded)
    growth: Array = np.where(bounded == 0.0, 1.0, np.expm1(bounded) / divisor)
    return growth


def _turn(slow: Array, fast: Array) -> Array:
    """Return the moment at which both parts of a slope cancel, times the eigenvalues' span."""
    ratio = -fast / np.where(slow == 0.0, 1.0, slow)
    turn: Array = np.where(slow == 0.0, 0.0, np.log(np.maximum(ratio, 1.0)))
    return turn


def _mean_winding(time: Array, way: _Way, modes: _Modes) -> Array:
    mean: Array = way.start.winding
    for rate, along in ((modes.slow, way.slow), (modes.fast, way.fast)):
        exponent = np.minimum(rate * time, LARGEST_EXPONENT)
        # (exp(z) - 1 - z)/z^2, by its series where the difference would lose its digits
        small = np.abs(exponent) < SMALL_EXPONENT
        divisor = np.where(small, 1.0, exponent)
        exact = (_growth(exponent) - 1.0) / divisor
        mean = mean + time * np.where(small, 0.5 + exponent / 6.0, exact) * along.winding
    return np.clip(mean, 0.0, LARGEST_RISE)


def _start_of_last_round(time: Array, modes: _Modes, rounds: Array) -> Rises:
    """Walk one round from no rise and from one kelvin at each node, and sum the rounds before."""
    shape = time.shape[:-1]
    # the first probe carries the loads, the other two the rises
    probe = Rises(
        np.broadcast_to([0.0, 1.0, 0.0], (*shape, 3)),
        np.broadcast_to([0.0, 0.0, 1.0], (*shape, 3)),
    )
    loaded = np.array([1.0, 0.0, 0.0])
    for leg in range(time.shape[-1]):
        one = _Modes(*(part[..., leg, np.newaxis] for part in modes))
        one = one._replace(
            winding_drive=one.winding_drive * loaded, housing_drive=one.housing_drive * loaded
        )
        probe = _after(time[..., leg, np.newaxis], _way(probe, one), one)
    (drive, own, cross), (housing_drive, back, away) = (np.moveaxis(node, -1, 0) for node in probe)
    # none of a kelvin at the start is ever below nought at the end, but for the rounding
    own, cross, back, away = (np.maximum(part, 0.0) for part in (own, cross, back, away))
    apart = np.sqrt(np.square((own - away) / 2.0) + cross * back)
    larger = (own + away) / 2.0 + apart
    least = np.minimum(own, away)  # of both factors of one kelvin, none is below the smaller
    smaller = np.clip((own * away - cross * back) / np.maximum(larger, _TINY), 0.0, least)
    great, small = (_rounds_summed(value, rounds - 1.0) for value in (larger, smaller))
    # where a round forgets its start both factors are nought, but for the rounding
    remembers = apart > FORGOTTEN
    slope = np.where(remembers, (great - small) / np.where(remembers, 2.0 * apart, 1.0), 0.0)
    winding = small * drive + slope * ((own - smaller) * drive + cross * housing_drive)
    housing = small * housing_drive + slope * ((away - smaller) * housing_drive + back * drive)
    return Rises(*(np.clip(node, 0.0, LARGEST_RISE) for node in (winding, housing)))


def _rounds_summed(factor: Array, count: Array) -> Array:
    """Return 1 + f + f^2 + ... of so many terms."""
    rate = np.log(np.maximum(factor, _TINY))
    grown = np.expm1(np.minimum(count * rate, LARGEST_EXPONENT))
    total: Array = np.where(rate == 0.0, count, grown / np.where(rate == 0.0, 1.0, np.expm1(rate)))
    return total
