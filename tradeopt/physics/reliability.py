"""Chance that parts which fail at a constant rate last, with spare pieces or without.

A *group* is a set of like pieces that work side by side; it works while enough of them do. *Wear*
is the mean number of failures of one piece in what it does: rate times time plus failures per
cycle times cycles. All groups are needed; nothing is repaired on the way.
"""

from typing import Final

import numpy as np

from tradeopt.arrays import Array, as_array

_STEP: Final = 0.25
_PLACES: Final[Array] = np.arange(-3.0, 5.0, _STEP)
_TIMES: Final[Array] = np.exp(_PLACES - np.exp(-_PLACES))
_WEIGHTS: Final[Array] = _STEP * (1.0 + np.exp(-_PLACES)) * _TIMES


MOST_SPARES: Final = 10
"""Spare pieces of a group up to which the chance is summed [1]."""


def wear(time: Array, cycles: Array, *, per_time: Array, per_cycle: Array) -> Array:
    """Mean number of failures of one piece.

    Parameters
    ----------
    time : Array, shape (...)
        Time it is on [s].
    cycles : Array, shape (...)
        Cycles it goes through [1].
    per_time : Array, shape (...)
        Failure rate [1/s].
    per_cycle : Array, shape (...)
        Failures per cycle [1].

    Returns
    -------
    Array, shape (...)
        Mean number of failures; the chance that it lasts is exp(-wear) [1].

    Notes
    -----
    Constant rates: an old piece is as good as a new one. That holds between early failures and
    wear-out; parts that wear out, such as ropes, must be changed in time for it to hold.

    References
    ----------
    M. Rausand, A. Hoyland, *System Reliability Theory*, 2nd ed. (2004), section 2.9 (from memory).

    Examples
    --------
    >>> wear(
    ...     np.array(3600.0), np.array(2000.0), per_time=np.array(1e-8), per_cycle=np.array(1e-8)
    ... ).round(9)
    np.float64(5.6e-05)
    """
    failures: Array = per_time * time + per_cycle * cycles
    return failures


def chance_of_group(
    piece_wear: Array, *, needed: Array, spare: Array, common_cause: Array
) -> Array:
    """Chance that enough pieces of a group last.

    Parameters
    ----------
    piece_wear : Array, shape (...)
        Mean number of failures of one piece [1].
    needed : Array, shape (...)
        Pieces that must work, one or more [1].
    spare : Array, shape (...)
        Pieces beyond those [1].
    common_cause : Array, shape (...)
        Share of the failures that takes all pieces of the group at once [1].

    Returns
    -------
    Array, shape (...)
        Chance [1]; NaN where there are more than `MOST_SPARES` spare pieces.

    Notes
    -----
    k of n pieces, each lasting with p = exp(-(1 - beta) h): the sum over j failed pieces, up to
    the spare ones, of C(n, j) p^(n-j) (1-p)^j; times exp(-beta h), the chance that no common cause
    strikes. Spare pieces are on all the time and age like the others.

    References
    ----------
    C. E. Ebeling, *An Introduction to Reliability and Maintainability Engineering*, section 5.3
    (k out of n); K. N. Fleming, General Atomic report GA-A13284 (1975) (share of common causes).
    Both from memory.

    Examples
    --------
    >>> piece = -np.log(np.array(0.9))
    >>> spare = np.array([0.0, 1.0])
    >>> chance_of_group(
    ...     piece, needed=np.array(2.0), spare=spare, common_cause=np.array(0.0)
    ... ).round(4)
    array([0.81 , 0.972])
    """
    alone = (1.0 - common_cause) * piece_wear
    pieces = needed + spare
    failing = -np.expm1(-alone)
    ways: Array = np.ones(np.broadcast_shapes(np.shape(alone), np.shape(pieces)))
    enough = np.exp(-pieces * alone)
    lost = np.ones_like(failing)
    for failed in range(1, MOST_SPARES + 1):
        ways = ways * (pieces - failed + 1.0) / failed
        left = np.exp(-np.maximum(pieces - failed, 0.0) * alone)
        lost = lost * failing
        enough = enough + np.where(failed <= spare, ways * left * lost, 0.0)
    counted = np.where(spare <= MOST_SPARES, np.minimum(enough, 1.0), np.nan)
    chance: Array = counted * np.exp(-common_cause * piece_wear)
    return chance


def chance_of_all(group_chance: Array, groups: Array) -> Array:
    """Chance that all groups of all components last.

    Parameters
    ----------
    group_chance : Array, shape (..., component)
        Chance of one group of each component [1].
    groups : Array, shape (..., component)
        Groups of that component, all of them needed [1].

    Returns
    -------
    Array, shape (...)
        Chance [1].

    Notes
    -----
    The product of all chances: components fail independently of each other.

    References
    ----------
    C. E. Ebeling, *An Introduction to Reliability and Maintainability Engineering*, section 5.1
    (parts in series; from memory).

    Examples
    --------
    >>> chance_of_all(np.array([0.9, 0.99]), np.array([1.0, 2.0])).round(4)
    np.float64(0.8821)
    """
    chance: Array = np.prod(np.power(group_chance, groups), axis=-1)
    return chance


def mean_to_first_stop(
    piece_wear: Array, *, groups: Array, needed: Array, spare: Array, common_cause: Array
) -> Array:
    """Mean number of times something can be done before it first fails.

    Parameters
    ----------
    piece_wear : Array, shape (..., component)
        Mean number of failures of one piece each time [1].
    groups, needed, spare : Array, shape (..., component)
        Groups of each component, pieces that each group needs, and those beyond [1].
    common_cause : Array, shape (..., component)
        Share of the failures that takes all pieces of a group at once [1].

    Returns
    -------
    Array, shape (...)
        Mean number of times; infinite where nothing ever fails [1].

    Notes
    -----
    The integral of the chance over the number of times, parts of one included. Spares that have
    failed are not replaced before the stop. Without spares it is one over the sum of all wear. The
    integral runs over x = exp(t - exp(-t)) by the trapezoid rule (error below 1e-6).

    References
    ----------
    H. Takahasi, M. Mori, "Double exponential formulas for numerical integration", Publ. RIMS
    9:721-741 (1974) (from memory).

    Examples
    --------
    >>> one = np.array([1.0])
    >>> mean_to_first_stop(
    ...     np.array([0.01]), groups=one, needed=one, spare=one, common_cause=0.0 * one
    ... ).round(3)
    np.float64(150.0)
    """
    rate = (groups * needed * piece_wear).sum(axis=-1)
    scale = 1.0 / np.where(rate == 0.0, 1.0, rate)
    far = scale[..., np.newaxis, np.newaxis] * _TIMES[:, np.newaxis]

    def each(array: Array) -> Array:
        return as_array(array)[..., np.newaxis, :]

    lasting = chance_of_group(
        each(piece_wear) * far,
        needed=each(needed),
        spare=each(spare),
        common_cause=each(common_cause),
    )
    mean: Array = scale * (chance_of_all(lasting, each(groups)) @ _WEIGHTS)
    return np.where(rate == 0.0, np.inf, mean)[()]
