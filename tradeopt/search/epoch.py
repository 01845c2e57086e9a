"""Between epochs: what the slices found, put together, and what the next ones begin with."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tradeopt.arrays import Array, Codes
from tradeopt.search import credit
from tradeopt.search import designs as tables
from tradeopt.search import front as fronts
from tradeopt.search.burst import ARCHIVE, burst, unknown_gains
from tradeopt.search.designs import Designs, Outline
from tradeopt.search.plan import BURSTS, TRIALS, SearchPlan
from tradeopt.search.proposals import propose
from tradeopt.search.slices import Found, Seeds, SliceTask, no_seeds
from tradeopt.search.trial_slice import trial_slice
from tradeopt.study.problem import Problem

PROMOTED = 40
"""Most designs of the front that become trials after an epoch of full slices."""

LEAST_PROMOTED = 8
"""The same after an epoch of short slices, which writing trials must not hold up."""

APART = 0.02
"""How far from all promoted before a design must lie to be promoted, in spreads of the front."""

WINDOW = 200
"""Designs promoted last, from which new ones must lie apart; the sampler is told some of them."""

ASKED = 4
"""Every so many epochs the sampler is asked for designs."""

GROWTH = 1e-3
"""Growth of the hypervolume, as a share of it, that counts as progress."""

LEAST_EPOCHS = 10
"""Epochs without progress before a run may stop for it, however short they are."""


@dataclass(frozen=True)
class Epoch:
    """Where a run stands after an epoch.

    Attributes
    ----------
    number : int
        Which epoch, from 0; -1 before the first.
    population : Designs
        What the next epoch is bred from beside the front, the best first; designs that miss limits
        too.
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
    seeds : Seeds
        What the next epoch tries first.
    gains : Array
        Shape (operator,): hypervolume that each operator gains by each evaluation.
    promoted : Designs
        What became trials last, at most `WINDOW`.
    milestone : Array
        Shape (design, objective): costs of the front when it last made progress.
    milestone_number : int
        The epoch in which that was.
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
    seeds: Seeds
    gains: Array
    promoted: Designs
    milestone: Array
    milestone_number: int


@dataclass(frozen=True)
class Promotion:
    """Designs that are to become trials, and where each comes from."""

    designs: Designs
    origins: tuple[str, ...]


def beginning(outline: Outline, seeds: Seeds | None = None) -> Epoch:
    """
    Describe a run that has not tried anything.

    Parameters
    ----------
    outline : Outline
        The study.
    seeds : Seeds, optional
        What it tries first; nothing unless given.

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
        seeds=no_seeds(outline) if seeds is None else seeds,
        gains=unknown_gains(),
        promoted=nothing,
        milestone=np.empty((0, len(outline.objectives))),
        milestone_number=-1,
    )


def has_settled(plan: SearchPlan, now: Epoch) -> bool:
    """
    Tell whether a front has stopped growing.

    Parameters
    ----------
    plan : SearchPlan
        How the run searches.
    now : Epoch
        Where it stands.

    Returns
    -------
    bool
        Whether the front has grown by less than `GROWTH` while the designs tried doubled, and for
        `LEAST_EPOCHS` at least. A run without a front goes on.
    """
    idle = now.number - now.milestone_number
    then, tried = (plan.first_number(epoch + 1, 0) for epoch in (now.milestone_number, now.number))
    return len(now.front) > 0 and idle >= LEAST_EPOCHS and tried >= 2 * then


def task_of(plan: SearchPlan, before: Epoch, island: int) -> SliceTask:
    """Say what one slice of the epoch after this one has to do."""
    return SliceTask(
        epoch=before.number + 1,
        island=island,
        parents=_parents(plan, before),
        seeds=before.seeds.of_island(island, plan.islands),
        gains=before.gains,
    )


def _parents(plan: SearchPlan, before: Epoch) -> Designs:
    """Return what a slice breeds from: sampler and operators differ in how much they can hold."""
    if plan.method == TRIALS:
        return before.population
    everyone = tables.join([before.population, before.front])
    _, once = np.unique(everyone.numbers, return_index=True)
    return everyone.take(np.sort(once))


def run_slice(problem: Problem, plan: SearchPlan, task: SliceTask) -> Found:
    """
    Do one slice.

    Parameters
    ----------
    problem : Problem
        The study.
    plan : SearchPlan
        How the run searches.
    task : SliceTask
        What to do. The same task finds the same, bit for bit, on any worker.

    Returns
    -------
    Found
        What it found.
    """
    return (burst if plan.method == BURSTS else trial_slice)(problem, plan, task)


def merge(
    outline: Outline, plan: SearchPlan, before: Epoch, slices: Sequence[Found]
) -> tuple[Epoch, Promotion]:
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
    slices : sequence of Found
        What the slices found, in island order; nothing for one that was set aside.

    Returns
    -------
    tuple of Epoch and Promotion
        Where the run stands now, and what becomes trials: a pure function of the arguments.
    """
    number = before.number + 1
    new = tables.join([tables.no_designs(outline), *(one.designs for one in slices)])
    front = _front(outline, tables.join([before.front, new.take(new.feasible)]))
    costs = fronts.minimised(front.objectives, outline.objectives)
    reference = before.reference
    if np.any(np.isnan(reference)) and len(front):
        good = new.take(new.feasible)
        reference = fronts.reference_corner(fronts.minimised(good.objectives, outline.objectives))
    volume = fronts.hypervolume(costs, reference)
    promotion = _promotion(outline, plan, before, (front, slices))
    promoted = tables.join([before.promoted, promotion.designs])
    promoted = promoted.take(np.arange(len(promoted))[-WINDOW:])
    milestone, reached = _milestone(before, costs)
    after = Epoch(
        number=number,
        population=_population(outline, plan, tables.join([before.population, new])),
        front=front,
        reference=reference,
        hypervolume=volume,
        first_hypervolume=before.first_hypervolume or volume,
        tried=before.tried + sum(one.tried for one in slices),
        feasible=before.feasible + sum(one.feasible for one in slices),
        missed=before.missed + sum(one.missed for one in slices),
        seeds=_seeds(outline, plan, number + 1, promoted),
        gains=credit.merged([one.gains for one in slices if len(one.gains)], before.gains),
        promoted=promoted,
        milestone=milestone,
        milestone_number=reached,
    )
    return after, promotion


def _seeds(outline: Outline, plan: SearchPlan, epoch: int, promoted: Designs) -> Seeds:
    if plan.method == TRIALS or epoch % ASKED:  # slices of trials ask the sampler themselves
        return no_seeds(outline)
    return propose(outline, plan, epoch, promoted)


def _milestone(before: Epoch, costs: Array) -> tuple[Array, int]:
    """Return the front that growth is measured from, and its epoch.

    Both fronts are measured from behind the worst of the present one, so that growth at its ends
    counts too.
    """
    if len(costs) == 0:
        return before.milestone, before.number + 1
    corner = fronts.reference_corner(costs)
    now, then = fronts.hypervolume(costs, corner), fronts.hypervolume(before.milestone, corner)
    if now - then > GROWTH * now:
        return costs, before.number + 1
    return before.milestone, before.milestone_number


def _front(outline: Outline, candidates: Designs) -> Designs:
    costs = fronts.minimised(candidates.objectives, outline.objectives)
    front = thinned(outline, candidates.take(fronts.non_dominated(costs)), ARCHIVE)
    return front.take(np.argsort(front.numbers, kind="stable"))


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


def _promotion(
    outline: Outline,
    plan: SearchPlan,
    before: Epoch,
    now: tuple[Designs, Sequence[Found]],
) -> Promotion:
    """Choose what becomes trials: all seeds, and of the new front what lies apart."""
    front, slices = now
    parts = [one.designs.take(np.arange(one.seeds)) for one in slices]
    origins = [
        origin
        for island, one in enumerate(slices)
        for origin in before.seeds.of_island(island, plan.islands).origins[: one.seeds]
    ]
    if plan.method == TRIALS:
        parts = [one.designs for one in slices]
        origins = [
            origin
            for island, one in enumerate(slices)
            for origin in _origins(before.seeds.of_island(island, plan.islands), one)
        ]
    else:
        seeds = tables.join([tables.no_designs(outline), *parts])
        first = plan.first_number(before.number + 1, 0)
        new = front.take((front.numbers >= first) & ~np.isin(front.numbers, seeds.numbers))
        full = plan.slice_size(before.number + 1) / plan.evaluations
        most = max(LEAST_PROMOTED, int(PROMOTED * full))
        chosen = _apart(outline, new, tables.join([before.promoted, seeds]), most)
        parts, origins = [seeds, chosen], [*origins, *["front"] * len(chosen)]
    return Promotion(tables.join([tables.no_designs(outline), *parts]), tuple(origins))


def _origins(seeds: Seeds, found: Found) -> list[str]:
    return [*seeds.origins[: found.seeds], *["sampler"] * (len(found.designs) - found.seeds)]


def _apart(outline: Outline, new: Designs, promoted: Designs, most: int) -> Designs:
    """Return new designs that lie apart from those promoted, and from each other."""
    if len(new) == 0:
        return new
    costs = fronts.minimised(new.objectives, outline.objectives)
    spread = np.ptp(costs, axis=0)
    scale = np.where(spread > 0.0, spread, 1.0)
    known = fronts.minimised(promoted.take(promoted.feasible).objectives, outline.objectives)
    if len(known):
        away = np.linalg.norm((costs[:, None] - known[None]) / scale, axis=2).min(axis=1)
        new = new.take(away > APART)
    return thinned(outline, new, most)
