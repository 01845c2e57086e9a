"""Which designs are worth keeping: array functions of their costs and violations alone."""

from collections.abc import Sequence

import moocore
import numpy as np

from tradeopt.arrays import Array, Codes, Flags
from tradeopt.study.problem import Objective


def minimised(values: Array, objectives: Sequence[Objective]) -> Array:
    """
    Turn objectives so that less is better in every column; the one place where that is done.

    Parameters
    ----------
    values : Array
        Shape (design, objective), SI, as the quantities are.
    objectives : sequence of Objective
        Says which are wanted as high as can be.

    Returns
    -------
    Array
        Shape (design, objective): the columns wanted high with the sign turned.

    Examples
    --------
    >>> wanted = [Objective("range", "m", True), Objective("mass", "kg", False)]
    >>> minimised(np.array([[9.0, 40.0]]), wanted)
    array([[-9., 40.]])
    """
    signs = np.array([-1.0 if objective.highest else 1.0 for objective in objectives])
    return np.asarray(values * signs, dtype=np.float64)


def non_dominated(costs: Array) -> Flags:
    """
    Find the designs that no other one beats.

    Parameters
    ----------
    costs : Array
        Shape (design, objective); less is better; finite.

    Returns
    -------
    Flags
        Shape (design,): True where no other design is at least as good in every objective and
        better in one. Of designs with equal costs the first one stands.

    Examples
    --------
    >>> non_dominated(np.array([[1.0, 2.0], [2.0, 1.0], [2.0, 2.0], [1.0, 2.0]]))
    array([ True,  True, False, False])
    """
    if len(costs) == 0:
        return np.zeros(0, dtype=np.bool_)
    return np.asarray(moocore.is_nondominated(costs), dtype=np.bool_)


def standing(costs: Array, feasible: Flags) -> Flags:
    """
    Find the feasible designs that no other feasible one beats.

    Parameters
    ----------
    costs : Array
        Shape (design, objective); less is better; finite.
    feasible : Flags
        Shape (design,).

    Returns
    -------
    Flags
        Shape (design,).

    Examples
    --------
    >>> standing(np.array([[1.0], [2.0], [3.0]]), np.array([False, True, True]))
    array([False,  True, False])
    """
    stand = np.zeros(len(costs), dtype=np.bool_)
    stand[feasible] = non_dominated(costs[feasible])
    return stand


def hypervolume(costs: Array, reference: Array) -> float:
    """
    Measure how much of the objective space the designs dominate.

    Parameters
    ----------
    costs : Array
        Shape (design, objective); less is better; finite.
    reference : Array
        Shape (objective,): the corner to measure from. Designs not better than it in every
        objective add nothing.

    Returns
    -------
    float
        The volume, in the product of the objectives' units.

    Examples
    --------
    >>> hypervolume(np.array([[1.0, 2.0], [2.0, 1.0]]), np.array([3.0, 3.0]))
    3.0
    """
    if len(costs) == 0:
        return 0.0
    return float(moocore.hypervolume(costs, ref=reference))


def reference_corner(costs: Array) -> Array:
    """
    Choose the corner that the hypervolume of a run is measured from.

    Parameters
    ----------
    costs : Array
        Shape (design, objective): the first feasible designs of the run, one or more.

    Returns
    -------
    Array
        Shape (objective,): a tenth of their spread behind the worst of each objective; where they
        do not spread, a tenth of the value itself, or 1 where that is nought too.

    Examples
    --------
    >>> reference_corner(np.array([[0.0, 4.0], [10.0, 4.0]]))
    array([11. ,  4.4])
    """
    worst = costs.max(axis=0)
    spread = worst - costs.min(axis=0)
    step = np.where(spread > 0.0, spread, np.abs(worst))
    margin = np.where(step > 0.0, 0.1 * step, 1.0)
    return np.asarray(worst + margin, dtype=np.float64)


def crowding(costs: Array) -> Array:
    """
    Tell how alone each design stands among the others.

    Parameters
    ----------
    costs : Array
        Shape (design, objective).

    Returns
    -------
    Array
        Shape (design,): sum over the objectives of the gap between the two neighbours, as a share
        of the spread; infinite for the best and the worst of an objective.

    Notes
    -----
    Objectives in which all are equal do not count.

    References
    ----------
    Deb, Pratap, Agarwal, Meyarivan, "A fast and elitist multiobjective genetic algorithm:
    NSGA-II", IEEE Trans. Evol. Comput. 6(2):182-197 (2002), section III.B.

    Examples
    --------
    >>> crowding(np.array([[0.0, 4.0], [1.0, 2.0], [4.0, 0.0]]))
    array([inf,  2., inf])
    """
    distance = np.zeros(len(costs))
    for column in costs.T:
        order = np.argsort(column, kind="stable")
        ranked = column[order]
        spread = ranked[-1] - ranked[0] if len(ranked) else 0.0
        if spread > 0.0:
            distance[order[1:-1]] += (ranked[2:] - ranked[:-2]) / spread
            distance[order[[0, -1]]] = np.inf
    return distance


def spread_out(costs: Array, most: int) -> Codes:
    """
    Thin designs so that those left lie as far from each other as can be.

    Parameters
    ----------
    costs : Array
        Shape (design, objective).
    most : int
        How many to keep; fewer than there are objectives cuts off the last ones.

    Returns
    -------
    Codes
        Shape (kept,): their places, rising.

    Notes
    -----
    Starts with the best of each objective, then adds the design whose nearest kept one is farthest
    away (each objective scaled by its spread): at most twice as coarse as the best thinning.

    References
    ----------
    Gonzalez, "Clustering to minimize the maximum intercluster distance", Theor. Comput. Sci.
    38:293-306 (1985).

    Examples
    --------
    >>> spread_out(np.array([[0.0, 4.0], [0.1, 3.9], [2.0, 2.0], [4.0, 0.0]]), 3)
    array([0, 2, 3])
    """
    if len(costs) <= most:
        return np.arange(len(costs), dtype=np.int64)
    spread = np.ptp(costs, axis=0)
    scaled = costs / np.where(spread > 0.0, spread, 1.0)
    kept = list(dict.fromkeys(int(row) for row in np.argmin(costs, axis=0)))[:most]
    nearest = np.min([_distance(scaled, row) for row in kept], axis=0)
    while len(kept) < most:
        nearest[kept] = -1.0  # of equal designs, each is still kept once at most
        kept.append(int(np.argmax(nearest)))
        nearest = np.minimum(nearest, _distance(scaled, kept[-1]))
    return np.array(sorted(kept), dtype=np.int64)


def _distance(scaled: Array, row: int) -> Array:
    away = scaled - scaled[row]
    return np.asarray(
        np.einsum("ij,ij->i", away, away), dtype=np.float64
    )  # squared: the same order


def survivors(costs: Array, violations: Array, most: int) -> Codes:
    """
    Choose which designs live on to be bred from, by constrained domination.

    Parameters
    ----------
    costs : Array
        Shape (design, objective); less is better. Designs with a NaN or infinite one never live
        on.
    violations : Array
        Shape (design, limit): above 0 misses the limit.
    most : int
        How many may live.

    Returns
    -------
    Codes
        Shape (kept,): their places, the best first.

    Notes
    -----
    Designs that keep every limit come before those that do not. Among the first the lower
    non-domination rank wins, within a rank the one that stands more alone; among the others the
    lower sum of violations.

    References
    ----------
    Deb, Pratap, Agarwal, Meyarivan, "A fast and elitist multiobjective genetic algorithm:
    NSGA-II", IEEE Trans. Evol. Comput. 6(2):182-197 (2002), section VI.A.

    Examples
    --------
    >>> costs = np.array([[5.0, 5.0], [1.0, 1.0], [2.0, 2.0], [0.0, 0.0]])
    >>> survivors(costs, np.array([[3.0], [0.0], [-1.0], [2.0]]), 3)
    array([1, 2, 3])
    """
    usable = np.all(np.isfinite(costs), axis=1)
    kept_limits = usable & np.all(violations <= 0.0, axis=1)
    good = np.flatnonzero(kept_limits)
    bad = np.flatnonzero(usable & ~kept_limits)
    total = np.sum(np.maximum(violations[bad], 0.0), axis=1)
    bad_first = bad[np.argsort(total, kind="stable")]
    return np.concatenate([good[_by_rank(costs[good], most)], bad_first])[:most].astype(np.int64)


def _by_rank(costs: Array, most: int) -> Codes:
    """Order designs by rank, then by how alone they stand, until there are enough."""
    order: list[Codes] = []
    rank = ranks(costs)
    for level in range(int(rank.max()) + 1 if len(rank) else 0):
        if sum(map(len, order)) >= most:
            break
        members = np.flatnonzero(rank == level)
        alone = np.argsort(-crowding(costs[members]), kind="stable")
        order.append(members[alone])
    return np.concatenate([np.zeros(0, dtype=np.int64), *order])


def ranks(costs: Array) -> Codes:
    """
    Sort designs into fronts: those that none beats, those beaten by these alone, and so on.

    Parameters
    ----------
    costs : Array
        Shape (design, objective); less is better; finite.

    Returns
    -------
    Codes
        Shape (design,): 0 for the first front. Designs with equal costs have the same rank.

    Examples
    --------
    >>> ranks(np.array([[1.0, 1.0], [2.0, 2.0], [0.0, 3.0], [3.0, 3.0]]))
    array([0, 1, 0, 2])
    """
    if len(costs) == 0:
        return np.zeros(0, dtype=np.int64)
    return np.asarray(moocore.pareto_rank(costs), dtype=np.int64)


def best_by_direction(rng: np.random.Generator, costs: Array, most: int) -> Codes:
    """
    Choose designs that are the best for some direction of the trade.

    Parameters
    ----------
    rng : Generator
        Draws the directions.
    costs : Array
        Shape (design, objective).
    most : int
        How many to choose; there may be fewer.

    Returns
    -------
    Codes
        Shape (kept,): their places; the best of each objective are among them if there is room.

    Notes
    -----
    Twice as many directions as wanted are drawn evenly from the simplex; the best one is that
    whose largest weighted distance from the best of all objectives is least.
    """
    spread = np.ptp(costs, axis=0)
    scaled = (costs - costs.min(axis=0)) / np.where(spread > 0.0, spread, 1.0) + 1e-3
    weight = np.maximum(rng.dirichlet(np.ones(costs.shape[1]), 2 * most), 1e-3)
    best = (scaled[None] / weight[:, None]).max(axis=2).argmin(axis=1)
    chosen = np.unique(np.concatenate([best, scaled.argmin(axis=0)]))
    if len(chosen) > most:
        chosen = np.sort(rng.permutation(chosen)[:most])
    return np.asarray(chosen, dtype=np.int64)
