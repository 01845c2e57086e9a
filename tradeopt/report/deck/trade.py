"""Slides on the search and the trade: what was tried, the front, the alternatives."""

from dataclasses import replace

import numpy as np

from tradeopt import units
from tradeopt.arrays import Array, Codes
from tradeopt.report.amount import amount_of
from tradeopt.report.deck.canvas import BODY, Canvas, bullets, table
from tradeopt.report.deck.charts import (
    BLUE,
    GREEN,
    GREY,
    PURPLE,
    VERMILLION,
    Axes,
    Bars,
    Series,
    bars,
    scatter,
)
from tradeopt.report.front import FrontView, front_section, nearest_section
from tradeopt.report.progress import remarks, summary_words, time_words
from tradeopt.report.review import Review, alternatives_section, rejection_section
from tradeopt.report.section import Section
from tradeopt.report.view import counted, spoken
from tradeopt.search import front as fronts

MOST_ROWS = 10
"""Designs of a front that its table shows, picks aside."""

MOST_POINTS = 400
"""Designs off the front that a chart holds; more are thinned evenly."""

_ROOM = 0.08


def searched(canvas: Canvas, review: Review) -> None:
    """Say what was searched, and what rejected designs."""
    standing = review.standing
    share = 100.0 * standing.feasible / max(standing.tried, 1)
    slide = canvas.slide(f"{standing.tried:,} designs tried, {share:.3g} % meet every limit")
    left, right = BODY.halves(0.42)
    log = sum(one.log for one in review.front.outline.variables)
    choices = sum(bool(one.choices) for one in review.front.outline.variables)
    count = len(review.front.outline.variables)
    points = [
        f"{count} variables: {choices} choices, {count - choices} numbers, {log} of them searched "
        "on a logarithmic scale.",
        "Objectives: "
        + ", ".join(
            f"{spoken(one.name)} as {'high' if one.highest else 'low'} as can be"
            for one in review.front.outline.objectives
        )
        + ".",
        f"{len(review.front.outline.limits)} limits: those of the study, and every margin of the "
        "model at 0 or more.",
        f"Searched for {time_words(standing.seconds_spent)} by {review.provenance['method']}, in "
        f"{standing.epochs} epochs, seed {review.provenance['seed']}.",
        *[f"{line[0].upper()}{line[1:]}." for line in remarks(standing)],
        spoken(summary_words(standing).partition(": ")[2]).capitalize() + ".",
    ]
    bullets(slide, points, left)
    rejected = rejection_section(review)
    if rejected.rows:
        shares = [
            100.0 * review.standing.missed[name] / standing.tried
            for name in list(review.standing.missed)[: len(rejected.rows)]
        ]
        shown = Bars(
            [str(row[0]) for row in rejected.rows],
            {"share of designs": shares},
            (BLUE,),
            number_format="0.0",
        )
        bars(slide, shown, Axes("", "designs that miss the limit [% of those tried]"), right)


def front(canvas: Canvas, review: Review) -> None:
    """Draw the front with baseline and picks."""
    view = review.front
    named = [spoken(one.name) for one in view.outline.objectives]
    what = " against ".join(named) if len(named) > 1 else named[0]
    found = f"{counted(len(view.designs), 'design')} on the front"
    if not review.standing.front_size:
        found = "no front: the designs nearest to the limits"
    slide = canvas.slide(f"{what.capitalize()}: {found}")
    left, right = BODY.halves(0.62)
    shown = _sorts(review)
    axes = Axes(
        _label(view, 1) if len(named) > 1 else "design",
        _label(view, 0),
        x_range=_span(np.concatenate([one.x for one in shown])),
        y_range=_span(np.concatenate([one.y for one in shown])),
    )
    scatter(slide, shown, axes, left)
    section = _shown_front(review) if review.standing.front_size else nearest_section(view)
    picked = {str(one.number) for one in review.picks}
    marked = [place for place, row in enumerate(section.rows) if str(row[0]) in picked]
    table(slide, section, right, marked=marked)


def _shown_front(review: Review) -> Section:
    """Put designs that lie far from each other in a table, the picks among them."""
    view = review.front
    costs = fronts.minimised(view.designs.objectives, view.outline.objectives)
    rows = np.isin(view.designs.numbers, [one.number for one in review.picks])
    rows[fronts.spread_out(costs, MOST_ROWS)] = True
    few = front_section(replace(view, designs=view.designs.take(rows)), len(costs))
    told = f"{int(rows.sum())} of {counted(len(costs), 'design')}, the picks in bold"
    return replace(few, remark="; ".join(filter(None, (told, few.remark))))


def _sorts(review: Review) -> list[Series]:
    """Return the sorts of designs that a chart of the front shows, each design in one of them.

    The largest sort comes first: one office suite leaves out what is shorter than a later series.
    """
    view, tried = review.front, review.tried
    x, y = _points(view)
    tried_x, tried_y = _points(tried)
    numbers = view.designs.numbers
    beaten = _thinned(
        np.flatnonzero(tried.designs.feasible & ~np.isin(tried.designs.numbers, numbers))
    )
    chosen = numbers == review.chosen.number
    picked = np.isin(numbers, [one.number for one in review.picks])
    rest, others = ~picked, picked & ~chosen
    front = "front" if review.standing.front_size else "nearest"
    series = (
        Series("meets every limit, beaten", tried_x[beaten], tried_y[beaten], PURPLE, "circle", 3),
        Series(front, x[rest], y[rest], BLUE, "circle", 7),
        Series("other picks", x[others], y[others], GREEN, "diamond", 11),
        Series("recommended", x[chosen], y[chosen], VERMILLION, "diamond", 14),
        Series("baseline", *_points(review.baseline_view), GREY, "x", 11),
    )
    return sorted((one for one in series if len(one.x)), key=lambda one: -len(one.x))


def alternatives(canvas: Canvas, review: Review) -> None:
    """Set baseline and picks side by side."""
    found = alternatives_section(review)
    differ = len(found.rows) - 2 - len(review.front.outline.objectives)
    slide = canvas.slide(
        f"{counted(len(review.picks), 'pick')} beside the baseline; {differ} of "
        f"{len(review.front.outline.variables)} variables differ"
    )
    table(slide, found, BODY, marked=range(2 + len(review.front.outline.objectives)))


def _points(view: FrontView) -> tuple[Array, Array]:
    """Return the places of designs, in the units they are read in."""
    found = []
    for place, one in enumerate(view.outline.objectives[:2]):
        unit = amount_of(view.quantities[one.name], 0.0).shown_in
        found.append(units.from_si(view.designs.objectives[:, place], one.unit, unit))
    if len(found) == 1:
        return view.designs.numbers.astype(np.float64), found[0]
    return found[1], found[0]


def _thinned(rows: Codes) -> Codes:
    return rows[:: len(rows) // MOST_POINTS + 1]


def _label(view: FrontView, place: int) -> str:
    one = view.outline.objectives[place]
    unit = amount_of(view.quantities[one.name], 0.0).shown_in
    better = "more" if one.highest else "less"
    return f"{spoken(one.name)} [{unit}], {better} is better".replace(" []", "")


def _span(values: Array) -> tuple[float, float] | None:
    """Return a span of round numbers around values."""
    known = values[np.isfinite(values)]
    if not known.size:
        return None
    low, high = float(known.min()), float(known.max())
    room = _ROOM * (high - low or abs(high) or 1.0)
    step = 10.0 ** np.floor(np.log10(high - low + 2.0 * room))
    step = step / 2.0 if (high - low) / step < 5.0 else step  # noqa: PLR2004 - enough ticks
    return (
        float(step * np.floor((low - room) / step)),
        float(step * np.ceil((high + room) / step)),
    )
