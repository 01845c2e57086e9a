"""Many small convex quadratic problems at once."""

from dataclasses import dataclass

import numpy as np

from tradeopt.arrays import Array

ROUNDS = 14
"""Newton steps; the gap shrinks some tenfold in each, so that 8 digits are left of it."""

STEP = 0.99
"""Share of the way to the edge of the feasible set that a step may take."""

REGULAR = 1e-10
"""Added to the diagonal, and by its share, so that a flat direction can be solved for."""

TINY = 1e-14


@dataclass(frozen=True)
class QuadraticPrograms:
    """Minimise x'Hx/2 + g'x with Ax <= b, for each row.

    Attributes
    ----------
    curvature : Array
        H, shape (row, unknown, unknown), symmetric, no negative eigenvalue.
    slope : Array
        g, shape (row, unknown).
    sides : Array
        A, shape (row, side, unknown).
    bounds : Array
        b, shape (row, side).
    """

    curvature: Array
    slope: Array
    sides: Array
    bounds: Array


def solve(programs: QuadraticPrograms) -> tuple[Array, Array]:
    """
    Solve them all by a primal-dual interior-point method.

    Parameters
    ----------
    programs : QuadraticPrograms
        Each must have a solution.

    Returns
    -------
    tuple of Array
        The unknowns, shape (row, unknown), and the multiplier of each side, shape (row, side), 0
        or more. A row that broke down is NaN.

    Notes
    -----
    Predictor and corrector after Mehrotra; the step into the complementarity is centred by the
    cube of what the predictor left of it.

    References
    ----------
    Nocedal, Wright, "Numerical Optimization", 2nd ed. (2006), section 16.6, algorithm 16.4.

    Examples
    --------
    >>> one = np.ones((1, 1))
    >>> x, price = solve(QuadraticPrograms(one[None], -3.0 * one, one[None], one))
    >>> np.round(x, 6), np.round(price, 6)
    (array([[1.]]), array([[2.]]))
    """
    inner = _Interior(programs)
    with np.errstate(all="ignore"):
        for _ in range(ROUNDS):
            inner.advance()
    broken = ~(np.isfinite(inner.unknowns).all(axis=1) & np.isfinite(inner.prices).all(axis=1))
    inner.unknowns[broken] = np.nan
    inner.prices[broken] = np.nan
    return inner.unknowns, inner.prices


class _Interior:
    """Where the method stands: unknowns, slacks of the sides, and their prices."""

    def __init__(self, programs: QuadraticPrograms) -> None:
        rows, sides, unknowns = programs.sides.shape
        self.programs = programs
        self.across = np.swapaxes(programs.sides, 1, 2)
        self.unknowns = np.zeros((rows, unknowns))
        self.slacks = np.maximum(programs.bounds, 1.0)
        self.prices = np.ones((rows, sides))
        self.diagonal = np.arange(unknowns)

    def advance(self) -> None:
        """Take one predicted and corrected step."""
        one = self.programs
        slope = _times(one.curvature, self.unknowns) + one.slope + _times(self.across, self.prices)
        excess = _times(one.sides, self.unknowns) + self.slacks - one.bounds
        inverse = self._inverse()
        gap = self.slacks * self.prices
        mean = gap.mean(axis=1, keepdims=True)
        _, slack, price = self._direction(inverse, slope, excess, gap)
        far, dear = _longest(self.slacks, slack), _longest(self.prices, price)
        left = ((self.slacks + far * slack) * (self.prices + dear * price)).mean(
            axis=1, keepdims=True
        )
        centred = gap + slack * price - (left / np.maximum(mean, TINY)) ** 3 * mean
        step, slack, price = self._direction(inverse, slope, excess, centred)
        far = STEP * _longest(self.slacks, slack)
        dear = STEP * _longest(self.prices, price)
        self.unknowns = self.unknowns + far * step
        self.slacks = np.maximum(self.slacks + far * slack, TINY)
        self.prices = np.maximum(self.prices + dear * price, TINY)

    def _inverse(self) -> Array:
        one = self.programs
        weights = (self.prices / self.slacks)[:, :, None]
        matrix = one.curvature + self.across @ (weights * one.sides)
        matrix[:, self.diagonal, self.diagonal] *= 1.0 + REGULAR
        matrix[:, self.diagonal, self.diagonal] += REGULAR
        broken = ~np.isfinite(matrix).all(axis=(1, 2))
        matrix[broken] = np.eye(len(self.diagonal))
        self.unknowns[broken] = np.nan
        return np.asarray(np.linalg.inv(matrix), dtype=np.float64)

    def _direction(
        self, inverse: Array, slope: Array, excess: Array, gap: Array
    ) -> tuple[Array, Array, Array]:
        pull = slope + _times(self.across, (self.prices * excess - gap) / self.slacks)
        step = -_times(inverse, pull)
        slack = -excess - _times(self.programs.sides, step)
        return step, slack, -(gap + self.prices * slack) / self.slacks


def _times(matrices: Array, vectors: Array) -> Array:
    return np.asarray((matrices @ vectors[:, :, None])[:, :, 0], dtype=np.float64)


def _longest(values: Array, change: Array) -> Array:
    """Return how far one can go, at most 1, until a value is 0; shape (row, 1)."""
    reach = np.where(change < 0.0, -values / np.minimum(change, -1e-300), 1.0)
    return np.asarray(np.minimum(1.0, reach.min(axis=1, keepdims=True)), dtype=np.float64)
