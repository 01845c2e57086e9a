"""Everything that a design review looks at, as plain data for deck and report."""

from collections.abc import Sequence
from dataclasses import dataclass

from tradeopt.report.amount import Amount, amount
from tradeopt.report.front import FrontView
from tradeopt.report.progress import RunStanding
from tradeopt.report.section import Plain, Section, Sheet, plain_cell, plain_rows
from tradeopt.report.view import View, spoken
from tradeopt.study.study import Study

BASELINE = 0
"""Number of the baseline in every run."""


@dataclass(frozen=True)
class Candidate:
    """A design that the review looks at.

    Attributes
    ----------
    number : int
        Its number in the run.
    role : str
        Why it is looked at, such as ``knee of the front``.
    objectives : tuple of Amount
        What it reaches.
    view : View
        Everything the chain says of it.
    sheet : Sheet
        The same as tables.
    """

    number: int
    role: str
    objectives: tuple[Amount, ...]
    view: View
    sheet: Sheet

    @property
    def name(self) -> str:
        """What it is called in a sentence."""
        return "the baseline" if self.number == BASELINE else f"design {self.number}"


@dataclass(frozen=True)
class Insights:
    """What drives the first pick; a section without rows where there is nothing to tell.

    Attributes
    ----------
    tight : Section
        Tightest limits of the front and what moving them would win.
    exchange : str
        How the objectives trade near the pick; empty where that cannot be told.
    residual : float or None
        What is left of the first-order conditions of the pick; None where slopes tell nothing.
    tornado, robust, variance : Section
        Assumptions one at a time, all at once, and whose fault the spread is.
    ranges : mapping of str to tuple of Amount
        By limit: the value that all but one of ten draws keep on the good side, and on the bad.
    chances : mapping of str to float
        By limit: share of the draws that keep it.
    meets_all : float
        Share of the draws that meet every limit.
    flips, worth, found : Section
        What would change the recommendation, what mechanisms are worth, and how far the search
        came with each.
    """

    tight: Section
    exchange: str
    residual: float | None
    tornado: Section
    robust: Section
    variance: Section
    ranges: dict[str, tuple[Amount, Amount]]
    chances: dict[str, float]
    meets_all: float
    flips: Section
    worth: Section
    found: Section


@dataclass(frozen=True)
class Review:
    """A run, its picks beside the baseline, and what drives the first of them.

    Attributes
    ----------
    study : Study
        What was asked.
    standing : RunStanding
        How the run stands.
    created : str
        When the run was started, UTC.
    provenance : dict
        What made the numbers.
    front, tried, baseline_view : FrontView
        The front, what the run keeps of what it tried, and the baseline.
    way_out : str
        Which limits to relax where no design meets them all; else empty.
    baseline : Candidate
        The study's own design.
    picks : tuple of Candidate
        The recommended one first.
    insights : Insights
        Of the first pick.
    """

    study: Study
    standing: RunStanding
    created: str
    provenance: Plain
    front: FrontView
    tried: FrontView
    baseline_view: FrontView
    way_out: str
    baseline: Candidate
    picks: tuple[Candidate, ...]
    insights: Insights

    @property
    def chosen(self) -> Candidate:
        """The recommended design."""
        return self.picks[0]

    @property
    def candidates(self) -> tuple[Candidate, ...]:
        """Baseline and picks, each once."""
        return (self.baseline, *(one for one in self.picks if one.number != BASELINE))


def plain_review(review: Review) -> Plain:
    """
    Turn a review into what JSON can hold.

    Parameters
    ----------
    review : Review
        The review.

    Returns
    -------
    dict
        Provenance, baseline and picks with what they reach, and the tables of what drives the
        first pick; numbers with their SI unit.
    """
    insights = review.insights
    told = (
        insights.tight,
        insights.tornado,
        insights.robust,
        insights.variance,
        insights.flips,
        insights.worth,
        insights.found,
    )
    return review.provenance | {
        "designs": [_plain_candidate(review, one) for one in review.candidates],
        "recommended": review.chosen.number if review.chosen.sheet.feasible else None,
        "reasons": reasons(review),
        "requirements": plain_rows(requirement_rows(review)),
        "meets_all_limits_in": insights.meets_all,
        "insights": {one.name: plain_rows(one) for one in told},
    }


def _plain_candidate(review: Review, one: Candidate) -> Plain:
    names = (objective.name for objective in review.front.outline.objectives)
    reached = {name: plain_cell(cell) for name, cell in zip(names, one.objectives, strict=True)}
    verdict = {"verdict": one.sheet.verdict, "feasible": one.sheet.feasible}
    return {"design": one.number, "role": one.role, "objectives": reached} | verdict


def change_words(review: Review, candidate: Candidate) -> str:
    """
    Say in half a sentence how a design compares with the baseline.

    Parameters
    ----------
    review : Review
        Knows the baseline.
    candidate : Candidate
        The design.

    Returns
    -------
    str
        Such as ``range 17.1 km (+11.8 %), total mass 79.7 kg (-7.8 %)``.
    """
    parts = []
    for one, own, base in zip(
        review.front.outline.objectives,
        candidate.objectives,
        review.baseline.objectives,
        strict=True,
    ):
        share = own.value / base.value - 1.0 if base.value else float("nan")
        relative = str(amount(round(share, 4), "1", "%"))
        sign = "" if relative.startswith("-") else "+"
        parts.append(f"{spoken(one.name)} {own} ({sign}{relative})")
    return ", ".join(parts)


def alternatives_section(review: Review) -> Section:
    """Put baseline and picks side by side: what they reach, and the variables that differ."""
    names = (one.name.removeprefix("the ").replace(" ", "_") for one in review.candidates)
    heads = ("quantity", *names)
    rows = [("role", *(one.role for one in review.candidates))]
    for place, one in enumerate(review.front.outline.objectives):
        reached = [str(candidate.objectives[place]) for candidate in review.candidates]
        rows.append((spoken(one.name), *reached))
    rows.append(("limits", *(_kept(one) for one in review.candidates)))
    chosen = [one.sheet.section("variables") for one in review.candidates]
    for place, row in enumerate(chosen[0].rows):
        cells = tuple(str(section.rows[place][1]) for section in chosen)
        if len(set(cells)) > 1:
            rows.append((short_path(str(row[0])), *cells))
    return Section("alternatives", "Alternatives", heads, tuple(rows))


def _kept(candidate: Candidate) -> str:
    missed = sum(
        str(one).startswith("misses")
        for one in candidate.sheet.section("limits").column("verdict")
    )
    return f"misses {missed}" if missed else "meets all"


def short_path(path: str) -> str:
    """
    Write the path of a value the way it is read.

    Parameters
    ----------
    path : str
        Such as ``robot.drives.knee.motor.gap_radius``.

    Returns
    -------
    str
        Without what every path has in common.

    Examples
    --------
    >>> short_path("robot.drives.knee.motor.gap_radius")
    'knee motor gap radius'
    """
    words = path.removeprefix("robot.").removeprefix("drives.").removesuffix(".kind")
    return words.replace(".", " ").replace("_", " ")


def requirement_rows(review: Review) -> Section:
    """
    Hold the recommended design against the study's limits.

    Parameters
    ----------
    review : Review
        The review.

    Returns
    -------
    Section
        Bound, value, range of nine of ten draws on either side, what is left, and the verdict; the
        tightest first.

    Notes
    -----
    Every value comes from the model: the review decides which of them a test has to show.
    """
    insights = review.insights
    rows = []
    for limit, value, bound, _left, verdict, where in review.chosen.sheet.section("limits").rows:
        name = str(limit)
        good, bad = insights.ranges[name]
        kept = amount(insights.chances[name], "1", "%")
        place = f" ({spoken(str(where))})" if where else ""
        rows.append(
            (
                spoken(name),
                bound,
                f"{value}{place}",
                f"{bad} to {good}",
                str(kept),
                "model",
                verdict,
            )
        )
    heads = ("limit", "bound", "value", "P10_to_P90", "met_in", "shown_by", "verdict")
    return Section("requirements", "Requirements", heads, tuple(rows))


def rejection_section(review: Review, most: int = 10) -> Section:
    """Count what rejected the designs tried: the limits that most of them miss."""
    standing = review.standing
    found: Sequence[tuple[str, int]] = [one for one in standing.missed.items() if one[1]][:most]
    rows = tuple(
        (spoken(name), f"{count:,}", amount(count / max(standing.tried, 1), "1", "%"))
        for name, count in found
    )
    return Section("rejections", "What rejected designs", ("limit", "missed_by", "share"), rows)


def reasons(review: Review) -> list[str]:
    """Say what speaks for the recommendation, and what to know of it."""
    chosen, insights, standing = review.chosen, review.insights, review.standing
    points = []
    if review.study.note:
        points.append(f"The question: {review.study.note}")
    if chosen.sheet.feasible:
        points.append(
            f"Decision asked: take {chosen.name} ({chosen.role}) into detailed design. Changes "
            "are against the baseline, the design that the study file itself describes."
        )
    else:
        points.append(
            "Decision asked: which limits to relax. "
            f"{spoken(review.way_out) or 'None can be told.'}"
        )
        points.append(f"Nearest: {chosen.name} {spoken(chosen.sheet.verdict)}.")
    points.append(
        f"{standing.feasible:,} of {standing.tried:,} designs tried meet every limit"
        + (
            f"; {standing.front_size} of them on the front: no other one beats them in everything."
            if standing.front_size
            else "."
        )
    )
    if chosen.sheet.feasible:
        points.append(f"It {spoken(chosen.sheet.verdict)}.")
    if insights.exchange:
        points.append(f"Along the front near it: {insights.exchange}.")
    kept = amount(insights.meets_all, "1", "%")
    points.append(
        f"With every assumption off at once, it meets all limits in {kept} of the draws: see "
        "requirements and risks."
    )
    return points
