"""Where the gradient operator begins and what it aims at: ways that begin at the archive."""

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

NEWEST = 10
"""One of so many designs of the front counts as new to it."""

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
    genes = _with_other_choices(rng, cube, archive.genes[row], OTHER_CHOICE)
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


def swapped(rng: np.random.Generator, cube: Cube, archive: Points, count: int) -> Start:
    """Change discrete choices of archive designs, and aim past where each of them stood.

    Another motor is worse at first, with all that was made for the one before. It is held against
    the front only once gradients have made the rest suit it. Half of the designs try a choice that
    nobody asked for, the others take the words of a design that is new to the front.
    """
    origin, spread = scale_of(archive.costs)
    row = rng.permutation(len(archive))[:count]
    here = (archive.costs[row] - origin) / spread
    genes = _with_other_choices(rng, cube, archive.genes[row], 1.0)
    newest = np.argsort(-archive.numbers, kind="stable")[: max(1, len(archive) // NEWEST)]
    donor = archive.genes[rng.choice(newest, len(row))][:, cube.words]
    own = archive.genes[row][:, cube.words]
    adopts = np.any(donor != own, axis=1) & (np.arange(len(row)) % 2 == 1)
    genes[adopts] = archive.genes[row[adopts]]
    genes[np.ix_(adopts, cube.words)] = donor[adopts]
    return Start(genes, Aim(origin, spread, here - AHEAD, np.ones_like(here)))


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


def _with_other_choices(rng: np.random.Generator, cube: Cube, genes: Array, share: float) -> Array:
    """Change one discrete choice in a share of designs: a word to any other, a number by a step.

    No change is made twice before each was made once.
    """
    stepped = cube.numbers[cube.step > 0.0]
    changes = [
        (column, float(further), float(many))
        for column, many in zip(cube.words, cube.choices, strict=True)
        for further in range(1, many)
    ]
    changes += [
        (column, step, np.nan)
        for column, one in zip(stepped, cube.step[cube.step > 0.0], strict=True)
        for step in (one, -one)
    ]
    rows = np.flatnonzero(rng.random(len(genes)) < share)
    if not changes or not len(rows):
        return genes.copy()
    order = np.concatenate([rng.permutation(len(changes)) for _ in range(len(rows))])[: len(rows)]
    chosen = np.array(changes)[order]
    columns = chosen[:, 0].astype(np.int64)
    found = genes.copy()
    moved = found[rows, columns] + chosen[:, 1]
    found[rows, columns] = np.where(np.isnan(chosen[:, 2]), moved, moved % chosen[:, 2])
    return cube.snapped(found)
