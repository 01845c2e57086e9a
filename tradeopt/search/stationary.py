"""How near designs are to where no small change is better, and what each limit costs them."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tradeopt.arrays import Array, Codes, Flags
from tradeopt.search import front as fronts
from tradeopt.search import quadratic, space
from tradeopt.search.cube import Cube
from tradeopt.search.descent import STEP, slopes
from tradeopt.search.designs import Designs, Outline
from tradeopt.search.points import Points, points
from tradeopt.search.quadratic import QuadraticPrograms
from tradeopt.search.targets import scale_of
from tradeopt.study.problem import Problem, score_pieces

ACTIVE = 1e-3
"""How near a limit is, as a share of its scale, to count as one that holds a design back."""

EDGE = 1e-3
"""The same for the bound of a variable, as a share of its range."""

STATIONARY = 0.02
"""Residual below which a design counts as stationary: going through the whole range of a variable
would win it no more than this share of the spread of the front."""

LEAST_WEIGHT = 1e-6
"""Weight below which an objective does not count for a design."""

FLAT = 1e-8
"""Slope, in spreads of the front by the range of a variable, below which there is none: far below
what the curvature about a smooth minimum makes of the width of a difference."""

SHARE = 0.1
"""Share of the designs of a run that may be tried again for certifying its front."""

LEAST_LOOKED_AT = 50
"""Designs of a front that are certified however short the run was."""

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


def looked_at(outline: Outline, tried: int) -> int:
    """
    Say how many designs of a front are certified.

    Parameters
    ----------
    outline : Outline
        The study.
    tried : int
        Designs that the run has tried.

    Returns
    -------
    int
        As many as cost `SHARE` of that, but not fewer than `LEAST_LOOKED_AT`.
    """
    return max(LEAST_LOOKED_AT, int(SHARE * tried) // certifying_cost(outline))


def certifying_cost(outline: Outline) -> int:
    """Return how many designs are tried to certify one."""
    return 1 + 2 * len(Cube(outline.variables).smooth)


def certify(problem: Problem, front: Designs, part: tuple[int, int], most: int) -> Certificate:
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
    most : int
        How many designs of the front to look at, spread out, over all parts.

    Returns
    -------
    Certificate
        Of each so many-th of these designs; those out of bounds are left out, and all of them
        where every variable is a choice, for then there is no small change.

    Notes
    -----
    Discrete choices are held, for they have no gradient: the certificate says nothing of another
    choice. A limit is taken in its parts, each of which is smooth where the limit itself has a
    kink. Where a cost or a part still has one, such as a range that stands still while the robot
    does, differences to both sides are two slopes that may be mixed. An objective that is flat
    both ways cannot vouch for a design and has no weight.

    References
    ----------
    Miettinen, "Nonlinear Multiobjective Optimization" (1999), theorem 3.1.5: the necessary
    conditions of Karush, Kuhn and Tucker with weights for the objectives.
    """
    cube = Cube(problem.variables)
    if not len(cube.smooth):
        return no_certificate(problem)
    first, parts = part
    costs = fronts.minimised(front.objectives, problem.objectives)
    chosen = front.take(fronts.spread_out(costs, most)[first::parts])
    kept = chosen.take(space.inside(chosen.values, problem.variables))
    _, spread = scale_of(costs)
    batches = np.split(np.arange(len(kept)), np.arange(BATCH, len(kept), BATCH))
    found = [_certificate(problem, cube, kept.take(rows), spread) for rows in batches if len(rows)]
    return joined([no_certificate(problem), *found])


def joined(parts: Sequence[Certificate]) -> Certificate:
    """Put certificates under each other; one or more."""
    return Certificate(
        np.concatenate([one.numbers for one in parts]),
        np.concatenate([one.residual for one in parts]),
        np.concatenate([one.weights for one in parts]),
        np.concatenate([one.prices for one in parts]),
    )


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


def _certificate(problem: Problem, cube: Cube, designs: Designs, spread: Array) -> Certificate:
    """Take the gradients of some designs and of every part of their limits."""
    owners = np.empty(0, dtype=np.int64)

    def score(genes: Array) -> Points:
        nonlocal owners
        scores, parts = score_pieces(problem, cube.to_values(genes))
        owners = parts.limits
        costs = fronts.minimised(scores.objectives, problem.objectives)
        return points(genes, costs, parts.violations, np.zeros(len(genes), dtype=np.int64))

    at = score(cube.to_genes(designs.values))
    sides = [slopes(cube, score, at, step) for step in (STEP, -STEP)]
    residual, weights, prices = _conditions(cube, np.stack(sides, axis=1), at, spread)
    part_of = np.equal(owners[:, None], np.arange(len(problem.limits))).astype(np.float64)
    return Certificate(designs.numbers, residual, weights, prices @ part_of)


def _conditions(cube: Cube, sides: Array, at: Points, spread: Array) -> tuple[Array, Array, Array]:
    """Weigh the gradients so that as little as can be is left of their sum.

    `sides` are the slopes to both sides, shape (design, side, objective + part, axis). A quadratic
    program in the weights: none negative, those of the objectives add up to 1, those of limits and
    bounds that do not hold the design back are 0.
    """
    wanted, (counted, axes) = len(spread), sides.shape[2:]
    sides = sides.copy()
    sides[:, :, :wanted] /= spread[:, None]
    steep = np.abs(sides[:, :1]) >= np.abs(sides[:, 1:])
    ordered = np.where(steep, sides, sides[:, ::-1])  # first the steeper side of each axis
    here = at.genes[:, cube.smooth]
    eye = np.broadcast_to(np.eye(axes), (len(at), axes, axes))
    pull = np.concatenate([ordered[:, 0], ordered[:, 1], -eye, eye], axis=1)
    alive = np.abs(ordered[:, 0, :wanted]).max(axis=2) > FLAT
    active = np.concatenate([alive, at.violations >= -ACTIVE], axis=1)
    holds = np.concatenate([active, active, here <= EDGE, here >= 1.0 - EDGE], axis=1)
    place = np.arange(holds.shape[1])
    of_cost = (place % counted < wanted) & (place < 2 * counted)
    weights = _least(pull, holds, of_cost)
    left = np.einsum("rp,rpn->rn", weights, pull)
    both = weights[:, :counted] + weights[:, counted : 2 * counted]
    return np.linalg.norm(left, axis=1), both[:, :wanted], both[:, wanted:]


def _least(pull: Array, holds: Flags, of_cost: Flags) -> Array:
    """Solve for the weights, shape (design, slope); 0 where a slope does not hold a design.

    Slopes that hold none of the designs are left out of the program; those that hold some only
    cost the others so much there that they are 0.
    """
    weights = np.zeros(holds.shape)
    used = np.flatnonzero(holds.any(axis=0) | of_cost)
    pull, holds, of_cost = pull[:, used] * holds[:, used, None], holds[:, used], of_cost[used]
    rows, count, _ = pull.shape
    matrix = pull @ np.swapaxes(pull, 1, 2)
    place = np.arange(count)
    matrix[:, place, place] += np.where(holds, 1e-9, 1e3)
    none = np.zeros((rows, count))
    together = np.where(of_cost, -1.0, 0.0) * np.ones((rows, 1, 1))
    programs = QuadraticPrograms(
        matrix, none, together, np.full((rows, 1), -1.0), below=none, above=none[:, :0]
    )
    found, _ = quadratic.solve(programs)
    # a program that broke down is left with the even mean of the costs
    found = np.where(np.isnan(found), of_cost, np.maximum(found, 0.0)) * holds
    total = found[:, of_cost].sum(axis=1, keepdims=True)
    weights[:, used] = found / np.where(total > 0.0, total, 1.0)
    return weights
