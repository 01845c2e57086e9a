"""The gradient operator: sequential quadratic programming for many designs at once."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from tradeopt.arrays import Array, Codes, Flags
from tradeopt.search import quadratic
from tradeopt.search.cube import Cube
from tradeopt.search.points import Points
from tradeopt.search.quadratic import QuadraticPrograms

STEP = 1e-6
"""Forward difference, share of the range of a variable."""

KEEP = 1e-6
"""How far inside a limit the search aims, as a share of its scale, so that rounding keeps it."""

LENGTHS = np.array([1.0, 0.5, 0.2, 0.05])
"""Lengths of a step that are tried side by side."""

RADIUS = 0.15
WIDEST = 0.5
"""How far a step may go in one variable: at first, and at most."""

WIDER, NARROWER = 1.6, 0.25
"""What the radius is multiplied by after a full step, and after none."""

LEAST_GAIN = 1e-5
"""Gain in units of the spread of the front below which a round counts as idle."""

IDLE = 2
"""Idle rounds in a row after which a design is left alone."""

LEAST_RADIUS = 1e-5

STEEPEST = 1e8
"""Curvature beyond which an update is dropped."""


@dataclass(frozen=True)
class Aim:
    """What each design is to come to: least of the largest weighted distance to a target.

    A design's distance is the largest over the objectives of ((cost - origin)/spread - target) /
    weight, plus `penalty` times its largest miss of a limit.

    Attributes
    ----------
    origin, spread : Array
        Shape (objective,): the scale of the costs.
    target, weight : Array
        Shape (design, objective), on that scale.
    penalty : float
        What a limit that is missed by its whole scale costs.
    """

    origin: Array
    spread: Array
    target: Array
    weight: Array
    penalty: float = 10.0

    def take(self, rows: Codes) -> "Aim":
        """Return the aim of some of the designs."""
        return Aim(self.origin, self.spread, self.target[rows], self.weight[rows], self.penalty)

    def parts(self, costs: Array) -> Array:
        """Return the weighted distance in each objective; shape of `costs`, design first."""
        shape = (len(self.target), *(1,) * (costs.ndim - 2), -1)
        target, weight = self.target.reshape(shape), self.weight.reshape(shape)
        scaled = (costs - self.origin) / self.spread
        return np.asarray((scaled - target) / weight, dtype=np.float64)

    def distance(self, costs: Array, violations: Array) -> Array:
        """Return what is to be made small; shape of `costs` without the objective."""
        distance = self.parts(costs).max(axis=-1)
        if violations.shape[-1]:
            distance = distance + self.penalty * np.maximum(violations.max(axis=-1) + KEEP, 0.0)
        return np.asarray(distance, dtype=np.float64)


Score = Callable[[Array], Points]
"""Scores genes of shape (design, variable)."""


def round_cost(cube: Cube) -> int:
    """Return how many designs one round tries for each design it moves."""
    return len(cube.smooth) + len(LENGTHS)


def descend(cube: Cube, score: Score, starts: Points, aim: Aim, rounds: int) -> Points:
    """
    Move designs towards their aims along gradients.

    Parameters
    ----------
    cube : Cube
        The space; only its smooth axes are moved along.
    score : callable
        Scores genes; called twice a round.
    starts : Points
        Where to begin.
    aim : Aim
        Where each shall go.
    rounds : int
        Most rounds. Each tries `round_cost` designs for each that still moves.

    Returns
    -------
    Points
        Where they came to; none is farther from its aim than it was.

    Notes
    -----
    Each round takes forward differences, updates a damped BFGS curvature of the Lagrangian, solves
    a quadratic program in the step, the largest weighted distance and the largest miss within a
    box, and tries some lengths of the step side by side. A gradient where a law does not hold
    counts as nought.

    References
    ----------
    Nocedal, Wright, "Numerical Optimization", 2nd ed. (2006), procedure 18.2 (damped BFGS) and
    section 18.5 (elastic quadratic programs within a trust region).
    """
    walk = _Walk(cube, score, starts, aim)
    for _ in range(rounds):
        if not len(walk.alive):
            break
        walk.advance()
    return walk.now


class _Walk:
    """Where all designs stand; rows of every array are those of the starts."""

    def __init__(self, cube: Cube, score: Score, starts: Points, aim: Aim) -> None:
        rows, size = len(starts), len(cube.smooth)
        self.cube, self.score, self.aim = cube, score, aim
        self.now = starts
        self.alive = np.arange(rows, dtype=np.int64)
        self.curvature = np.repeat(np.eye(size)[None], rows, axis=0)
        self.radius = np.full(rows, RADIUS)
        self.idle = np.zeros(rows, dtype=np.int64)
        self.slopes = np.zeros((rows, starts.costs.shape[1] + starts.violations.shape[1], size))
        self.prices = np.zeros(self.slopes.shape[:2])
        self.moved = np.zeros((rows, size))

    def advance(self) -> None:
        """Go one round."""
        alive = self.alive
        slopes = self._slopes()
        self._bend(slopes)
        self.slopes[alive] = slopes
        step, self.prices[alive] = self._step(slopes)
        moved, length = self._try(step)
        gone = length >= 0
        self.moved[alive] = moved
        full = gone & (length == 0)
        self.radius[alive[full]] = np.minimum(self.radius[alive[full]] * WIDER, WIDEST)
        self.radius[alive[~gone]] *= NARROWER
        self.alive = alive[(self.idle[alive] < IDLE) & (self.radius[alive] > LEAST_RADIUS)]

    def _slopes(self) -> Array:
        """Return gradients of distances and violations, shape (alive, objective + limit, axis)."""
        now = self.now.take(self.alive)
        jacobian = slopes(self.cube, self.score, now)
        aim = self.aim.take(self.alive)
        wanted = now.costs.shape[1]
        jacobian[:, :wanted] /= (aim.spread * aim.weight)[:, :, None]
        return jacobian

    def _bend(self, slopes: Array) -> None:
        """Update the curvatures of those that moved, damped so that they stay positive."""
        rows = self.alive
        moved = self.moved[rows]
        change = np.einsum("rp,rpn->rn", self.prices[rows], slopes - self.slopes[rows])
        before = self.curvature[rows]
        bent = damped_update(before, moved, change)
        usable = np.isfinite(bent).all(axis=(1, 2)) & (np.abs(bent).max(axis=(1, 2)) < STEEPEST)
        usable &= np.any(moved != 0.0, axis=1)
        self.curvature[rows[usable]] = bent[usable]

    def _step(self, slopes: Array) -> tuple[Array, Array]:
        """Solve for the step, shape (alive, axis), and for the price of each objective, limit."""
        rows = self.alive
        now, aim = self.now.take(rows), self.aim.take(rows)
        here = now.genes[:, self.cube.smooth]
        radius = self.radius[rows, None]
        room = (np.minimum(here, radius), np.minimum(1.0 - here, radius))
        parts = aim.parts(now.costs)
        ahead = np.concatenate(
            [parts.max(axis=1, keepdims=True) - parts, -now.violations - 2.0 * KEEP], axis=1
        )
        wanted = parts.shape[1]
        kept = within_reach(slopes, ahead, room, wanted)
        programs = _programs(
            self.curvature[rows],
            np.take_along_axis(slopes, kept[:, :, None], axis=1),
            np.take_along_axis(ahead, kept, axis=1),
            room,
            (wanted, aim.penalty),
        )
        unknowns, paid = quadratic.solve(programs)
        step = np.nan_to_num(unknowns[:, : here.shape[1]])
        prices = np.zeros(ahead.shape)
        np.put_along_axis(prices, kept, np.nan_to_num(paid[:, : kept.shape[1]]), axis=1)
        return np.clip(step, -room[0], room[1]), prices

    def _try(self, step: Array) -> tuple[Array, Codes]:
        """Take the best length of each step; return what was gone, and which length, -1 if none.

        A design that nears its aim by little counts as idle.
        """
        rows = self.alive
        now, aim = self.now.take(rows), self.aim.take(rows)
        count, axes = step.shape
        smooth = self.cube.smooth
        genes = np.repeat(now.genes, len(LENGTHS), axis=0)
        tried = (LENGTHS[None, :, None] * step[:, None, :]).reshape(-1, axes)
        genes[:, smooth] = np.clip(genes[:, smooth] + tried, 0.0, 1.0)
        found = self.score(genes)
        before = aim.distance(now.costs, now.violations)
        shape = (count, len(LENGTHS), -1)
        after = aim.distance(found.costs.reshape(shape), found.violations.reshape(shape))
        length = after.argmin(axis=1)
        best = np.arange(count) * len(LENGTHS) + length
        gain = before - after.min(axis=1)
        better: Flags = gain > 0.0
        self.idle[rows] = np.where(gain < LEAST_GAIN, self.idle[rows] + 1, 0)
        self._accept(rows[better], found.take(best[better]))
        moved = np.where(better[:, None], genes[best][:, smooth] - now.genes[:, smooth], 0.0)
        return moved, np.where(better, length, -1)

    def _accept(self, rows: Codes, found: Points) -> None:
        now = self.now.take(np.arange(len(self.now)))
        for mine, theirs in zip(vars(now).values(), vars(found).values(), strict=True):
            mine[rows] = theirs
        self.now = now


def slopes(cube: Cube, score: Score, at: Points, step: float = STEP) -> Array:
    """
    Take gradients by differences to one side, and to the other at the bound there.

    Parameters
    ----------
    cube : Cube
        The space.
    score : callable
        Scores genes; called once.
    at : Points
        Where.
    step : float
        Width of the differences, share of the range of a variable; below 0 they look down.

    Returns
    -------
    Array
        Shape (design, objective + limit, smooth axis); of costs, then of violations, by unit
        scale; 0 where either side has no value.
    """
    smooth = cube.smooth
    count, axes = len(at), len(smooth)
    genes = np.repeat(at.genes[:, None, :], axes, axis=1)
    beyond = at.genes[:, smooth] + step
    change = np.where((beyond > 1.0) | (beyond < 0.0), -step, step)
    place = np.arange(axes)
    genes[:, place, smooth] += change
    beside = score(genes.reshape(count * axes, -1))
    defined = beside.defined.reshape(count, axes, 1) & at.defined[:, None, None]
    here = np.concatenate([at.costs, at.violations], axis=1)
    there = np.concatenate([beside.costs, beside.violations], axis=1)
    rise = there.reshape(count, axes, -1) - here[:, None, :]
    slope = np.where(defined, rise / change[:, :, None], 0.0)
    return np.ascontiguousarray(np.swapaxes(slope, 1, 2))


def damped_update(curvature: Array, moved: Array, change: Array) -> Array:
    """
    Update curvatures by what the gradients changed along a step.

    Parameters
    ----------
    curvature : Array
        Shape (row, axis, axis), positive definite.
    moved, change : Array
        Shape (row, axis): the step, and the change of the gradient along it.

    Returns
    -------
    Array
        The same shape, positive definite still; NaN where nothing moved.

    References
    ----------
    Nocedal, Wright, "Numerical Optimization", 2nd ed. (2006), procedure 18.2.

    Examples
    --------
    >>> damped_update(np.eye(1)[None], np.array([[2.0]]), np.array([[6.0]]))
    array([[[3.]]])
    """
    ahead = np.einsum("rij,rj->ri", curvature, moved)
    own = np.sum(moved * ahead, axis=1)
    seen = np.sum(moved * change, axis=1)
    with np.errstate(all="ignore"):
        share = np.where(seen >= 0.2 * own, 1.0, 0.8 * own / (own - seen))[:, None]
        used = share * change + (1.0 - share) * ahead
        lost = ahead[:, :, None] * ahead[:, None, :] / own[:, None, None]
        won = used[:, :, None] * used[:, None, :] / np.sum(moved * used, axis=1)[:, None, None]
        return np.asarray(curvature - lost + won, dtype=np.float64)


def within_reach(slopes: Array, ahead: Array, room: tuple[Array, Array], wanted: int) -> Codes:
    """
    Find the objectives and limits that a step can come to.

    Parameters
    ----------
    slopes : Array
        Shape (row, side, axis): of the objectives, then of the limits.
    ahead : Array
        Shape (row, side): what each may rise by before it counts; below 0 for a limit missed.
    room : tuple of Array
        Shape (row, axis) each: how far a step may go down and up.
    wanted : int
        Number of the objectives, which all have a say.

    Returns
    -------
    Codes
        Shape (row, kept): the sides, as many for each row as any has. The others would change no
        step: limits that are kept and lie farther off than the room goes.
    """
    down, up = room
    rise = quadratic.times(np.maximum(slopes, 0.0), up) - quadratic.times(
        np.minimum(slopes, 0.0), down
    )
    over = rise - ahead
    over[:, :wanted] = np.inf
    most = max(wanted, int((over > 0.0).sum(axis=1).max()))
    return np.argsort(-over, axis=1, kind="stable")[:, :most]


def _programs(
    curvature: Array,
    slopes: Array,
    ahead: Array,
    room: tuple[Array, Array],
    wanted: tuple[int, float],
) -> QuadraticPrograms:
    """Set up the programs in the step, the largest distance and the largest miss.

    `ahead` is what each objective and limit may rise by before it counts; `room` what a step may
    go down and up; `wanted` the number of objectives and the penalty of a miss.
    """
    rows, sides, axes = slopes.shape
    objectives, penalty = wanted
    matrix = np.zeros((rows, axes + 2, axes + 2))
    matrix[:, :axes, :axes] = curvature
    place = np.arange(axes + 2)
    matrix[:, place, place] += np.where(place < axes, 1e-6, 1e-8)
    slope = np.zeros((rows, axes + 2))
    slope[:, axes], slope[:, axes + 1] = 1.0, penalty
    edges = np.zeros((rows, sides + 1, axes + 2))
    edges[:, :sides, :axes] = slopes
    edges[:, :objectives, axes] = -1.0
    edges[:, objectives:, axes + 1] = -1.0
    bounds = np.concatenate([ahead, np.zeros((rows, 1))], axis=1)
    return QuadraticPrograms(matrix, slope, edges, bounds, *room)
