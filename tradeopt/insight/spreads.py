"""What uncertain assumptions do to a design: one at a time, all together, and by whose fault.

A *response* is any function from shifts, shape (sample, assumption), to outcomes, shape (sample,
outcome). A shift of 0 leaves an assumption where it is, -1 and 1 are the ends of its spread.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy import stats

from tradeopt.arrays import Array, Flags

Response = Callable[[Array], Array]
"""Shifts, shape (sample, assumption), to outcomes, shape (sample, outcome)."""


@dataclass(frozen=True)
class Tornado:
    """Outcomes with one assumption at a time at an end of its spread.

    Attributes
    ----------
    nominal : Array
        Shape (outcome,): nothing shifted.
    low, high : Array
        Shape (assumption, outcome): at the lower and at the upper end.
    """

    nominal: Array
    low: Array
    high: Array

    def swing(self) -> Array:
        """Return how far outcomes lie from nominal at the farther end, (assumption, outcome)."""
        away = np.maximum(np.abs(self.low - self.nominal), np.abs(self.high - self.nominal))
        return np.asarray(away, dtype=np.float64)


def tornado(response: Response, assumptions: int) -> Tornado:
    """
    Shift one assumption at a time to both ends of its spread.

    Parameters
    ----------
    response : Response
        What is looked at.
    assumptions : int
        How many there are.

    Returns
    -------
    Tornado
        One batch of twice as many samples and one.

    Examples
    --------
    >>> found = tornado(lambda shifts: shifts @ np.array([[3.0], [-1.0]]) + 10.0, 2)
    >>> found.low[:, 0], found.high[:, 0]
    (array([ 7., 11.]), array([13.,  9.]))
    """
    ends = np.eye(assumptions)
    outcomes = response(np.concatenate([np.zeros((1, assumptions)), -ends, ends]))
    low, high = np.split(outcomes[1:], 2)
    return Tornado(outcomes[0], low, high)


def drawn(response: Response, assumptions: int, samples: int, seed: int) -> Array:
    """
    Draw all assumptions at once, each evenly over its spread and independent of the others.

    Parameters
    ----------
    response : Response
        What is looked at.
    assumptions : int
        How many there are.
    samples : int
        How many to draw; a power of two.
    seed : int
        Start of all chance.

    Returns
    -------
    Array
        Shape (sample, outcome).

    Notes
    -----
    Points of a scrambled Sobol sequence, which fill the box more evenly than independent draws.
    """
    sequence = stats.qmc.Sobol(assumptions, rng=np.random.default_rng(seed))
    return response(2.0 * sequence.random(samples) - 1.0)


@dataclass(frozen=True)
class VarianceShares:
    """Shares of the variance of each outcome.

    Attributes
    ----------
    first : Array
        Shape (assumption, outcome): what the assumption causes by itself [1].
    total : Array
        Shape (assumption, outcome): what it causes together with others as well [1].
    """

    first: Array
    total: Array


def variance_shares(
    response: Response, assumptions: int, samples: int, seed: int
) -> VarianceShares:
    """
    Say which assumption causes how much of the variance.

    Parameters
    ----------
    response : Response
        What is looked at; it is asked for ``samples * (assumptions + 2)`` samples.
    assumptions : int
        How many there are.
    samples : int
        A power of two.
    seed : int
        Start of all chance.

    Returns
    -------
    VarianceShares
        Sobol indices of first order and total. Estimates: small ones can come out below 0.

    References
    ----------
    Saltelli et al., "Variance based sensitivity analysis of model output", Computer Physics
    Communications 181 (2010), 259-270, as in `scipy.stats.sobol_indices`.
    """
    found = stats.sobol_indices(
        func=lambda columns: response(columns.T).T,
        n=samples,
        dists=[stats.uniform(-1.0, 2.0)] * assumptions,  # type: ignore[list-item]  # stubs
        rng=np.random.default_rng(seed),
    )
    first, total = (
        np.asarray(one, dtype=np.float64).reshape(-1, assumptions).T
        for one in (found.first_order, found.total_order)
    )
    return VarianceShares(first, total)


FIRST_STEPS = 3
"""Steps in which a flip is looked for in each direction."""

HALVINGS = 10
"""Times that the step in which it lies is halved."""


def smallest_flips(gap: Callable[[Array], Array], assumptions: int, most: float) -> Array:
    """
    Find the smallest shift of each assumption alone that turns a decision.

    Parameters
    ----------
    gap : callable
        Shifts, shape (sample, assumption), to how clear the decision is, shape (sample,): 0 or
        more holds, below 0 or NaN does not. It must hold unshifted.
    assumptions : int
        How many there are.
    most : float
        Largest shift to look at.

    Returns
    -------
    Array
        Shape (assumption, 2): shift down and up; NaN where none of them up to the largest turns
        it.

    Notes
    -----
    Each direction is walked in even steps, and the first step that ends turned is halved again and
    again; a decision that turns and turns back within one step can pass unseen.

    Examples
    --------
    >>> smallest_flips(lambda shifts: 1.0 - shifts[:, 0], 2, most=5.0).round(2)
    array([[nan,  1.],
           [nan, nan]])
    """
    directions = np.stack([-np.eye(assumptions), np.eye(assumptions)], axis=1)
    rays = directions.reshape(2 * assumptions, assumptions)
    sizes = most * np.arange(1, FIRST_STEPS + 1) / FIRST_STEPS
    tried = (rays[:, np.newaxis] * sizes[:, np.newaxis]).reshape(-1, assumptions)
    turned = _turned(gap(tried)).reshape(len(rays), FIRST_STEPS)
    rows = np.flatnonzero(turned.any(axis=1))
    upper = sizes[turned[rows].argmax(axis=1)]
    lower = upper - sizes[0]
    for _ in range(HALVINGS if rows.size else 0):
        middle = (lower + upper) / 2.0
        beyond = _turned(gap(rays[rows] * middle[:, np.newaxis]))
        lower, upper = np.where(beyond, lower, middle), np.where(beyond, middle, upper)
    found = np.full(len(rays), np.nan)
    found[rows] = upper
    signs = np.array([-1.0, 1.0])
    return np.asarray(found.reshape(assumptions, 2) * signs, dtype=np.float64)


def _turned(gap: Array) -> Flags:
    """Tell where a decision does not hold; what has no value holds nothing."""
    return np.asarray(~(gap >= 0.0), dtype=np.bool_)
