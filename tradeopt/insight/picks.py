"""Which designs of a front to look at first."""

import numpy as np

from tradeopt.arrays import Array, Codes


def merit(costs: Array, front: Array) -> Array:
    """
    Weigh designs by shares of what the front leaves to choose.

    Parameters
    ----------
    costs : Array
        Shape (design, objective): less is better.
    front : Array
        Shape (front design, objective): the front, in the same units.

    Returns
    -------
    Array
        Shape (design,): less is better [1].

    Notes
    -----
    The mean over the objectives of (cost - least of the front)/(most - least of the front): one
    per cent of what the front spans in one objective is worth one per cent in any other.

    Examples
    --------
    >>> front = np.array([[0.0, 40.0], [2.0, 20.0], [10.0, 0.0]])
    >>> merit(front, front).round(4)
    array([0.5 , 0.35, 0.5 ])
    """
    least = front.min(axis=0)
    span = front.max(axis=0) - least
    shares = (costs - least) / np.where(span > 0.0, span, 1.0)
    return np.asarray(shares.mean(axis=1), dtype=np.float64)


def knee(front: Array) -> int:
    """
    Find the design from which any step along the front costs most for what it wins.

    Parameters
    ----------
    front : Array
        Shape (design, objective): less is better; one row or more.

    Returns
    -------
    int
        Its row: the one of the best `merit`, the first where several share it.

    Notes
    -----
    For two objectives it is the design that lies farthest from the line through the two ends of
    the front, on the side of better ones.

    References
    ----------
    Das, "On characterizing the knee of the Pareto curve based on Normal-Boundary Intersection",
    Structural Optimization 18 (1999), 107-115 (from memory).

    Examples
    --------
    >>> knee(np.array([[0.0, 40.0], [2.0, 20.0], [10.0, 0.0]]))
    1
    """
    return int(merit(front, front).argmin())


def best_in_each(front: Array) -> Codes:
    """
    Find the best design in each objective.

    Parameters
    ----------
    front : Array
        Shape (design, objective): less is better; one row or more.

    Returns
    -------
    Codes
        Shape (objective,): rows.

    Examples
    --------
    >>> best_in_each(np.array([[0.0, 40.0], [2.0, 20.0], [10.0, 0.0]]))
    array([0, 2])
    """
    return np.asarray(front.argmin(axis=0), dtype=np.int64)
