"""What drives a design of a run: asks insight, and puts the answers in tables."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from tradeopt.arrays import Array, Flags
from tradeopt.insight.assumptions import Assumption, Shifted, assumptions_of
from tradeopt.insight.picks import merit
from tradeopt.insight.spreads import (
    Tornado,
    drawn,
    smallest_flips,
    tornado,
    variance_shares,
)
from tradeopt.insight.tightness import Prices, exchange, prices, tightness
from tradeopt.insight.worth import found_with, worth
from tradeopt.report import insights as tables
from tradeopt.report.amount import Amount, Cell, amount_of
from tradeopt.report.front import FrontView
from tradeopt.report.limits import ACTIVE
from tradeopt.report.review import Insights
from tradeopt.report.section import Section
from tradeopt.report.view import spoken
from tradeopt.search import front as fronts
from tradeopt.search.stationary import Certificate, certify
from tradeopt.study.compiled import CompiledStudy

DRAWS = 256
"""Draws of all assumptions at once; a power of two."""

SHARED_OUT = 6
"""Assumptions among which the variance is shared out: those with the largest swings."""

SHARE_DRAWS = 256
"""Draws for that, times the number of assumptions and two more; a power of two."""

FARTHEST = 3.0
"""Half spreads up to which a change of the recommendation is looked for."""

PAIR = 2
"""Objectives whose trade can be told as one number."""

MOST_FLIPS = 12
"""Changes that are told, the smallest first."""


@dataclass(frozen=True)
class Subject:
    """A design of a run that insight is asked about.

    Attributes
    ----------
    problem : CompiledStudy
        The study.
    front, tried : FrontView
        The front, or the nearest designs where it is empty, and all that the run keeps.
    certificate : Certificate
        First-order conditions of the front; without rows where they are not known.
    number : int
        Which design.
    design : Array
        Shape (variable,).
    rivals : tuple of Array
        Designs that it is recommended over, each of shape (variable,).
    rival_names : tuple of str
        What they are called.
    """

    problem: CompiledStudy
    front: FrontView
    tried: FrontView
    certificate: Certificate
    number: int
    design: Array
    rivals: tuple[Array, ...]
    rival_names: tuple[str, ...]

    @cached_property
    def assumptions(self) -> tuple[Assumption, ...]:
        """What the study takes for granted and that moves the design at all."""
        every = assumptions_of(self.problem, self.design)
        swing = tornado(self.shifted(self.design, every), len(every)).swing()
        moved: Flags = np.any(swing > 0.0, axis=1)
        return tuple(one for one, moves in zip(every, moved.tolist(), strict=True) if moves)

    def shifted(self, design: Array, assumptions: Sequence[Assumption]) -> Shifted:
        """Return the response of a design."""
        return Shifted(self.problem, design, tuple(assumptions))

    @cached_property
    def response(self) -> Shifted:
        """That of the design itself."""
        return self.shifted(self.design, self.assumptions)

    @cached_property
    def tornado(self) -> Tornado:
        """One assumption at a time."""
        return tornado(self.response, len(self.assumptions))

    @property
    def wanted(self) -> int:
        """How many outcomes are objectives; the others are violations."""
        return len(self.problem.objectives)

    def costs(self, outcomes: Array) -> Array:
        """Return the objectives of outcomes so that less is better."""
        return fronts.minimised(outcomes[:, : self.wanted], self.problem.objectives)

    @cached_property
    def prices(self) -> Prices:
        """What limits cost the front; without rows where the design is not on it."""
        designs = self.front.designs
        found = self.certificate
        rows = np.flatnonzero(designs.numbers == self.number)
        if not len(found.numbers) and rows.size and designs.feasible[rows[0]]:
            # a run that has not ended: the design alone is enough
            found = certify(self.problem, designs, (int(rows[0]), len(designs)), len(designs))
        return prices(self.problem, designs, found)

    @property
    def residual(self) -> float | None:
        """What is left of its first-order conditions; None where slopes tell nothing of it."""
        rows = np.flatnonzero(self.prices.numbers == self.number)
        known = bool(np.isfinite(self.prices.of(self.number)).any())
        return float(self.prices.residual[rows[0]]) if rows.size and known else None

    def exchange(self) -> str:
        """Say how the objectives trade near it; nothing unless there are two and a front."""
        rows = np.flatnonzero(self.front.designs.numbers == self.number)
        on_front = rows.size and bool(self.front.designs.feasible.all())
        if self.wanted != PAIR or len(self.front.designs) < PAIR or not on_front:
            return ""
        costs = fronts.minimised(self.front.designs.objectives, self.problem.objectives)
        slope = exchange(costs[:, ::-1], int(rows[0]))
        return tables.exchange_words(self.problem, self.problem.chain.quantities, slope)


def insights_of(subject: Subject, seed: int) -> Insights:
    """
    Say what drives a design.

    Parameters
    ----------
    subject : Subject
        The design.
    seed : int
        Start of all chance.

    Returns
    -------
    Insights
        As tables; the same seed gives the same ones.
    """
    problem, quantities = subject.problem, subject.problem.chain.quantities
    near = tightness(subject.front.designs.violations, ACTIVE)
    samples = drawn(subject.response, len(subject.assumptions), DRAWS, seed)
    missed = samples[:, subject.wanted :]
    kept = missed <= 0.0
    names = [one.name for one in problem.limits]
    return Insights(
        tight=tables.tight_section(
            problem, quantities, near, (subject.prices.of(subject.number), subject.prices.usual)
        ),
        exchange=subject.exchange(),
        residual=subject.residual,
        tornado=tables.tornado_section(problem, quantities, subject.assumptions, subject.tornado),
        robust=tables.robust_section(problem, quantities, subject.tornado.nominal, samples),
        variance=_variance(subject, seed),
        ranges=dict(zip(names, _ranges(subject, missed), strict=True)),
        chances=dict(zip(names, kept.mean(axis=0).tolist(), strict=True)),
        meets_all=float(kept.all(axis=1).mean()),
        flips=tables.flips_section(_flips(subject), FARTHEST),
        worth=tables.worth_section(problem, quantities, worth(problem, subject.design)),
        found=tables.found_section(
            problem, quantities, found_with(problem, subject.tried.designs)
        ),
    )


def _ranges(subject: Subject, missed: Array) -> list[tuple[Amount, Amount]]:
    """Return the values of limits that are better in one and in nine of ten draws."""
    quantities = subject.problem.chain.quantities
    found = []
    for limit, column in zip(subject.problem.limits, missed.T, strict=True):
        sign = 1.0 if limit.at_most else -1.0
        good, bad = (
            limit.value + sign * limit.scale * float(np.quantile(column, share))
            for share in (0.1, 0.9)
        )
        quantity = tables.bounded(quantities, limit.name)
        found.append((amount_of(quantity, good), amount_of(quantity, bad)))
    return found


def _variance(subject: Subject, seed: int) -> Section:
    """Share out the variance of the first objective among what moves it most."""
    size = -subject.tornado.swing()[:, 0]
    chosen = [subject.assumptions[n] for n in np.argsort(size, kind="stable")[:SHARED_OUT]]
    if not chosen:
        return tables.variance_section(subject.problem.objectives[0].name, (), None)
    response = subject.shifted(subject.design, chosen)
    found = variance_shares(
        lambda shifts: subject.costs(response(shifts))[:, :1], len(chosen), SHARE_DRAWS, seed
    )
    return tables.variance_section(subject.problem.objectives[0].name, chosen, found)


def _flips(subject: Subject) -> list[tuple[Cell, ...]]:
    """Find what would turn the recommendation, the smallest change first."""
    nominal = subject.tornado.nominal[subject.wanted :]
    if np.any(nominal > 0.0):
        return []
    count = len(subject.assumptions)
    missing = smallest_flips(
        lambda shifts: -subject.response(shifts)[:, subject.wanted :].max(axis=1, initial=-1.0),
        count,
        FARTHEST,
    )
    overtaken = smallest_flips(
        lambda shifts: _leads(subject, shifts).min(axis=1, initial=1.0), count, FARTHEST
    )
    found = [
        (place, float(flips[place, end]), words)
        for flips, words in ((missing, _missed_words), (overtaken, _overtaken_words))
        for place, end in np.argwhere(~np.isnan(flips)).tolist()
    ]
    found.sort(key=lambda one: abs(one[1]))
    told = []
    for place, shift, words in found[:MOST_FLIPS]:
        alone = np.zeros((1, count))
        alone[0, place] = shift
        told.append(tables.flip_row(subject.assumptions[place], shift, words(subject, alone)))
    return told


def _missed_words(subject: Subject, shifts: Array) -> str:
    """Say which limit is missed first, shifts of shape (1, assumption)."""
    missed = subject.response(shifts)[0, subject.wanted :]
    return f"misses {spoken(subject.problem.limits[int(missed.argmax())].name)}"


def _overtaken_words(subject: Subject, shifts: Array) -> str:
    """Say which rival is worth more first, shifts of shape (1, assumption)."""
    leads = _leads(subject, shifts)[0]
    return f"{subject.rival_names[int(leads.argmin())]} is worth more"


def _leads(subject: Subject, shifts: Array) -> Array:
    """Return how far it leads each rival by the weights that made it the recommended one.

    Shape (sample, rival). A rival that misses a limit does not lead, whatever it is worth.
    """
    front = fronts.minimised(subject.front.designs.objectives, subject.problem.objectives)
    own = merit(subject.costs(subject.response(shifts)), front)
    leads = []
    for rival in subject.rivals:
        other = subject.shifted(rival, subject.assumptions)(shifts)
        lead = merit(subject.costs(other), front) - own
        fails = other[:, subject.wanted :].max(axis=1, initial=-1.0) > 0.0
        leads.append(np.where(fails, np.maximum(lead, 0.0), lead))
    return np.stack(leads, axis=1) if leads else np.empty((len(shifts), 0))
