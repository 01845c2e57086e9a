"""Slides on what was asked and what is answered: decision, requirements, robot and mission."""

from tradeopt.chain.kind import Number
from tradeopt.report.amount import Cell, amount, size_of
from tradeopt.report.deck.canvas import BODY, SOFT, Box, Canvas, bullets, table, text
from tradeopt.report.limits import ACTIVE
from tradeopt.report.review import (
    Review,
    alternatives_section,
    change_words,
    reasons,
    requirement_rows,
)
from tradeopt.report.section import Section
from tradeopt.report.view import counted, spoken
from tradeopt.study.given import Value

_NEAREST = "No design meets every limit yet"


def decision(canvas: Canvas, review: Review) -> None:
    """Ask for the decision, and recommend."""
    chosen, meets = review.chosen, review.chosen.sheet.feasible
    words = change_words(review, chosen)
    slide = canvas.slide(f"Recommended: {chosen.name}, {words}" if meets else _NEAREST)
    left, right = BODY.halves(0.52)
    bullets(slide, reasons(review), left)
    upper, lower = right.stack(0.55)
    picked = alternatives_section(review)
    few = picked.rows[: 2 + len(review.front.outline.objectives)]
    table(slide, Section("picks", "Picks", picked.heads, few), upper)
    table(slide, review.insights.robust, lower)


def requirements(canvas: Canvas, review: Review) -> None:
    """Hold the recommended design against every limit."""
    chosen = review.chosen
    found = requirement_rows(review)
    active = sum(str(row[-1]).startswith("active") for row in found.rows)
    missed = sum(str(row[-1]).startswith("misses") for row in found.rows)
    title = f"{chosen.name.capitalize()} meets all {len(found.rows)} limits; {active} only just"
    if missed:
        title = f"{chosen.name.capitalize()} misses {missed} of {len(found.rows)} limits"
    slide = canvas.slide(title)
    remark = (
        f"The tightest first; active: met, with at most {100 * ACTIVE:g} % of the limit's scale "
        "left. P10 to P90: value got in all but one of ten draws, and in one of ten, under the "
        "assumed spreads. Met in: share of draws. Margins not listed are wider"
    )
    shown = found.rows[:14]
    table(slide, Section("requirements", "", found.heads, shown, remark), BODY)


def asked(canvas: Canvas, review: Review) -> None:
    """Say which robot walks which gaits on which mission."""
    gaits = review.study.problem.layout.gaits
    legs = review.chosen.sheet.section("legs")
    slide = canvas.slide(
        f"One robot, {counted(len(gaits), 'gait')}, a mission of "
        f"{counted(len(legs.rows), 'leg')}, and "
        f"{len(review.front.outline.variables)} things to choose"
    )
    left, right = BODY.halves(0.42)
    table(slide, _robot(review), left)
    upper, lower = right.stack(0.42)
    table(
        slide,
        Section("legs", "", legs.heads[:3], tuple(row[:3] for row in legs.rows), legs.remark),
        upper,
    )
    heading, rest = Box(lower.left, lower.top, lower.width, 0.35), _below(lower, 0.35)
    text(slide, "What the numbers take for granted", heading, 14, bold=True)
    bullets(slide, [note for note in review.chosen.sheet.notes if "gait" in note][:5], rest, 13)
    text(
        slide,
        "Values of the study file; all data is only as good as its source there.",
        Box(left.left, 6.6, left.width, 0.3),
        10,
        SOFT,
    )


def _below(box: Box, height: float) -> Box:
    return Box(box.left, box.top + height, box.width, box.height - height)


_TOLD = (
    ("surroundings", ("ambient", "altitude")),
    (
        "robot.frame",
        ("thigh", "shank", "ankle_height", "hip_spacing", "foot.length", "foot.width"),
    ),
    ("robot.battery", ("cell", "series", "parallel", "reserve", "age")),
    ("robot.electronics", ("peak_current", "regeneration")),
    ("robot.standby", ("computing", "sensing")),
)
"""What is told of the baseline, by part of the study."""


def _robot(review: Review) -> Section:
    values = review.study.problem.values
    rows: list[tuple[Cell, ...]] = []
    for part, names in _TOLD:
        for name in names:
            path = f"{part}.{name}"
            if path in values:
                words = f"{spoken(part.rpartition('.')[2])} {spoken(name).replace('.', ' ')}"
                rows.append((words, str(_cell(review, path, values[path]))))
    for gait in review.study.problem.layout.gaits:
        path = f"gaits.{gait}"
        kind, speed = values[f"{path}.kind"], values.get(f"{path}.speed")
        said = f", {_cell(review, f'{path}.speed', speed)}" if speed is not None else ""
        rows.append((f"gait {spoken(gait)}", f"{kind}{said}"))
    return Section("robot", "", ("baseline", "value"), tuple(rows))


def _cell(review: Review, path: str, value: Value) -> Cell:
    leaf = review.study.problem.layout.leaves[path]
    if isinstance(value, str) or not isinstance(leaf, Number):
        return str(value)
    if leaf.unit == "1" and leaf.at_most == 1.0:
        return amount(value, "1", "%")
    return (
        amount(value, leaf.unit) if path.startswith("surroundings") else size_of(value, leaf.unit)
    )
