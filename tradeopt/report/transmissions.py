"""Transmissions of a design: what the joint feels of them, their ratios, and the life of ropes."""

import numpy as np

from tradeopt import quantities as q
from tradeopt.quantities import Quantity
from tradeopt.report.amount import Cell, amount, amount_of
from tradeopt.report.section import Section
from tradeopt.report.view import View

_FEEL = (
    q.TRANSMISSION_EFFICIENCY,
    q.BACKDRIVING_EFFICIENCY,
    q.BACKDRIVING_TORQUE,
    q.REFLECTED_INERTIA,
    q.TRANSMISSION_STIFFNESS,
    q.WIND_UP,
)
_SAME = 1e-9


def transmission_sections(view: View) -> tuple[Section, ...]:
    """
    Say what each transmission is to its joint.

    Parameters
    ----------
    view : View
        The design.

    Returns
    -------
    tuple of Section
        Transmissions; ratios by gait where one changes with the angle; ropes where there are any.
    """
    sections = [_transmissions(view)]
    stance, swing = view.of(q.STANCE_RATIO), view.of(q.SWING_RATIO)
    # not equal, or NaN where a stride has no swing
    if not (np.abs(stance - swing) <= _SAME * np.abs(stance)).all():
        sections.append(_ratios(view))
    if (view.of(q.ROPE_BENDS) > 0.0).any():
        sections.append(_ropes(view))
    return tuple(sections)


def _transmissions(view: View) -> Section:
    rows = tuple((joint, *_cells(view, place)) for place, joint in enumerate(q.JOINTS))
    remark = "without drag; wind-up under the peak torque, inertia and torque at the largest ratio"
    heads = ("joint", *(one.name for one in _FEEL))
    return Section("transmissions", "Transmissions", heads, rows, remark)


def _cells(view: View, place: int) -> tuple[Cell, ...]:
    return tuple(amount_of(one, float(view.of(one)[place])) for one in _FEEL)


def _ratios(view: View) -> Section:
    columns: dict[str, tuple[Quantity, int]] = {}
    for number, gait in enumerate(view.gaits):
        columns[f"{gait}_stance"] = q.STANCE_RATIO, number
        columns[f"{gait}_swing"] = q.SWING_RATIO, number
    rows: list[tuple[Cell, ...]] = []
    for place, joint in enumerate(q.JOINTS):
        cells = (amount_of(one, float(view.of(one)[place, at])) for one, at in columns.values())
        rows.append((joint, *cells))
    remark = (
        "mean over the stance and the swing of each gait; none where the foot's load is unknown"
    )
    return Section("ratios", "Ratios", ("joint", *columns), tuple(rows), remark)


def _ropes(view: View) -> Section:
    bends, wear = view.of(q.ROPE_BENDS), view.of(q.ROPE_WEAR)
    margins = (q.PRETENSION_MARGIN, q.ROPE_BENDING_MARGIN)
    rows: list[tuple[Cell, ...]] = []
    for place in np.flatnonzero(bends > 0.0).tolist():
        left = (amount_of(one, float(view.of(one)[place])) for one in margins)
        bent, cycles = float(bends[place]), float(bends[place] / wear[place])
        life = amount(1.0 / float(wear[place]), "m", "km")
        used = amount(bent, "1/m", "1/km"), amount(cycles, "1"), life
        rows.append((q.JOINTS[place], *used, *left))
    heads = ("joint", "bends", "bending_cycles", "life", *(one.name for one in margins))
    remark = (
        "life by the law and constants that the study gives, for the mission's mix of gaits; a "
        "breaking rope whips: keep out of its reach, inspect it, and change it early"
    )
    return Section("ropes", "Ropes", heads, tuple(rows), remark)
