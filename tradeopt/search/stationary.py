"""How near designs are to where no small change is better, and what each limit costs them."""

from dataclasses import dataclass

import numpy as np

from tradeopt.arrays import Array, Codes, Flags
from tradeopt.search import front as fronts
from tradeopt.search import quadratic, space
from tradeopt.search.cube import Cube
from tradeopt.search.descent import slopes
from tradeopt.search.designs import Designs, Outline
from tradeopt.search.points import Points, points
from tradeopt.search.quadratic import QuadraticPrograms
from tradeopt.search.targets import scale_of
from tradeopt.study.problem import Problem

ACTIVE = 1e-3
"""How near a limit is, as a share of its scale, to count as one that holds a design back."""

EDGE = 1e-3
"""The same for the bound of a variable, as a share of its range."""

STATIONARY = 0.02
"""Residual below which a design counts as stationary: going through the whole range of a variable
would win it no more than this share of the spread of the front."""

LEAST_WEIGHT = 1e-6
"""Weight below which an objective does not count for a design."""

BATCH = 16
"""Designs whose gradients are taken at once."""


@dataclass(frozen=True)
class Certificate:
    """First-order conditions of designs of a front.

    Attributes
    ----------
    numbers : Codes
        Shape (design,): which designs.
    residual : Array
        Shape (design,): length of what is left of the gradients when they are weighed against each
        other as well as can be; in spreads of the front by the range of a variable. 0 where no
        small change of the smooth variables is better in all objectives and keeps all limits.
    weights : Array
        Shape (design, objective): weights, which add up to 1, of the objectives at their spread.
    prices : Array
        Shape (design, limit): multipliers of the limits on the same scale; 0 for one that does
        not hold the design back.
    """

    numbers: Codes
    residual: Array
    weights: Array
    prices: Array

    @property
    def stationary(self) -> Flags:
        """Shape (design,): True where no small change is worth making."""
        return self.residual <= STATIONARY


def certify(problem: Problem, front: Designs, part: tuple[int, int]) -> Certificate:
    """
    Hold a part of a front against the first-order conditions.

    Parameters
    ----------
    problem : Problem
        The study.
    front : Designs
        The whole front, which gives the spread of the objectives.
    part : tuple of int
        Which part, from 0, of how many.

    Returns
    -------
    Certificate
        Of each so many-th design of the front; those out of bounds are left out.

    Notes
    -----
    Discrete choices are held, for they have no gradient: the certificate says nothing of another
    choice. Where a quantity has a kink, as the largest of several has, the gradient of one side
    alone is seen, and a design that sits in the kink can fail though nothing beats it nearby.

    References
    ----------
    Miettinen, "Nonlinear Multiobjective Optimization" (1999), theorem 3.1.5: the necessary
    conditions of Karush, Kuhn and Tucker with weights for the objectives.
    """
    cube = Cube(problem.variables)
    first, parts = part
    chosen = front.take(np.arange(len(front))[first::parts])
    _, spread = scale_of(fronts.minimised(front.objectives, problem.objectives))
    at = _points(problem, cube, chosen)
    found = [
        _conditions(cube, _slopes(problem, cube, at.take(rows)), at.take(rows), spread)
        for rows in np.split(np.arange(len(at)), np.arange(BATCH, len(at), BATCH))
        if len(rows)
    ]
    none = no_certificate(problem)
    nothing = (none.residual, none.weights, none.prices)
    residual, weights, prices = (
        np.concatenate(column) for column in zip(nothing, *found, strict=True)
    )
    return Certificate(at.numbers, residual, weights, prices)


def no_certificate(outline: Outline) -> Certificate:
    """Make a certificate of no designs."""
    return Certificate(
        np.empty(0, dtype=np.int64),
        np.empty(0),
        np.empty((0, len(outline.objectives))),
        np.empty((0, len(outline.limits))),
    )


def limit_prices(problem: Problem, front: Designs, certificate: Certificate) -> Array:
    """
    Say what one unit of each limit is worth in each objective.

    Parameters
    ----------
    problem : Problem
        The study.
    front : Designs
        The whole front.
    certificate : Certificate
        Of some of its designs.

    Returns
    -------
    Array
        Shape (design, limit, objective): how much better the objective gets, in its SI unit, by SI
        unit that the limit is relaxed by, the other objectives held; NaN where the objective has
        no weight.
    """
    _, spread = scale_of(fronts.minimised(front.objectives, problem.objectives))
    scale = np.array([limit.scale for limit in problem.limits])
    with np.errstate(divide="ignore", invalid="ignore"):
        worth = certificate.prices[:, :, None] / certificate.weights[:, None, :]
    worth = np.where(certificate.weights[:, None, :] > LEAST_WEIGHT, worth, np.nan)
    return np.asarray(worth * spread / scale[:, None], dtype=np.float64)


def _points(problem: Problem, cube: Cube, designs: Designs) -> Points:
    kept = designs.take(space.inside(designs.values, problem.variables))
    costs = fronts.minimised(kept.objectives, problem.objectives)
    return points(cube.to_genes(kept.values), costs, kept.violations, kept.numbers)


def _slopes(problem: Problem, cube: Cube, at: Points) -> Array:
    def score(genes: Array) -> Points:
        scores = problem.score(cube.to_values(genes))
        costs = fronts.minimised(scores.objectives, problem.objectives)
        return points(genes, costs, scores.violations, np.zeros(len(genes), dtype=np.int64))

    return slopes(cube, score, at)


def _conditions(cube: Cube, slope: Array, at: Points, spread: Array) -> tuple[Array, Array, Array]:
    """Weigh the gradients so that as little as can be is left of their sum.

    A quadratic program in the weights: none negative, those of the objectives add up to 1, those
    of limits and bounds that do not hold the design back are 0.
    """
    wanted, limits = len(spread), at.violations.shape[1]
    axes = len(cube.smooth)
    slope = slope.copy()
    slope[:, :wanted] /= spread[:, None]
    here = at.genes[:, cube.smooth]
    eye = np.broadcast_to(np.eye(axes), (len(at), axes, axes))
    pull = np.concatenate([slope, -eye, eye], axis=1)
    holds = np.concatenate(
        [
            np.ones((len(at), wanted), dtype=np.bool_),
            at.violations >= -ACTIVE,
            here <= EDGE,
            here >= 1.0 - EDGE,
        ],
        axis=1,
    )
    pull = np.where(holds[:, :, None], pull, 0.0)
    weights = _least(pull, holds, wanted)
    left = np.einsum("rp,rpn->rn", weights, pull)
    residual = np.linalg.norm(left, axis=1)
    prices = np.where(holds, weights, 0.0)[:, wanted : wanted + limits]
    return residual, weights[:, :wanted], prices


def _least(pull: Array, holds: Flags, wanted: int) -> Array:
    """Solve for the weights; those that must be 0 cost so much that they are."""
    rows, count, _ = pull.shape
    matrix = pull @ np.swapaxes(pull, 1, 2)
    place = np.arange(count)
    matrix[:, place, place] += np.where(holds, 1e-9, 1.0)
    sides = np.zeros((rows, count + 1, count))
    sides[:, place, place] = -1.0
    sides[:, count, :wanted] = -1.0
    bounds = np.zeros((rows, count + 1))
    bounds[:, count] = -1.0
    weights, _ = quadratic.solve(QuadraticPrograms(matrix, np.zeros((rows, count)), sides, bounds))
    weights = np.maximum(np.nan_to_num(weights, nan=1.0 / count), 0.0)
    total = weights[:, :wanted].sum(axis=1, keepdims=True)
    return np.asarray(weights / np.where(total > 0.0, total, 1.0), dtype=np.float64)
