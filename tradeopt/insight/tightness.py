"""Which limits hold a front back, and what moving them is worth."""

from dataclasses import dataclass

import numpy as np

from tradeopt.arrays import Array
from tradeopt.search import front as fronts
from tradeopt.search.designs import Designs
from tradeopt.search.stationary import LEAST_WEIGHT, Certificate, limit_prices
from tradeopt.search.targets import scale_of
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


@dataclass(frozen=True)
class Prices:
    """What one design of a front would win if it were held back less.

    Attributes
    ----------
    residual : float
        What is left of the first-order conditions; see `Certificate`. The prices of a design far
        from 0 are rough.
    limits : Array
        Shape (limit, objective): how much better the objective gets, in its SI unit, by SI unit
        that the limit is relaxed by, the other objectives held; NaN where the objective has no
        weight in this design.
    exchange : Array
        Shape (objective given up, objective won): the same where an objective gives way by its SI
        unit.
    """

    residual: float
    limits: Array
    exchange: Array


def prices(problem: Problem, front: Designs, certificate: Certificate, number: int) -> Prices:
    """
    Say what each limit costs one design.

    Parameters
    ----------
    problem : Problem
        The study.
    front : Designs
        The whole front.
    certificate : Certificate
        First-order conditions of some of its designs.
    number : int
        Which of those.

    Returns
    -------
    Prices
        From the multipliers of the certificate.

    Notes
    -----
    With the weights w of the objectives at their spreads s on the front, giving up one unit of
    objective a wins (w_a/s_a)/(w_b/s_b) units of b.
    """
    row = int(np.flatnonzero(certificate.numbers == number)[0])
    _, spread = scale_of(fronts.minimised(front.objectives, problem.objectives))
    weights = certificate.weights[row] / spread
    counted = certificate.weights[row] > LEAST_WEIGHT
    with np.errstate(divide="ignore", invalid="ignore"):
        exchange = np.where(counted, weights[:, np.newaxis] / weights, np.nan)
    return Prices(
        residual=float(certificate.residual[row]),
        limits=limit_prices(problem, front, certificate)[row],
        exchange=np.asarray(exchange, dtype=np.float64),
    )
