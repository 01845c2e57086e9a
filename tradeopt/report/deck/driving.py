"""Slides on what drives the design: limits, assumptions, mechanisms, what would change it."""

from tradeopt import units
from tradeopt.report.amount import Amount
from tradeopt.report.deck.canvas import BODY, Canvas, bullets, table, text
from tradeopt.report.deck.charts import BLUE, GREEN, VERMILLION, Axes, Bars, bars
from tradeopt.report.review import Review
from tradeopt.report.section import Section
from tradeopt.report.view import spoken
from tradeopt.search.stationary import STATIONARY


def tight_limits(canvas: Canvas, review: Review) -> None:
    """Tell the tightest limits and what moving them would win."""
    found = review.insights.tight
    active = [
        str(row[0]) for row in found.rows if isinstance(row[1], Amount) and row[1].value > 0.0
    ]
    whose = "The front is" if review.standing.front_size else "The nearest designs are"
    title = f"{whose} held back most by {active[0]}"
    title = title if active else "No limit is active on the front"
    slide = canvas.slide(title)
    upper, lower = BODY.stack(0.76)
    remark = (
        "Active in: share of the front. Won: per step that the limit is relaxed by, the other "
        f"objectives held; here: by {review.chosen.name}, on the front: in the middle of the "
        "designs that it costs something. No slope: the objective moves in steps there"
    )
    table(slide, Section("tight_limits", "", found.heads, found.rows, remark), upper)
    bullets(slide, _certainty(review), lower, 13)


def _certainty(review: Review) -> list[str]:
    insights = review.insights
    points = [f"Along the front near {review.chosen.name}: {insights.exchange}."]
    points = points if insights.exchange else []
    if insights.residual is None:
        return [
            *points,
            "Slopes tell nothing of this design, so that it has no prices of its own; see those "
            "on the front.",
        ]
    how = (
        "no small change improves it"
        if insights.residual <= STATIONARY
        else ("it could still be improved a little, so that its prices are rough")
    )
    return [*points, f"First-order conditions: {insights.residual:.2g} left, {how}."]


def sensitivity(canvas: Canvas, review: Review) -> None:
    """Show one assumption at a time."""
    found = review.insights.tornado
    objective = review.front.outline.objectives[0].name
    name = spoken(objective)
    if not found.rows:
        canvas.slide(f"No assumption alone moves the {name}")
        return
    slide = canvas.slide(f"{str(found.rows[0][0]).capitalize()} moves the {name} most")
    left, right = BODY.halves(0.5)
    table(slide, found, left)
    ends = {
        end: [_shown(row[2 + place]) for row in found.rows]
        for place, end in enumerate(("low end", "high end"))
    }
    cell = found.rows[0][2]
    unit = cell.shown_in if isinstance(cell, Amount) else ""
    shown = Bars([str(row[0]) for row in found.rows], ends, (BLUE, VERMILLION), overlap=100)
    bars(slide, shown, Axes("", f"change of {name} [{unit}]"), right)


def spread(canvas: Canvas, review: Review) -> None:
    """Show all assumptions at once."""
    insights = review.insights
    share = units.show(insights.meets_all, "1", 4, "%")
    slide = canvas.slide(f"With every assumption off at once, {share} of draws meet all limits")
    left, right = BODY.halves(0.5)
    upper, lower = left.stack(0.4)
    table(slide, insights.robust, upper)
    table(slide, insights.variance, lower)
    weak = sorted(insights.chances.items(), key=lambda one: one[1])
    weak = [one for one in weak if one[1] < 1.0][:12] or weak[:1]
    shown = Bars(
        [spoken(name) for name, _ in weak],
        {"kept": [100.0 * value for _, value in weak]},
        (GREEN,),
        number_format="0.0",
    )
    bars(
        slide,
        shown,
        Axes(
            "",
            "draws that meet the limit [%]; all others are met in every draw",
            y_range=(0.0, 100.0),
        ),
        right,
    )


def mechanisms(canvas: Canvas, review: Review) -> None:
    """Tell what each mechanism is worth."""
    found = review.insights.worth
    slide = canvas.slide(
        f"What each mechanism of {review.chosen.name} is worth"
        if found.rows
        else "No mechanism of this study can be swapped"
    )
    upper, lower = BODY.stack(0.6) if review.insights.found.rows else (BODY, None)
    if found.rows:
        table(slide, found, upper)
    if lower is not None:
        table(slide, review.insights.found, lower)


def flips(canvas: Canvas, review: Review) -> None:
    """Tell what would change the recommendation."""
    found = review.insights.flips
    if not found.rows:
        _no_flips(canvas, review)
        return
    name, _, _, change, then = found.rows[0]
    slide = canvas.slide(
        f"{str(name).capitalize()} {change} is enough: {review.chosen.name} {then}"
        if str(then).startswith("misses")
        else f"{str(name).capitalize()} {change} is enough: {then}"
    )
    table(slide, found, BODY)


def _no_flips(canvas: Canvas, review: Review) -> None:
    if review.chosen.sheet.feasible:
        title = "No single assumption changes the recommendation"
        words = f"None was found. Looked for was {review.insights.flips.remark}."
    else:
        title = "There is no recommendation to change yet"
        words = "The design that the numbers are of misses a limit as it is."
    text(canvas.slide(title), words, BODY, 16)


def _shown(cell: object) -> float:
    if not isinstance(cell, Amount):
        return float("nan")
    return float(units.from_si(cell.value, cell.unit, cell.shown_in))
