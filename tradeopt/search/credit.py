"""Which operator comes next: each has the share that its gains have earned."""

import numpy as np

from tradeopt.arrays import Array

FLOOR = 0.06
"""Least share of each operator, so that one which is weak now can still show itself later."""

MEMORY = 0.6
"""Weight of what was known of an operator against what it gained last."""

FADING = 0.97
"""What the gain of the others is multiplied by each time, as all gains shrink in a search."""


def shares(gains: Array) -> Array:
    """
    Share the evaluations between the operators.

    Parameters
    ----------
    gains : Array
        Shape (operator,): hypervolume gained by each evaluation.

    Returns
    -------
    Array
        Shape (operator,): adds up to 1, none below `FLOOR`.

    Examples
    --------
    >>> shares(np.array([3.0, 1.0, 0.0])).round(4)
    array([0.675, 0.265, 0.06 ])
    >>> shares(np.zeros(4))
    array([0.25, 0.25, 0.25, 0.25])
    """
    total = gains.sum()
    even = np.full(len(gains), 1.0 / len(gains))
    return np.asarray(
        FLOOR + (1.0 - FLOOR * len(gains)) * (gains / total if total > 0.0 else even)
    )


def choose(rng: np.random.Generator, gains: Array, first: int) -> int:
    """
    Choose the operator to use next.

    Parameters
    ----------
    rng : Generator
        Chance.
    gains : Array
        Shape (operator,); NaN for one that was not used yet.
    first : int
        Where to begin with those not used yet, so that islands begin with others.

    Returns
    -------
    int
        One that was not used yet; else one drawn by its share.
    """
    order = (np.arange(len(gains)) + first) % len(gains)
    unused = order[np.isnan(gains[order])]
    if len(unused):
        return int(unused[0])
    return int(rng.choice(len(gains), p=shares(gains)))


def credited(gains: Array, used: int, gain: float) -> Array:
    """
    Book what an operator gained.

    Parameters
    ----------
    gains : Array
        Shape (operator,): what is known.
    used : int
        Which operator was used.
    gain : float
        What it gained by each evaluation.

    Returns
    -------
    Array
        Shape (operator,): what is known now.
    """
    known = gains[used]
    after = gains * FADING
    after[used] = gain if np.isnan(known) else MEMORY * known + (1.0 - MEMORY) * gain
    return np.asarray(after, dtype=np.float64)


def merged(gains: list[Array], before: Array) -> Array:
    """
    Put together what several islands know.

    Parameters
    ----------
    gains : list of Array
        Shape (operator,) each; NaN where one was not used.
    before : Array
        What was known before, kept where none has used an operator.

    Returns
    -------
    Array
        Shape (operator,): the mean over those that know.
    """
    told = np.array([before, *gains])[1:]
    known = ~np.isnan(told)
    count = known.sum(axis=0)
    total = np.where(known, told, 0.0).sum(axis=0)
    return np.asarray(np.where(count > 0, total / np.maximum(count, 1), before))
