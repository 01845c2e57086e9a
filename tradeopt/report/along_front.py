"""What the designs of a front have in common, and what changes along it."""

import numpy as np
from scipy.stats import spearmanr

from tradeopt.arrays import Array
from tradeopt.report.amount import Amount, Cell, amount
from tradeopt.report.front import FrontView
from tradeopt.report.limits import ACTIVE
from tradeopt.report.section import Section
from tradeopt.report.sheet import variable_bounds, variable_cell
from tradeopt.study.problem import Variable

_FEWEST = 3
"""Designs from which on an order of ranks says anything."""

_EDGE = 0.01
"""Share of its range within which a variable counts as lying on its bound."""


def along_front(view: FrontView, tried: int, missed: dict[str, int]) -> tuple[Section, ...]:
    """
    Say what holds the designs of a front back, and what changes along it.

    Parameters
    ----------
    view : FrontView
        The front.
    tried : int
        Designs tried in the whole run.
    missed : dict of str to int
        How many of them miss each limit.

    Returns
    -------
    tuple of Section
        Limits, those active on most designs first; variables in the order of the study.
    """
    return _limits(view, tried, missed), _variables(view)


def _limits(view: FrontView, tried: int, missed: dict[str, int]) -> Section:
    active = (view.designs.violations >= -ACTIVE).sum(axis=0)
    names = [one.name for one in view.outline.limits]
    order = sorted(range(len(names)), key=lambda place: (-active[place], -missed[names[place]]))
    size = max(len(view.designs), 1)
    rows: list[tuple[Cell, ...]] = [
        (
            names[place],
            _share(active[place] / size),
            _share(missed[names[place]] / max(tried, 1)),
        )
        for place in order
        if active[place] or missed[names[place]]
    ]
    remark = (
        f"active on: share of the {len(view.designs)} designs of the front that keep it with at "
        f"most {100 * ACTIVE:g} % of its scale left; missed by: share of all {tried:,} tried; "
        "limits that are not named turned no design down"
    )
    heads = ("limit", "active_on", "missed_by")
    return Section("holding_back", "Limits that hold the front back", heads, tuple(rows), remark)


def _share(value: float) -> Amount:
    return amount(float(value), "1", "%")


def _variables(view: FrontView) -> Section:
    rows = [_variable(view, place) for place in range(len(view.outline.variables))]
    names = [one.name for one in view.outline.objectives]
    remark = (
        "order: how a variable ranks with an objective along the front, from -1 to 1 (rank "
        "correlation; choices have none); on a bound: there the bound, not physics, chose"
    )
    heads = ("variable", "from", "to", "may_be", "on_a_bound", *(f"order_{one}" for one in names))
    return Section("along_front", "Variables along the front", heads, tuple(rows), remark)


def _variable(view: FrontView, place: int) -> tuple[Cell, ...]:
    variable = view.outline.variables[place]
    values = view.designs.values[:, place]
    orders = [_order(variable, values, column) for column in view.designs.objectives.T]
    return (variable.path, *_ends(variable, values), *_bound_cells(variable, values), *orders)


def _ends(variable: Variable, values: Array) -> tuple[Cell, Cell]:
    if not len(values):
        return "", ""
    if variable.has_words:
        found, counts = np.unique(values, return_counts=True)
        commonest = float(found[counts.argmax()])
        return (
            f"mostly {variable.label(commonest)}",
            f"{len(found)} of {len(variable.choices)} choices",
        )
    least, most = float(values.min()), float(values.max())
    return variable_cell(variable, least), variable_cell(variable, most)


def _bound_cells(variable: Variable, values: Array) -> tuple[Cell, Cell]:
    if variable.choices:
        return variable_bounds(variable), ""
    room = _EDGE * (variable.upper - variable.lower)
    ends = (values <= variable.lower + room) | (values >= variable.upper - room)
    return variable_bounds(variable), _share(float(ends.mean()) if len(values) else 0.0)


def _order(variable: Variable, values: Array, objective: Array) -> Cell:
    moves = len(values) >= _FEWEST and np.ptp(values) > 0.0 and np.ptp(objective) > 0.0
    if variable.has_words or not moves:
        return ""
    return amount(float(np.round(spearmanr(values, objective).statistic, 2)), "1", "")
