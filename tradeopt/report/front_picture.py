"""A picture of a front (extra: plots)."""

from importlib.metadata import version
from pathlib import Path
from typing import BinaryIO

import matplotlib as mpl
import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from tradeopt import units
from tradeopt.arrays import Array, Flags
from tradeopt.report.amount import amount_of
from tradeopt.report.front import FrontView
from tradeopt.report.view import spoken

BLUE, VERMILLION, PURPLE, GREY = "#0072B2", "#D55E00", "#CC79A7", "#6E6E6E"
"""Okabe and Ito's colours for the colour-blind (jfly.uni-koeln.de/color, 2008), and a grey."""

MOST_CROSSES = 3000
"""Designs off the front that are drawn of each sort; more are thinned evenly."""

_ROOM = 0.08
_SIZE = (7.5, 5.0)


def draw_front(
    front: FrontView, tried: FrontView, baseline: FrontView, path: Path, title: str
) -> Path:
    """
    Draw a front: its first objective over its second.

    Parameters
    ----------
    front : FrontView
        Designs that no other one beats.
    tried : FrontView
        All designs of the run.
    baseline : FrontView
        The study's own design.
    path : Path
        Where to draw it; the suffix is the format, .svg or .png.
    title : str
        Name of the run.

    Returns
    -------
    Path
        The same.

    Notes
    -----
    The picture shows what meets the limits and the baseline; of the designs that miss them only
    those that lie there too. Shape and colour say the same. A study with one objective has its
    designs drawn over their numbers.
    """
    save(front_figure(front, tried, baseline, title), path, title)
    return path


def front_figure(front: FrontView, tried: FrontView, baseline: FrontView, title: str) -> Figure:
    """Draw a front as `draw_front` does, without writing it anywhere."""
    figure = Figure(figsize=_SIZE, layout="constrained")
    axes = figure.subplots()
    _draw_tried(axes, tried)
    size = len(front.designs)
    axes.scatter(
        *_points(front), s=30, color=BLUE, zorder=3, label=f"front, {size} designs", marker="o"
    )
    met = "meets every limit" if bool(baseline.designs.feasible[0]) else "misses a limit"
    axes.scatter(
        *_points(baseline), s=75, marker="D", zorder=4, label=f"baseline, {met}", color=VERMILLION
    )
    _frame(axes, front, tried, baseline)
    axes.set_title(f"{title}: {_title(front)}", loc="left")
    axes.legend(loc="best", frameon=True)
    return figure


def save(figure: Figure, target: Path | BinaryIO, title: str, form: str = "") -> None:
    """
    Write a picture that says what made it, and is the same whenever it is made of the same.

    Parameters
    ----------
    figure : Figure
        The picture.
    target : Path or BinaryIO
        Where to.
    title : str
        Name of the run.
    form : str
        svg or png; the suffix of the path unless given.
    """
    chosen = form or (target.suffix.removeprefix(".") if isinstance(target, Path) else "svg")
    source = f"tradeopt {version('tradeopt')}, run {title}"
    stamp = {"Date": None, "Creator": source} if chosen == "svg" else {"Software": source}
    with mpl.rc_context({"svg.hashsalt": title}):
        figure.savefig(target, format=chosen, metadata=stamp, dpi=150)


def _title(front: FrontView) -> str:
    names = [spoken(one.name) for one in front.outline.objectives]
    return f"{names[0]} against {names[1] if len(names) > 1 else 'designs'}"


def _draw_tried(axes: Axes, tried: FrontView) -> None:
    x, y = _points(tried)
    meets = tried.designs.feasible
    for chosen, mark, colour, label in (
        (~meets, "x", GREY, "misses a limit"),
        (meets, ".", PURPLE, "meets every limit, beaten"),
    ):
        rows = np.flatnonzero(chosen & np.isfinite(x) & np.isfinite(y))
        rows = rows[:: len(rows) // MOST_CROSSES + 1]
        axes.scatter(
            x[rows],
            y[rows],
            s=14,
            marker=mark,
            color=colour,
            alpha=0.35,
            label=label,
            rasterized=True,
        )


def _points(view: FrontView) -> tuple[Array, Array]:
    """Return the places of designs in the units they are read in."""
    columns = [_column(view, place) for place in range(min(2, len(view.outline.objectives)))]
    if len(columns) == 1:
        return view.designs.numbers.astype(np.float64), columns[0]
    return columns[1], columns[0]


def _column(view: FrontView, place: int) -> Array:
    one = view.outline.objectives[place]
    unit = amount_of(view.quantities[one.name], 0.0).shown_in
    return units.from_si(view.designs.objectives[:, place], one.unit, unit)


def _frame(axes: Axes, front: FrontView, tried: FrontView, baseline: FrontView) -> None:
    """Label the axes, and show what meets the limits with some room around it."""
    x, y = (np.concatenate(pair) for pair in zip(_points(tried), _points(baseline), strict=True))
    feasible = np.append(tried.designs.feasible, np.ones(len(baseline.designs), dtype=np.bool_))
    kept = feasible & np.isfinite(x) & np.isfinite(y)
    axes.set_xlim(*_span(x, kept))
    axes.set_ylim(*_span(y, kept))
    labels = [_label(front, place) for place in range(len(front.outline.objectives))]
    axes.set_ylabel(labels[0])
    axes.set_xlabel(labels[1] if len(labels) > 1 else "design")
    axes.grid(alpha=0.25)
    axes.set_axisbelow(True)


def _span(values: Array, kept: Flags) -> tuple[float, float]:
    shown = values[kept] if kept.any() else np.array([0.0, 1.0])
    low, high = float(shown.min()), float(shown.max())
    room = _ROOM * (high - low or abs(high) or 1.0)
    return low - room, high + room


def _label(view: FrontView, place: int) -> str:
    one = view.outline.objectives[place]
    unit = amount_of(view.quantities[one.name], 0.0).shown_in
    better = "more" if one.highest else "less"
    return f"{spoken(one.name)} [{unit}], {better} is better".replace(" []", "")
