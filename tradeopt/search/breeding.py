"""Children of designs that live: crossing, differences, and mutation; all on genes."""

import numpy as np

from tradeopt.arrays import Array, Codes, Flags
from tradeopt.search.cube import Cube
from tradeopt.search.points import Points

CROSSING = 15.0
"""Distribution index of crossing: the larger, the nearer are children to their parents."""

MUTATION = 20.0
"""Distribution index of mutation."""

ANYWHERE = 0.1
"""Share of the mutations that go anywhere: parts of a front may lie far from all that is known."""

HALF = 0.5


def tournament(rng: np.random.Generator, rank: Array, count: int) -> Codes:
    """
    Choose parents: of two drawn at random the better one.

    Parameters
    ----------
    rng : Generator
        Chance.
    rank : Array
        Shape (design,): less is better.
    count : int
        How many to choose.

    Returns
    -------
    Codes
        Shape (count,): their places.
    """
    one, other = rng.integers(0, len(rank), (2, count))
    return np.asarray(np.where(rank[one] <= rank[other], one, other), dtype=np.int64)


def crossed(rng: np.random.Generator, cube: Cube, parents: Points, rank: Array) -> Array:
    """
    Breed as many children as there are parents by simulated binary crossover.

    Parameters
    ----------
    rng : Generator
        Chance.
    cube : Cube
        The space.
    parents : Points
        The designs that live.
    rank : Array
        Shape (design,): less is better.

    Returns
    -------
    Array
        Shape (design, variable): genes, mutated.

    References
    ----------
    Deb, Agrawal, "Simulated binary crossover for continuous search space", Complex Systems
    9:115-148 (1995).
    """
    count = len(parents)
    one, other = (
        parents.genes[tournament(rng, rank, count)],
        parents.genes[tournament(rng, rank, count)],
    )
    chance = rng.random(one.shape)
    power = 1.0 / (CROSSING + 1.0)
    spread = np.where(chance <= HALF, (2.0 * chance) ** power, (2.0 * (1.0 - chance)) ** -power)
    spread = np.where(_coins(rng, one.shape), spread, 1.0)
    swapped = _coins(rng, one.shape)
    near, far = np.where(swapped, other, one), np.where(swapped, one, other)
    children = np.where(spread == 1.0, one, 0.5 * ((1.0 + spread) * near + (1.0 - spread) * far))
    return _finished(rng, cube, children, (one, other))


def differed(rng: np.random.Generator, cube: Cube, parents: Points, rank: Array) -> Array:
    """
    Breed as many children as there are parents by adding differences of two others.

    Parameters
    ----------
    rng : Generator
        Chance.
    cube : Cube
        The space.
    parents : Points
        The designs that live.
    rank : Array
        Shape (design,): less is better.

    Returns
    -------
    Array
        Shape (design, variable): genes, mutated.

    References
    ----------
    Storn, Price, "Differential evolution", J. Glob. Optim. 11:341-359 (1997).
    """
    count = len(parents)
    base = parents.genes[tournament(rng, rank, count)]
    first, second = parents.genes[rng.integers(0, count, (2, count))]
    reach = np.where(_coins(rng, (count, 1)), 0.5, rng.uniform(0.1, 0.9, (count, 1)))
    often = np.where(_coins(rng, (count, 1)), 1.0, 0.3)
    taken = rng.random(base.shape) < often
    taken[np.arange(count), rng.integers(0, base.shape[1], count)] = True
    children = np.where(taken, base + reach * (first - second), base)
    return _finished(rng, cube, children, (base, first))


def _finished(
    rng: np.random.Generator, cube: Cube, children: Array, parents: tuple[Array, Array]
) -> Array:
    """Give each child a word of either parent, mutate it, and put it in the cube."""
    one, other = parents
    words, numbers = cube.words, cube.numbers
    mixed = np.where(_coins(rng, children.shape), one, other)
    children[:, words] = mixed[:, words]
    seldom = 1.0 / children.shape[1]
    new = rng.integers(0, cube.choices, (len(children), len(words)))
    children[:, words] = np.where(rng.random(new.shape) < seldom, new, children[:, words])
    genes = children[:, numbers]
    mutated = rng.random(genes.shape) < seldom
    moved = genes + _mutation(rng, genes.shape, cube.step)
    far = rng.random(genes.shape) < ANYWHERE
    genes = np.where(mutated, np.where(far, rng.random(genes.shape), moved), genes)
    children[:, numbers] = _reflected(rng, genes)
    return cube.snapped(children)


def _coins(rng: np.random.Generator, shape: tuple[int, ...]) -> Flags:
    """Toss coins."""
    return np.asarray(rng.random(shape) < HALF, dtype=np.bool_)


def _mutation(rng: np.random.Generator, shape: tuple[int, ...], step: Array) -> Array:
    """Draw polynomial mutations, of one step at least where there are steps.

    Deb, Goyal, "A combined genetic adaptive search (GeneAS)", Comput. Sci. Inform. 26:30-45
    (1996).
    """
    chance = rng.random(shape)
    power = 1.0 / (MUTATION + 1.0)
    change = np.where(
        chance < HALF, (2.0 * chance) ** power - 1.0, 1.0 - (2.0 * (1.0 - chance)) ** power
    )
    return np.asarray(np.copysign(np.maximum(np.abs(change), step), change), dtype=np.float64)


def _reflected(rng: np.random.Generator, genes: Array) -> Array:
    """Bring what left the cube back in, somewhere between the bound and as far inside."""
    share = rng.random(genes.shape)
    genes = np.where(genes < 0.0, -genes * share, genes)
    return np.where(genes > 1.0, 1.0 - (genes - 1.0) * share, genes)
