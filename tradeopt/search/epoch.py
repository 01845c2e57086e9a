"""Between epochs: what the slices found, put together."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tradeopt.arrays import Array, Codes
from tradeopt.search import designs as tables
from tradeopt.search import front as fronts
from tradeopt.search.designs import Designs, Outline
from tradeopt.search.plan import SearchPlan

ARCHIVE = 1000
"""Most designs of the front that a run carries on; more are thinned to these, spread out."""


@dataclass(frozen=True)
class Epoch:
    """Where a run stands after an epoch.

    Attributes
    ----------
    number : int
        Which epoch, from 0; -1 before the first.
    population : Designs
        What the next epoch is bred from, the best first; designs that miss limits too.
    front : Designs
        The archive: all that keep every limit and that no other design of the run beats, in order
        of their number.
    reference : Array
        Shape (objective,): corner that the hypervolume is measured from, less being better; fixed
        by the first epoch with a front and NaN before it.
    hypervolume : float
        What the front dominates of the objective space.
    first_hypervolume : float
        The same for the first epoch that had a front; 0 before it.
    tried, feasible : int
        Designs of the run so far, and how many of them keep every limit.
    missed : Codes
        Shape (limit,): how many designs of the run so far miss each limit.
    """

    number: int
    population: Designs
    front: Designs
    reference: Array
    hypervolume: float
    first_hypervolume: float
    tried: int
    feasible: int
    missed: Codes


def beginning(outline: Outline) -> Epoch:
    """
    Describe a run that has not tried anything.

    Parameters
    ----------
    outline : Outline
        The study.

    Returns
    -------
    Epoch
        Number -1, without designs.
    """
    nothing = tables.no_designs(outline)
    return Epoch(
        number=-1,
        population=nothing,
        front=nothing,
        reference=np.full(len(outline.objectives), np.nan),
        hypervolume=0.0,
        first_hypervolume=0.0,
        tried=0,
        feasible=0,
        missed=np.zeros(len(outline.limits), dtype=np.int64),
    )


def merge(outline: Outline, plan: SearchPlan, before: Epoch, slices: Sequence[Designs]) -> Epoch:
    """
    Put the slices of an epoch together.

    Parameters
    ----------
    outline : Outline
        The study.
    plan : SearchPlan
        How the run searches.
    before : Epoch
        Where the run stood.
    slices : sequence of Designs
        What the slices tried, in island order; one that was set aside is left out.

    Returns
    -------
    Epoch
        Where the run stands now: a pure function of the arguments.
    """
    new = tables.join([tables.no_designs(outline), *slices])
    good = new.take(new.feasible)
    costs = fronts.minimised(good.objectives, outline.objectives)
    front = _front(outline, tables.join([before.front, good]))
    reference = before.reference
    if np.any(np.isnan(reference)) and len(good):
        reference = fronts.reference_corner(costs)
    volume = fronts.hypervolume(fronts.minimised(front.objectives, outline.objectives), reference)
    return Epoch(
        number=before.number + 1,
        population=_population(outline, plan, tables.join([before.population, new])),
        front=front,
        reference=reference,
        hypervolume=volume,
        first_hypervolume=before.first_hypervolume or volume,
        tried=before.tried + len(new),
        feasible=before.feasible + len(good),
        missed=before.missed + np.sum(new.violations > 0.0, axis=0),
    )


def _front(outline: Outline, candidates: Designs) -> Designs:
    standing = candidates.take(
        fronts.non_dominated(fronts.minimised(candidates.objectives, outline.objectives))
    )
    return thinned(outline, standing, ARCHIVE)


def thinned(outline: Outline, front: Designs, most: int) -> Designs:
    """
    Thin a front to designs that lie far from each other.

    Parameters
    ----------
    outline : Outline
        The study.
    front : Designs
        The front.
    most : int
        How many to keep.

    Returns
    -------
    Designs
        A part of it, in the same order.
    """
    costs = fronts.minimised(front.objectives, outline.objectives)
    return front.take(fronts.spread_out(costs, most))


def _population(outline: Outline, plan: SearchPlan, candidates: Designs) -> Designs:
    costs = fronts.minimised(candidates.objectives, outline.objectives)
    return candidates.take(fronts.survivors(costs, candidates.violations, plan.population))
