"""Limits in the order of their tightness, each with its verdict in words."""

from dataclasses import dataclass

import numpy as np

from tradeopt.quantities import JOINTS, Quantity
from tradeopt.report.amount import Amount, Cell, amount, amount_of
from tradeopt.report.section import Section
from tradeopt.report.view import View
from tradeopt.study.compiled import violation, worst
from tradeopt.study.problem import Limit

ACTIVE = 0.02
"""Share of its scale within which a limit that is met counts as active."""


@dataclass(frozen=True)
class Standing:
    """How a design stands to one limit.

    Attributes
    ----------
    limit : Limit
        The limit.
    quantity : Quantity
        What it bounds.
    value : float
        The worst value of that quantity, SI; NaN where it has none.
    where : str
        Joint and gait of the worst value; empty for what is one number a design.
    missed : float
        Share of the limit's scale by which it is missed; 0 or less keeps it.
    """

    limit: Limit
    quantity: Quantity
    value: float
    where: str
    missed: float

    @property
    def active(self) -> bool:
        """Whether it is met, but only just."""
        return -ACTIVE <= self.missed <= 0.0

    @property
    def left(self) -> Amount:
        """What is left up to the limit; negative where it is missed."""
        return distance(self.limit, self.quantity, -self.missed)

    @property
    def verdict(self) -> str:
        """In words: meets with how much left, only just meets, or misses by how much."""
        if np.isnan(self.value):
            return "misses: no value"
        return margin_words(self.limit, self.quantity, self.missed)


def distance(limit: Limit, quantity: Quantity, share: float) -> Amount:
    """
    Turn a share of a limit's scale into an amount of what it bounds.

    Parameters
    ----------
    limit : Limit
        The limit.
    quantity : Quantity
        What it bounds.
    share : float
        Such as a violation [1].

    Returns
    -------
    Amount
        A difference: kelvins for temperatures.
    """
    value = share * limit.scale
    return amount(value, "delta_K") if limit.unit == "K" else amount_of(quantity, value)


def margin_words(limit: Limit, quantity: Quantity, missed: float) -> str:
    """
    Say how a limit is kept.

    Parameters
    ----------
    limit : Limit
        The limit.
    quantity : Quantity
        What it bounds.
    missed : float
        Share of its scale by which it is missed; 0 or less keeps it [1].

    Returns
    -------
    str
        Such as ``meets, 3 K left`` or ``misses by 3 K``.
    """
    size = distance(limit, quantity, abs(missed))
    if missed > 0.0:
        return f"misses by {size}"
    return f"{'active' if missed >= -ACTIVE else 'meets'}, {size} left"


def standings(view: View, limits: tuple[Limit, ...]) -> tuple[Standing, ...]:
    """
    Hold a design against its limits.

    Parameters
    ----------
    view : View
        The design.
    limits : tuple of Limit
        Of the study.

    Returns
    -------
    tuple of Standing
        The tightest first.
    """
    found = [_standing(view, limit) for limit in limits]
    return tuple(sorted(found, key=lambda one: -one.missed))


def _standing(view: View, limit: Limit) -> Standing:
    value = worst(limit, view.evaluation.values)[view.row]
    name, _, joint = limit.name.partition(".")
    quantity = view.evaluation.quantities[name]
    missed = float(violation(limit, value))
    return Standing(limit, quantity, float(value), _where(view, limit, joint), missed)


def _where(view: View, limit: Limit, joint: str) -> str:
    """Name the entries of the axes at the worst value."""
    quantity = view.evaluation.quantities[limit.name.partition(".")[0]]
    axes = quantity.axes[1:]
    values = view.of(quantity)
    if joint:
        values, axes = values[JOINTS.index(joint)], axes[1:]
    if values.ndim == 0:
        return joint
    # a NaN is found first by both, as it is the worst there is
    flat = values.argmax() if limit.at_most else values.argmin()
    entries = view.evaluation.entries
    places = zip(axes, np.unravel_index(flat, values.shape), strict=True)
    words = [entries[axis][int(place)] for axis, place in places if axis in entries]
    return ", ".join([joint, *words] if joint else words)


def verdict(found: tuple[Standing, ...]) -> str:
    """
    Say in one sentence how a design stands.

    Parameters
    ----------
    found : tuple of Standing
        The tightest first.

    Returns
    -------
    str
        What it misses, or that it meets every limit and which are active.
    """
    missed = [one for one in found if one.missed > 0.0]
    if missed:
        words = "; ".join(f"{one.limit.name} {one.verdict}" for one in missed)
        return f"misses {len(missed)} of {len(found)} limits: {words}"
    active = [one.limit.name for one in found if one.active]
    if active:
        return f"meets every limit; active: {', '.join(active)}"
    tightest = f"; the tightest is {found[0].limit.name}" if found else ""
    return f"meets every limit{tightest}"


def limit_section(found: tuple[Standing, ...]) -> Section:
    """
    Put the limits in a table.

    Parameters
    ----------
    found : tuple of Standing
        The tightest first.

    Returns
    -------
    Section
        Value, bound, what is left and the verdict of each.
    """
    rows: list[tuple[Cell, ...]] = [
        (
            one.limit.name,
            amount_of(one.quantity, one.value),
            f"{'<=' if one.limit.at_most else '>='} {amount_of(one.quantity, one.limit.value)}",
            one.left,
            one.verdict,
            one.where,
        )
        for one in found
    ]
    heads = ("limit", "worst_value", "bound", "left", "verdict", "where")
    remark = f"the tightest first; active: met, with at most {100 * ACTIVE:g} % of its scale left"
    return Section("limits", "Limits", heads, tuple(rows), remark, aside=("left",))
