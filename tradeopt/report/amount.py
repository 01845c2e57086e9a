"""Values on their way to a reader: a number keeps its unit, and the unit the trade reads it in."""

import math
from dataclasses import dataclass
from typing import TypeAlias

from tradeopt import units
from tradeopt.quantities import (
    CHANCE_OF_FINISHING,
    DISTANCE_TO_STOP,
    ENDURANCE,
    RANGE,
    RUN_TIME,
    TASK_TIME,
    UPKEEP_TIME,
    Quantity,
)

DIGITS = 4
"""Significant digits that are shown."""

SHOWN_IN = {
    RANGE.name: "km",
    DISTANCE_TO_STOP.name: "km",
    ENDURANCE.name: "h",
    RUN_TIME.name: "h",
    TASK_TIME.name: "min",
    UPKEEP_TIME.name: "min",
    CHANCE_OF_FINISHING.name: "%",
}
"""By quantity: the unit it is read in, where that of its SI unit is not the usual one."""

_ENERGY = "Wh"
_LENGTH = "mm"
_SHARE = "%"


@dataclass(frozen=True)
class Amount:
    """A number that knows its unit.

    Attributes
    ----------
    value : float
        In SI [unit]; NaN where there is none.
    unit : str
        SI unit; "1" for plain numbers.
    shown_in : str
        Unit that it is read in; empty for a plain number.
    """

    value: float
    unit: str
    shown_in: str

    @property
    def number(self) -> str:
        """The number alone, in the unit it is read in."""
        return str(self).removesuffix(self.shown_in).rstrip() if self.finite else str(self)

    @property
    def finite(self) -> bool:
        """Whether there is a number to show."""
        return math.isfinite(self.value)

    @property
    def shown(self) -> float:
        """The value in the unit it is read in."""
        return units.from_si(self.value, self.unit, self.shown_in)

    def __str__(self) -> str:
        return units.show(self.value, self.unit, DIGITS, self.shown_in)


Cell: TypeAlias = Amount | str
"""What stands in one place of a table."""


def amount(value: float, unit: str, shown_in: str | None = None) -> Amount:
    """
    Make an amount that is read in the unit of the trade, unless told otherwise.

    Parameters
    ----------
    value : float
        In SI [unit].
    unit : str
        SI unit.
    shown_in : str, optional
        Unit to read it in.

    Returns
    -------
    Amount
        Of that value.

    Examples
    --------
    >>> str(amount(7.2e6, "J")), str(amount(0.25, "1", "%"))
    ('2000 Wh', '25 %')
    """
    usual = _ENERGY if unit == "J" else units.display_unit(unit)
    return Amount(float(value), unit, usual if shown_in is None else shown_in)


def amount_of(quantity: Quantity, value: float) -> Amount:
    """
    Make an amount of a quantity of the glossary.

    Parameters
    ----------
    quantity : Quantity
        What it is.
    value : float
        In its SI unit.

    Returns
    -------
    Amount
        Read in the unit that is usual for this quantity.

    Examples
    --------
    >>> str(amount_of(RANGE, 17024.0))
    '17.02 km'
    """
    share = _SHARE if quantity.is_margin and quantity.unit == "1" else None
    return amount(value, quantity.unit, SHOWN_IN.get(quantity.name, share))


def size_of(value: float, unit: str) -> Amount:
    """
    Make an amount of a value of the study file, where lengths are those of parts.

    Parameters
    ----------
    value : float
        In SI [unit].
    unit : str
        SI unit.

    Returns
    -------
    Amount
        Read in the unit of the trade.

    Examples
    --------
    >>> str(size_of(0.018, "m"))
    '18 mm'
    """
    return amount(value, unit, _LENGTH if unit == "m" else None)
