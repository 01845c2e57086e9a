"""Pictures of one design (extra: plots): motors, ratios and temperatures."""

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from tradeopt import quantities as q
from tradeopt import units
from tradeopt.report.curves import (
    ROUNDS,
    RatioCurve,
    TorqueSpeed,
    Warming,
    ratio_curves,
    torque_speed_maps,
    warming,
)
from tradeopt.report.front_picture import BLUE, GREY, PURPLE, VERMILLION
from tradeopt.report.regions import field_words
from tradeopt.report.view import View, spoken
from tradeopt.study.problem import Limit

GREEN = "#009E73"
_COLOURS = (BLUE, GREEN, PURPLE, GREY)
_STYLES = ("-", "--", ":", "-.")
_GRID = (2, 3)
_SIZE = (12.0, 7.0)
_HEAT = ("#FBE6D4", "#F3C9A8", "#E8A374")
"""Shades between heat contours, cool to warm; beyond the last one it is too warm to last."""


def design_figures(view: View, limits: tuple[Limit, ...], title: str) -> dict[str, Figure]:
    """
    Draw a design.

    Parameters
    ----------
    view : View
        The design.
    limits : tuple of Limit
        Of the study.
    title : str
        What to call it.

    Returns
    -------
    dict of str to Figure
        By name: `torque_speed`, `ratio` and `temperatures`.
    """
    return {
        "torque_speed": _torque_speed(
            torque_speed_maps(view, limits), f"{title}, {field_words(view)}"
        ),
        "ratio": _ratio(ratio_curves(view), title),
        "temperatures": _temperatures(warming(view), limits, title),
    }


def _torque_speed(maps: Sequence[TorqueSpeed], title: str) -> Figure:
    figure = Figure(figsize=_SIZE, layout="constrained")
    for axes, one in zip(figure.subplots(*_GRID).flat, maps, strict=True):
        _draw_heat(axes, one)
        for loop, colour in zip(one.loops, _cycle(len(one.loops)), strict=True):
            closed = (np.append(part, part[0]) for part in (loop.x, loop.y))
            marker = "o" if np.ptp(loop.x) == 0.0 else None
            axes.plot(*closed, color=colour, linewidth=1.4, marker=marker, label=spoken(loop.gait))
        axes.plot(one.speed, one.driving, color=VERMILLION, linewidth=2, label="limit")
        axes.plot(one.speed, one.braking, color=VERMILLION, linewidth=2)
        axes.axhline(0.0, color=GREY, linewidth=0.6)
        axes.set_title(spoken(one.joint), fontsize=10)
        axes.set_xlim(0.0, float(one.speed[-1]))
        axes.set_xlabel("motor speed [rad/s]")
        axes.set_ylabel("motor torque [N*m]")
    handles, labels = figure.axes[0].get_legend_handles_labels()
    figure.legend(handles, labels, loc="outside lower center", ncols=8)
    figure.suptitle(
        f"{title}: torque over speed; limit by motor, inverter and sagging pack, shades by the "
        "temperature at which a constant torque settles",
        fontsize=10,
        x=0.01,
        ha="left",
    )
    return figure


def _draw_heat(axes: Axes, one: TorqueSpeed) -> None:
    """Shade the torques that can last, the cooler the lighter."""
    for contour, shade in reversed(list(zip(one.contours, _HEAT, strict=True))):
        warm = units.show(contour.temperature, "K", 3)
        axes.fill_between(
            one.speed,
            -contour.torque,
            contour.torque,
            color=shade,
            linewidth=0.0,
            label=f"lasts below {warm}",
        )


def _ratio(curves: Sequence[RatioCurve], title: str) -> Figure:
    figure = Figure(figsize=_SIZE, layout="constrained")
    for axes, one in zip(figure.subplots(*_GRID).flat, curves, strict=True):
        loops = zip(one.loops, _cycle(len(one.loops)), _STYLES * len(one.loops), strict=False)
        for loop, colour, style in loops:
            angle = units.from_si(loop.x, "rad", "deg")
            axes.plot(angle, loop.y, color=colour, linestyle=style, label=spoken(loop.gait))
        known = np.concatenate([loop.y[np.isfinite(loop.y)] for loop in one.loops])
        if known.size:
            axes.set_ylim(0.0, 1.25 * float(known.max()))
        axes.set_title(spoken(one.joint), fontsize=10)
        axes.set_xlabel("joint angle [deg]")
        axes.set_ylabel("motor speed per joint speed")
        axes.grid(alpha=0.25)
    handles, labels = figure.axes[0].get_legend_handles_labels()
    figure.legend(handles, labels, loc="outside lower center", ncols=6)
    figure.suptitle(f"{title}: ratio over joint angle", fontsize=10, x=0.01, ha="left")
    return figure


def _temperatures(found: Warming, limits: tuple[Limit, ...], title: str) -> Figure:
    figure = Figure(figsize=(12.0, 4.5), layout="constrained")
    bounds = {one.name: one.value for one in limits}
    for axes, name, warm in zip(
        figure.subplots(1, 2),
        (q.WINDING_TEMPERATURE.name, q.HOUSING_TEMPERATURE.name),
        (found.course.winding, found.course.housing),
        strict=True,
    ):
        for joint, row, place in zip(q.JOINTS, warm, range(len(q.JOINTS)), strict=True):
            axes.plot(
                found.course.time / 60.0,
                units.from_si(row, "K"),
                label=spoken(joint),
                linewidth=1.6,
                color=_COLOURS[place % len(_COLOURS)],
                linestyle=_STYLES[place // len(_COLOURS)],
            )
        if name in bounds:
            axes.axhline(float(units.from_si(bounds[name], "K")), color=VERMILLION, label="limit")
        _name_legs(axes, found)
        axes.set_xlabel("time [min]")
        axes.set_ylabel(f"{spoken(name)} [degC]")
    handles, labels = figure.axes[0].get_legend_handles_labels()
    figure.legend(handles, labels, loc="outside lower center", ncols=8)
    words = (
        f"{title}: temperatures over {ROUNDS} rounds of the mission, started as cold as the air"
    )
    figure.suptitle(words, fontsize=10, x=0.01, ha="left")
    return figure


def _name_legs(axes: Axes, found: Warming) -> None:
    """Part the legs, and name those of the first round."""
    low, high = axes.get_ylim()
    axes.set_ylim(low, high + 0.25 * (high - low))
    ends = found.ends / 60.0
    axes.set_xlim(0.0, float(ends[-1]))
    for end in ends:
        axes.axvline(float(end), color=GREY, linewidth=0.5)
    edges = np.concatenate([[0.0], ends[: len(ends) // ROUNDS]])
    for leg, start, end in zip(found.legs, edges, edges[1:], strict=False):
        middle, top = float(start + end) / 2.0, high + 0.23 * (high - low)
        axes.text(middle, top, spoken(leg), ha="center", va="top", rotation=90, fontsize=8)


def _cycle(count: int) -> list[str]:
    return [_COLOURS[number % len(_COLOURS)] for number in range(count)]
