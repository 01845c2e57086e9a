"""Where the gradient operator begins and what it aims at: four ways, each from the archive."""

from dataclasses import dataclass

import numpy as np

from tradeopt.arrays import Array
from tradeopt.search.cube import Cube
from tradeopt.search.descent import Aim
from tradeopt.search.points import Points

OTHER_CHOICE = 0.15
"""Share of the starts in which one discrete choice is changed."""

AHEAD = 0.05
"""How far before the best of each objective the common target lies, in spreads."""

LEAST_WEIGHT = 1e-2
"""Least weight of an objective: even a search for one extreme looks a little at the others."""

CORNERS = 0.25
"""Share of the directions that lean to the edges of the front."""

JITTER = 0.05
"""Scatter of targets about the starts of `mix`, in spreads."""

NO_COST = 1e6
"""Weight under which costs no longer count beside a miss."""


@dataclass(frozen=True)
class Start:
    """Where to begin and what to aim at.

    Attributes
    ----------
    genes : Array
        Shape (design, variable).
    aim : Aim
        What each is to come to.
    """

    genes: Array
    aim: Aim


def scale_of(costs: Array) -> tuple[Array, Array]:
    """Return the least of each cost and the spread, 1 where there is none; shape (objective,)."""
    origin, spread = costs.min(axis=0), np.ptp(costs, axis=0)
    return origin, np.where(spread > 0.0, spread, 1.0)


def toward_directions(rng: np.random.Generator, cube: Cube, archive: Points, count: int) -> Start:
    """Aim at directions of the trade drawn at random, each from the best design for it.

    The target lies before the best of every objective, so that bent parts of the front are
    reached too; Pascoletti, Serafini, J. Optim. Theory Appl. 42:499-524 (1984).
    """
    origin, spread = scale_of(archive.costs)
    scaled = (archive.costs - origin) / spread
    weight = _directions(rng, count, scaled.shape[1])
    distance = ((scaled[None] + AHEAD) / weight[:, None]).max(axis=2)
    row = distance.argmin(axis=1)
    genes = _with_other_choices(rng, cube, archive.genes[row])
    aim = Aim(origin, spread, np.full_like(weight, -AHEAD), weight)
    return Start(genes, aim)


def mixed(rng: np.random.Generator, _cube: Cube, archive: Points, count: int) -> Start:
    """Aim a little past archive designs drawn at random, with weights drawn at random."""
    origin, spread = scale_of(archive.costs)
    row = rng.permutation(len(archive))[:count]
    here = (archive.costs[row] - origin) / spread
    weight = np.exp(rng.normal(0.0, 0.5, here.shape))
    target = here + rng.normal(0.0, JITTER, here.shape)
    aim = Aim(origin, spread, target, weight / weight.mean(axis=1, keepdims=True))
    return Start(archive.genes[row], aim)


def into_gaps(rng: np.random.Generator, cube: Cube, archive: Points, count: int) -> Start:
    """Aim at the middle between neighbours of the front that lie farthest from each other."""
    origin, spread = scale_of(archive.costs)
    scaled = (archive.costs - origin) / spread
    looked = rng.permutation(len(archive))[: 4 * count]
    apart = np.linalg.norm(scaled[looked, None] - scaled[None], axis=2)
    apart[np.arange(len(looked)), looked] = np.inf
    near = np.argsort(apart, axis=1, kind="stable")[:, : scaled.shape[1] + 1]
    near = near[:, : max(1, len(archive) - 1)]
    gap = np.take_along_axis(apart, near[:, -1:], axis=1)[:, 0]
    widest = np.argsort(-gap, kind="stable")[:count]
    one = looked[widest]
    other = near[widest, rng.integers(0, near.shape[1], len(widest))]
    genes = archive.genes[one].copy()
    alike = np.all(genes[:, cube.words] == archive.genes[other][:, cube.words], axis=1)
    genes[alike] = cube.snapped(0.5 * (genes + archive.genes[other]))[alike]
    weight = np.exp(rng.normal(0.0, 0.3, (len(one), scaled.shape[1])))
    aim = Aim(origin, spread, 0.5 * (scaled[one] + scaled[other]), weight)
    return Start(genes, aim)


def to_feasible(population: Points, count: int) -> Start:
    """Aim the designs that miss least at keeping every limit, whatever they cost."""
    row = np.argsort(population.misses, kind="stable")[:count]
    chosen = population.costs[row]
    flat = np.full(chosen.shape[1], NO_COST)
    aim = Aim(chosen.min(axis=0), flat, np.zeros_like(chosen), np.ones_like(chosen), 1.0)
    return Start(population.genes[row], aim)


def _directions(rng: np.random.Generator, count: int, objectives: int) -> Array:
    """Draw weights that add up to 1, most from all of the simplex, some nearer to its edges."""
    weight = rng.dirichlet(np.ones(objectives), count)
    edged = rng.random(count) < CORNERS
    weight[edged] = rng.dirichlet(np.full(objectives, 0.25), int(edged.sum()))
    weight = np.maximum(weight, LEAST_WEIGHT)
    return np.asarray(weight / weight.sum(axis=1, keepdims=True), dtype=np.float64)


def _with_other_choices(rng: np.random.Generator, cube: Cube, genes: Array) -> Array:
    """Change one discrete choice in some designs."""
    genes = genes.copy()
    stepped = cube.numbers[cube.step > 0.0]
    discrete = np.concatenate([cube.words, stepped])
    changed = (rng.random(len(genes)) < OTHER_CHOICE) & (len(discrete) > 0)
    elsewhere = cube.anywhere(rng, len(genes))
    column = rng.integers(0, max(1, len(discrete)), len(genes))
    rows = np.flatnonzero(changed)
    columns = discrete[column[rows]]
    genes[rows, columns] = elsewhere[rows, columns]
    return genes
