"""Slides on the recommended design itself: masses, energy, motors, heat."""

import numpy as np

from tradeopt import quantities as q
from tradeopt import units
from tradeopt.report.amount import Amount, Cell, amount
from tradeopt.report.curves import ROUNDS, TorqueSpeed, torque_speed_maps, warming
from tradeopt.report.deck.canvas import BODY, SOFT, Box, Canvas, key, table, text
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
from tradeopt.report.regions import field_words
from tradeopt.report.review import Review
from tradeopt.report.section import Section
from tradeopt.report.view import spoken

_GAIT_COLOURS = (BLUE, GREEN, PURPLE)
_JOINT_LINES = [(colour, dashed) for dashed in (False, True) for colour in _GAIT_COLOURS]
_COLUMNS = 3


def masses(canvas: Canvas, review: Review) -> None:
    """State the masses: basic, growth, predicted."""
    mass = review.chosen.sheet.section("mass")
    whole = mass.row("whole robot")
    slide = canvas.slide(
        f"{review.chosen.name.capitalize()} weighs {whole['basic']} and is predicted to weigh "
        f"{whole['predicted']} with growth"
    )
    left, right = BODY.halves(0.52)
    table(slide, mass, left, marked=[len(mass.rows) - 1])
    parts = [row for row in mass.rows[:-1] if isinstance(row[4], Amount)]
    heavy = sorted(parts, key=lambda row: -_shown(row[4]))[:12]
    series = {
        name: [_shown(row[place]) for row in heavy]
        for name, place in (("basic", 2), ("growth", 3))
    }
    shown = Bars(
        [str(row[0]) for row in heavy], series, (BLUE, VERMILLION), stacked=True, overlap=100
    )
    bars(slide, shown, Axes("", "predicted mass [kg], the heaviest items"), right)


def energy(canvas: Canvas, review: Review) -> None:
    """Say where the energy of a charge goes."""
    sheet = review.chosen.sheet
    spent, legs = sheet.section("energy"), sheet.section("legs")
    parts = [row for row in spent.rows if isinstance(row[1], Amount)]
    if not parts:
        canvas.slide("One charge gives no energy to tell of")
        return
    largest = max(parts, key=lambda row: _shown(row[1]))
    slide = canvas.slide(
        f"The largest part of a charge is {spoken(str(largest[0]))}: {largest[1]}, {largest[2]}"
    )
    left, right = BODY.halves(0.55)
    upper, lower = left.stack(0.5)
    table(slide, legs, upper)
    table(slide, sheet_facts(review), lower)
    order = sorted(parts, key=lambda row: -_shown(row[1]))
    shown = Bars(
        [spoken(str(row[0])) for row in order],
        {"energy": [_shown(row[1]) for row in order]},
        (BLUE,),
        number_format="#,##0.0",
    )
    bars(slide, shown, Axes("", "energy of one charge by where it goes [Wh]"), right)


def sheet_facts(review: Review) -> Section:
    """Put what the mission and the pack come to in a table."""
    sheet = review.chosen.sheet
    wanted = {
        "range",
        "endurance",
        "completed_rounds",
        "mean_power",
        "cost_of_transport",
        "pack_energy",
        "low_bus_voltage",
        "pack_loss",
        "pack_current_margin",
        "pack_power_margin",
    }
    rows = [
        row
        for name in ("mission", "battery")
        for row in sheet.section(name).rows
        if row[0] in wanted
    ]
    told = [(spoken(str(row[0])), str(row[1]), row[2]) for row in rows]
    peak = float(review.chosen.view.of(q.BUS_POWER).max())
    told.append(("peak power", str(amount(peak, "W")), "largest drawn from the pack at any phase"))
    return Section("facts", "", ("quantity", "value", "meaning"), tuple(told))


def torque_speed(canvas: Canvas, review: Review) -> None:
    """Draw the gaits over what each motor can do."""
    view = review.chosen.view
    margins = view.of(q.MOTOR_TORQUE_MARGIN)
    tightest = int(margins.argmin())
    slide = canvas.slide(
        f"The {spoken(q.JOINTS[tightest])} motor comes nearest to its peak torque: "
        f"{units.show(float(margins[tightest]), '1', 4, '%')} left"
    )
    maps = torque_speed_maps(view, review.study.problem.limits)
    rows = -(-len(maps) // _COLUMNS)
    width, height = BODY.width / _COLUMNS, (BODY.height - 0.75) / rows
    for number, one in enumerate(maps):
        row, column = divmod(number, _COLUMNS)
        box = Box(BODY.left + column * width, BODY.top + row * height, width - 0.1, height - 0.05)
        axes = Axes("speed [rad/s]", "torque [N*m]", spoken(one.joint), legend=False, font=9)
        scatter(slide, _lines(one), axes, box)
    remark = (
        "Motor shaft; negative torque brakes. Limit: the motor's peak torque, the inverter's "
        f"current and the voltage of the sagging pack, {field_words(view)}. Lasting: constant "
        "torque that takes the winding to its limit"
    )
    entries = [(one.colour, one.name) for one in _lines(maps[0])]
    key(slide, entries, Box(BODY.left, BODY.top + BODY.height - 0.75, BODY.width, 0.35))
    text(slide, remark, Box(BODY.left, BODY.top + BODY.height - 0.4, BODY.width, 0.4), 10, SOFT)


def _lines(one: TorqueSpeed) -> list[Series]:
    found = [
        Series(
            spoken(loop.gait),
            np.append(loop.x, loop.x[0]),
            np.append(loop.y, loop.y[0]),
            colour,
            line=1.5,
        )
        for loop, colour in zip(one.loops, _cycled(len(one.loops)), strict=True)
    ]
    speed = np.concatenate([one.speed, one.speed[::-1]])
    edge = np.concatenate([one.driving, one.braking[::-1]])
    found.append(Series("limit", speed, edge, VERMILLION, line=1.75))
    if one.contours:
        lasting = one.contours[-1].torque
        found.append(
            Series(
                "lasting",
                np.concatenate([one.speed, one.speed[::-1]]),
                np.concatenate([lasting, -lasting[::-1]]),
                GREY,
                line=1.25,
                dashed=True,
            )
        )
    return found


def _cycled(count: int) -> list[str]:
    return [_GAIT_COLOURS[number % len(_GAIT_COLOURS)] for number in range(count)]


def heat(canvas: Canvas, review: Review) -> None:
    """Say how warm windings and housings get."""
    view = review.chosen.view
    winding = view.of(q.WINDING_TEMPERATURE)
    joint, gait = np.unravel_index(int(winding.argmax()), winding.shape)
    slide = canvas.slide(
        f"The warmest winding is the {spoken(q.JOINTS[int(joint)])}'s in "
        f"{spoken(view.gaits[int(gait)])}: "
        f"{units.show(float(winding.max()), 'K')}{_left(review, float(winding.max()))}"
    )
    left, right = BODY.halves(0.5)
    limits = {one.name: one for one in review.study.problem.limits}
    for box, quantity in zip(
        left.stack(0.5), (q.WINDING_TEMPERATURE, q.HOUSING_TEMPERATURE), strict=True
    ):
        found = review.chosen.sheet.section(f"{quantity.name}s")
        limit = limits.get(quantity.name)
        words = f"{spoken(quantity.name)}; {found.remark}" + (
            f"; limit {units.show(limit.value, 'K')}" if limit else "; no limit asked"
        )
        table(slide, Section(found.name, found.title, found.heads, found.rows, words), box)
    warm = warming(view)
    courses = (("winding", warm.course.winding), ("housing", warm.course.housing))
    for box, (part, values) in zip(right.stack(0.5), courses, strict=True):
        lines = [
            Series(
                spoken(joint),
                warm.course.time / 60.0,
                units.from_si(row, "K"),
                colour,
                marker="none",
                line=1.5,
                dashed=dashed,
            )
            for joint, row, (colour, dashed) in zip(q.JOINTS, values, _JOINT_LINES, strict=True)
        ]
        axes = Axes(
            f"time [min], {ROUNDS} rounds from cold", f"{part} temperature [degC]", font=10
        )
        scatter(slide, lines, axes, box)


def _left(review: Review, warmest: float) -> str:
    """Say how far the warmest winding is from its limit, if it has one."""
    limits = {one.name: one.value for one in review.study.problem.limits}
    if q.WINDING_TEMPERATURE.name not in limits:
        return ""
    left = limits[q.WINDING_TEMPERATURE.name] - warmest
    return f", {amount(abs(left), 'delta_K')} {'below' if left >= 0.0 else 'above'} its limit"


def _shown(cell: Cell) -> float:
    if isinstance(cell, str):
        return float("nan")
    return float(units.from_si(cell.value, cell.unit, cell.shown_in))
