"""Which limits hold a front back, and what moving them is worth."""

from dataclasses import dataclass

import numpy as np

from tradeopt.arrays import Array, Codes
from tradeopt.search.designs import Designs
from tradeopt.search.stationary import Certificate, limit_prices
from tradeopt.study.problem import Problem


@dataclass(frozen=True)
class Tightness:
    """How near a front comes to each limit, as shares of the limit's scale.

    Attributes
    ----------
    active : Array
        Shape (limit,): share of the designs that only just keep it.
    least, median : Array
        Shape (limit,): what is left to it, in the design that is nearest and in the middle one.
    """

    active: Array
    least: Array
    median: Array


def tightness(violations: Array, active: float) -> Tightness:
    """
    Tell how near a front comes to each limit.

    Parameters
    ----------
    violations : Array
        Shape (design, limit): share of its scale by which a limit is missed; one design or more.
    active : float
        Share of its scale within which a limit that is kept counts as active.

    Returns
    -------
    Tightness
        Of each limit.

    Examples
    --------
    >>> found = tightness(np.array([[-0.01, -0.5], [-0.2, -0.4], [0.0, -0.6]]), active=0.02)
    >>> found.active.round(4), found.least, found.median
    (array([0.6667, 0.    ]), array([0. , 0.4]), array([0.01, 0.5 ]))
    """
    left = -violations
    return Tightness(
        active=np.asarray((left <= active).mean(axis=0), dtype=np.float64),
        least=left.min(axis=0) + 0.0,
        median=np.asarray(np.median(left, axis=0), dtype=np.float64),
    )


LEAST_SHARE = 0.01
"""Weight below which an objective does not count for prices: the design is stuck in it, and what
one unit of it is worth cannot be told from slopes."""

NEIGHBOURS = 6
"""Designs on either side from which the trade along a front is told."""


@dataclass(frozen=True)
class Prices:
    """What each limit costs the designs of a front.

    Attributes
    ----------
    numbers : Codes
        Shape (design,): which designs.
    residual : Array
        Shape (design,): what is left of the first-order conditions; see `Certificate`. The prices
        of a design far from 0 are rough.
    limits : Array
        Shape (design, limit, objective): how much better the objective gets, in its SI unit, by SI
        unit that the limit is relaxed by, the other objectives held; NaN where the objective has
        next to no weight in this design, and where slopes tell nothing of it, as on a step of an
        objective that moves in steps.
    """

    numbers: Codes
    residual: Array
    limits: Array

    def of(self, number: int) -> Array:
        """Return those of one design, shape (limit, objective)."""
        rows = np.flatnonzero(self.numbers == number)
        missing = np.full(self.limits.shape[1:], np.nan)
        return self.limits[rows[0]] if rows.size else missing

    @property
    def usual(self) -> Array:
        """Return the middle price among the designs that a limit costs something, (limit, ...)."""
        paid = np.where(self.limits > 0.0, self.limits, np.nan)
        middle = np.full(paid.shape[1:], 0.0)
        some = np.isfinite(paid).any(axis=0)
        middle[some] = np.nanmedian(paid[:, some], axis=0)
        return middle


def prices(problem: Problem, front: Designs, certificate: Certificate) -> Prices:
    """
    Say what each limit costs the designs of a front.

    Parameters
    ----------
    problem : Problem
        The study.
    front : Designs
        The whole front.
    certificate : Certificate
        First-order conditions of some of its designs.

    Returns
    -------
    Prices
        From the multipliers of the certificate.
    """
    worth = limit_prices(problem, front, certificate)
    counts = certificate.weights >= LEAST_SHARE
    # an objective alone with nothing to hold it back is flat there, not at its best
    flat = ~counts.all(axis=1) & ~np.any(certificate.prices > 0.0, axis=1)
    told = counts & ~flat[:, np.newaxis]
    limits = np.where(told[:, np.newaxis, :], worth, np.nan)
    return Prices(certificate.numbers, certificate.residual, limits)


def exchange(costs: Array, row: int) -> float:
    """
    Tell how the two objectives of a front trade near one design.

    Parameters
    ----------
    costs : Array
        Shape (design, 2): less is better; two designs or more.
    row : int
        Which design.

    Returns
    -------
    float
        By how much the second cost falls as the first one rises by one, in their SI units.

    Notes
    -----
    Slope of the straight line through the neighbours on the front by least squares: it sees the
    step from one design to the next, which gradients cannot where a value of the mission moves in
    steps.

    Examples
    --------
    >>> x = np.linspace(0.0, 1.0, 5)
    >>> round(exchange(np.column_stack([x, 3.0 - 2.0 * x]), 2), 4)
    2.0
    """
    order = np.argsort(costs[:, 0], kind="stable")
    place = int(np.flatnonzero(order == row)[0])
    near = costs[order[max(0, place - NEIGHBOURS) : place + NEIGHBOURS + 1]]
    away = near - near.mean(axis=0)
    return float(-(away[:, 0] @ away[:, 1]) / (away[:, 0] @ away[:, 0]))
