"""Many small convex quadratic problems at once."""

from dataclasses import dataclass

import numpy as np

from tradeopt.arrays import AnyArray, Array, Flags

ROUNDS = 14
"""Most Newton steps."""

CLOSED = 1e-10
"""Mean of slack times price over the bounds at which a program counts as solved: the gap between
what was found and what could be is then as many times that as there are bounds."""

STEP = 0.99
"""Share of the way to the edge of the feasible set that a step may take."""

REGULAR = 1e-10
"""Added to the diagonal, and by its share, so that a flat direction can be solved for."""

TINY = 1e-14


@dataclass(frozen=True)
class QuadraticPrograms:
    """Minimise x'Hx/2 + g'x with Ax <= b, -below <= x and x <= above, for each row.

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
    below, above : Array
        Shape (row, some): how far below 0 and above it the first unknowns may lie; as many of them
        as there are columns, the others are free.
    """

    curvature: Array
    slope: Array
    sides: Array
    bounds: Array
    below: Array
    above: Array

    def levels(self, unknowns: Array) -> Array:
        """Return what is bounded, shape (row, bound): Ax, then -x and x as far as bounded."""
        below, above = self.below.shape[1], self.above.shape[1]
        across = times(self.sides, unknowns)
        return np.concatenate([across, -unknowns[:, :below], unknowns[:, :above]], axis=1)

    def pulls(self, prices: Array) -> Array:
        """Return what prices of all bounds do to each unknown: the transpose of `levels`."""
        dense, low, high = self._split(prices)
        found = times(np.swapaxes(self.sides, 1, 2), dense)
        found[:, : low.shape[1]] -= low
        found[:, : high.shape[1]] += high
        return found

    def stiffened(self, weights: Array) -> Array:
        """Return the curvature with each bound as a spring of this stiffness."""
        dense, low, high = self._split(weights)
        matrix = self.curvature + np.swapaxes(self.sides, 1, 2) @ (dense[:, :, None] * self.sides)
        diagonal = np.einsum("rnn->rn", matrix)  # a view
        diagonal[:, : low.shape[1]] += low
        diagonal[:, : high.shape[1]] += high
        return np.asarray(matrix, dtype=np.float64)

    def _split(self, values: Array) -> tuple[Array, Array, Array]:
        sides = self.sides.shape[1]
        boxes = sides + self.below.shape[1]
        return values[:, :sides], values[:, sides:boxes], values[:, boxes:]


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
        The unknowns, shape (row, unknown), and the multiplier of each side, then of each bound
        below and above, shape (row, bound), 0 or more. A row that broke down is NaN.

    Notes
    -----
    Predictor and corrector after Mehrotra; the step into the complementarity is centred by the
    cube of what the predictor left of it.

    References
    ----------
    Nocedal, Wright, "Numerical Optimization", 2nd ed. (2006), section 16.6, algorithm 16.4.

    Examples
    --------
    >>> one, none = np.ones((1, 1)), np.empty((1, 0))
    >>> x, price = solve(QuadraticPrograms(one[None], -3.0 * one, one[None], one, none, none))
    >>> np.round(x, 6), np.round(price, 6)
    (array([[1.]]), array([[2.]]))
    """
    inner = _Interior.beginning(programs)
    unknowns, prices = np.empty_like(inner.unknowns), np.empty_like(inner.prices)
    rows = np.arange(len(unknowns))
    with np.errstate(all="ignore"):
        for left in reversed(range(ROUNDS)):
            inner.advance()
            ends = inner.is_closed if left else np.full(len(rows), fill_value=True)
            if 2 * ends.sum() < len(rows):  # leaving fewer behind costs more than they do
                continue
            unknowns[rows[ends]], prices[rows[ends]] = inner.unknowns[ends], inner.prices[ends]
            inner, rows = inner.take(~ends), rows[~ends]
            if not len(rows):
                break
    broken = ~(np.isfinite(unknowns).all(axis=1) & np.isfinite(prices).all(axis=1))
    unknowns[broken] = np.nan
    prices[broken] = np.nan
    return unknowns, prices


@dataclass
class _Interior:
    """Where the method stands: unknowns, slacks of the bounds, and their prices."""

    programs: QuadraticPrograms
    bounds: Array
    unknowns: Array
    slacks: Array
    prices: Array

    @classmethod
    def beginning(cls, programs: QuadraticPrograms) -> "_Interior":
        """Begin at nought, off every bound."""
        bounds = np.concatenate([programs.bounds, programs.below, programs.above], axis=1)
        nought = np.zeros(programs.slope.shape)
        return cls(programs, bounds, nought, np.maximum(bounds, 1.0), np.ones(bounds.shape))

    def take(self, rows: AnyArray) -> "_Interior":
        """Pick rows."""
        programs = QuadraticPrograms(*(array[rows] for array in vars(self.programs).values()))
        own = self.bounds, self.unknowns, self.slacks, self.prices
        return _Interior(programs, *(array[rows] for array in own))

    @property
    def is_closed(self) -> Flags:
        """Shape (row,): whether the gap of a program is closed, or it broke down."""
        gap = (self.slacks * self.prices).mean(axis=1)
        return np.asarray(~(gap > CLOSED), dtype=np.bool_)

    def advance(self) -> None:
        """Take one predicted and corrected step."""
        one = self.programs
        slope = times(one.curvature, self.unknowns) + one.slope + one.pulls(self.prices)
        excess = one.levels(self.unknowns) + self.slacks - self.bounds
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
        matrix = self.programs.stiffened(self.prices / self.slacks)
        diagonal = np.einsum("rnn->rn", matrix)  # a view
        diagonal *= 1.0 + REGULAR
        diagonal += REGULAR
        broken = ~np.isfinite(matrix).all(axis=(1, 2))
        matrix[broken] = np.eye(matrix.shape[1])
        self.unknowns[broken] = np.nan
        return np.asarray(np.linalg.inv(matrix), dtype=np.float64)

    def _direction(
        self, inverse: Array, slope: Array, excess: Array, gap: Array
    ) -> tuple[Array, Array, Array]:
        pull = slope + self.programs.pulls((self.prices * excess - gap) / self.slacks)
        step = -times(inverse, pull)
        slack = -excess - self.programs.levels(step)
        return step, slack, -(gap + self.prices * slack) / self.slacks


def times(matrices: Array, vectors: Array) -> Array:
    """Multiply a matrix with a vector for each row."""
    return np.asarray((matrices @ vectors[:, :, None])[:, :, 0], dtype=np.float64)


def _longest(values: Array, change: Array) -> Array:
    """Return how far one can go, at most 1, until a value is 0; shape (row, 1)."""
    reach = np.where(change < 0.0, -values / np.minimum(change, -1e-300), 1.0)
    return np.asarray(np.minimum(1.0, reach.min(axis=1, keepdims=True)), dtype=np.float64)
