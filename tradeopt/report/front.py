"""The front of a run as tables, and what to say where nothing meets the limits."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from tradeopt import units
from tradeopt.arrays import Codes, Flags
from tradeopt.quantities import Quantity
from tradeopt.report.amount import Amount, Cell, amount_of, size_of
from tradeopt.report.limits import ACTIVE, distance, margin_words
from tradeopt.report.section import Plain, Section, plain_cell
from tradeopt.report.sheet import variable_cell
from tradeopt.search.designs import Designs, Outline
from tradeopt.search.front import minimised, spread_out

ROWS = 15
"""Most designs of a front that a terminal shows."""


@dataclass(frozen=True)
class FrontView:
    """Designs of a run, and what their numbers mean.

    Attributes
    ----------
    outline : Outline
        Variables, objectives and limits.
    quantities : mapping of str to Quantity
        Everything the study's chain gives, by name.
    designs : Designs
        The front, or the designs nearest to the limits.
    """

    outline: Outline
    quantities: Mapping[str, Quantity]
    designs: Designs

    def objectives(self, row: int) -> tuple[Amount, ...]:
        """Return the objectives of one design."""
        return tuple(
            amount_of(self.quantities[one.name], float(value))
            for one, value in zip(
                self.outline.objectives, self.designs.objectives[row], strict=True
            )
        )

    @cached_property
    def steady(self) -> Flags:
        """Shape (limit,): True where all designs keep a limit alike, as no variable moves it."""
        missed = self.designs.violations
        alike = np.all(missed == missed[:1], axis=0) & np.all(missed <= 0.0, axis=0)
        # what is true of all limits, as for a single design, tells nothing
        steady: Flags = alike & ~np.all(alike)
        return steady

    def tightest(self, row: int) -> tuple[str, str]:
        """Return the limit that a design is nearest to, or misses most, and the words for it."""
        missed = np.where(self.steady, -np.inf, self.designs.violations[row])
        if not missed.size:
            return "", "no limits"
        place = int(missed.argmax())
        return self.outline.limits[place].name, self.words(row, place)

    def words(self, row: int, place: int) -> str:
        """Say how a design keeps one limit."""
        missed = self.designs.violations[row]
        limit = self.outline.limits[place]
        quantity = self.quantities[limit.name.partition(".")[0]]
        return margin_words(limit, quantity, float(missed[place]))

    def sorted_rows(self) -> Codes:
        """Return the rows in order of the first objective, the best first."""
        costs = minimised(self.designs.objectives, self.outline.objectives)
        return np.argsort(costs[:, 0], kind="stable")


def front_section(view: FrontView, most: int = ROWS) -> Section:
    """
    Put a front in a table for a reader.

    Parameters
    ----------
    view : FrontView
        The front.
    most : int
        Most rows; where there are more, those are shown that lie far from each other.

    Returns
    -------
    Section
        Number, objectives and tightest limit of each design.
    """
    shown = set(_spread(view, most).tolist())
    rows = [row for row in view.sorted_rows().tolist() if row in shown]
    heads = ("design", *(one.name for one in view.outline.objectives), "tightest_limit", "verdict")
    size = len(view.designs)
    spread = [f"{len(rows)} of {size} designs, spread out"] if len(rows) < size else []
    remark = "; ".join([*spread, *_alike(view)])
    return Section("front", "Front", heads, tuple(_row(view, row) for row in rows), remark)


def _alike(view: FrontView) -> list[str]:
    """Say which limits all designs keep alike, where that is a close thing."""
    tight = np.flatnonzero(view.steady & (view.designs.violations[:1] >= -ACTIVE).any(axis=0))
    names = [f"{view.outline.limits[n].name} {view.words(0, n)}" for n in tight.tolist()]
    return [f"alike in all: {', '.join(names)}"] if names else []


def _spread(view: FrontView, most: int) -> Codes:
    return spread_out(minimised(view.designs.objectives, view.outline.objectives), most)


def nearest_section(view: FrontView) -> Section:
    """
    Put the designs that come nearest to the limits in a table, in the order they stand.

    Parameters
    ----------
    view : FrontView
        Designs that miss limits.

    Returns
    -------
    Section
        How many limits each misses, and which by how much.
    """
    rows: list[tuple[Cell, ...]] = []
    for row in range(len(view.designs)):
        missed = int((view.designs.violations[row] > 0.0).sum())
        number, *objectives, name, words = _row(view, row)
        rows.append((number, *objectives, str(missed), name, words))
    names = (one.name for one in view.outline.objectives)
    heads = ("design", *names, "limits_missed", "missed_most", "verdict")
    return Section("nearest", "Nearest designs", heads, tuple(rows))


def _row(view: FrontView, row: int) -> tuple[Cell, ...]:
    number = str(view.designs.numbers[row])
    return (number, *view.objectives(row), *view.tightest(row))


def plain_front(view: FrontView) -> list[Plain]:
    """
    Turn designs into what JSON can hold.

    Parameters
    ----------
    view : FrontView
        The front.

    Returns
    -------
    list of dict
        One a design: its number, objectives and variables with their SI units, and what is left
        to each limit; negative where it is missed.
    """
    return [_plain_design(view, row) for row in view.sorted_rows().tolist()]


def _plain_design(view: FrontView, row: int) -> Plain:
    limits = zip(view.outline.limits, view.designs.violations[row].tolist(), strict=True)
    variables = zip(view.outline.variables, view.designs.values[row].tolist(), strict=True)
    objectives = zip(view.outline.objectives, view.objectives(row), strict=True)
    return {
        "design": int(view.designs.numbers[row]),
        "objectives": {one.name: plain_cell(cell) for one, cell in objectives},
        "left": {
            one.name: plain_cell(
                distance(one, view.quantities[one.name.partition(".")[0]], -missed)
            )
            for one, missed in limits
        },
        "variables": {one.path: plain_cell(variable_cell(one, value)) for one, value in variables},
    }


def front_columns(view: FrontView) -> dict[str, list[str | int | float]]:
    """
    Lay designs out as columns, the unit in the name of each.

    Parameters
    ----------
    view : FrontView
        The front.

    Returns
    -------
    dict of str to list
        `design`, then objectives and variables in the units they are read in; full precision.
    """
    rows = view.sorted_rows()
    columns: dict[str, list[str | int | float]] = {"design": view.designs.numbers[rows].tolist()}
    for place, one in enumerate(view.outline.objectives):
        unit = amount_of(view.quantities[one.name], 0.0).shown_in
        values = units.from_si(view.designs.objectives[rows, place], one.unit, unit)
        columns[_head(one.name, unit)] = values.tolist()
    for place, variable in enumerate(view.outline.variables):
        unit = "" if variable.choices else size_of(0.0, variable.unit).shown_in
        said = [variable.label(value) for value in view.designs.values[rows, place].tolist()]
        shown = [
            one if isinstance(one, str) or not unit else units.from_si(one, variable.unit, unit)
            for one in said
        ]
        columns[_head(variable.path, unit)] = shown
    return columns


def _head(name: str, unit: str) -> str:
    return f"{name} [{unit}]" if unit else name


def rejections(missed: Mapping[str, int], tried: int, most: int = 4) -> str:
    """
    Say which limits reject most designs.

    Parameters
    ----------
    missed : mapping of str to int
        How many designs miss each limit, the most missed first.
    tried : int
        Designs tried, one or more.
    most : int
        Most limits to name.

    Returns
    -------
    str
        Such as ``voltage_margin (61 %), endurance (40 %)``.

    Examples
    --------
    >>> rejections({"endurance": 50, "total_mass": 0}, 200)
    'endurance (25 %)'
    """
    found: Sequence[tuple[str, int]] = [one for one in missed.items() if one[1]][:most]
    return ", ".join(f"{name} ({100.0 * count / tried:.3g} %)" for name, count in found)
