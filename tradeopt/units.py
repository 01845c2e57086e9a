"""Text with a unit to a number in SI and back; the only file that sees the unit library.

A strict gate stands in front of that library: the number and the unit are split here, the unit may
only be made of known symbols, and an angle is a dimension of its own, so that a torque is not a
stiffness and a frequency is not a speed of rotation. Inside the package a number is a float in SI.
"""

import math
import re
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, TypeVar

from tradeopt.arrays import Array
from tradeopt.errors import UnitError, near
from tradeopt.unit_tables import (
    DEFINITIONS,
    DISPLAY,
    KINDS,
    LOOKALIKES,
    RAISED,
    RAISED_TO_PLAIN,
    TOKENS,
    wanted,
)

if TYPE_CHECKING:
    import pint

Value = TypeVar("Value", float, Array)

LONGEST_TEXT = 64
"""Characters a number with its unit may have; longer texts are refused unread."""

HIGHEST_EXPONENT = 4
"""Largest power of a unit; fourth powers occur in second moments of area."""

ICE_POINT = 273.15
"""Zero of the Celsius scale [K] (The International System of Units, 9th edition, 2019, 2.3.1)."""

_NUMBER = re.compile(
    r"([+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?)\s*(.*)", re.DOTALL
)
_FACTOR = re.compile(r"([A-Za-z%]+)(?:\^(-?[0-9.]+))?")
_COMMA = re.compile(r"[0-9],[0-9]")


@dataclass(frozen=True)
class _Conversion:
    """A linear map to SI: value * factor + offset."""

    factor: float
    offset: float = 0.0


class _UnreadableUnitError(Exception):
    """What is wrong with a unit; told to the caller together with the number."""

    def __init__(self, why: str, advice: str = "", nearest: str | None = None) -> None:
        self.why = why
        self.advice = advice
        self.nearest = nearest
        super().__init__(why)


def to_si(text: str, unit: str) -> float:
    """
    Read a number with its unit and give it in SI.

    Parameters
    ----------
    text : str
        Such as ``35 N*m``, ``40 degC`` or ``10 %``.
    unit : str
        The wanted SI unit: ``"1"`` for a plain number, ``"K"`` for an absolute temperature,
        ``"delta_K"`` for a temperature difference.

    Returns
    -------
    float
        The value [unit], finite.

    Raises
    ------
    UnitError
        Says what came and what was wanted, with an example.

    Notes
    -----
    A product is written with ``*``, a middle dot or a space; a product after ``/`` needs brackets.
    Powers run from -4 to 4, and 0.5. Angles are a dimension of their own.

    Examples
    --------
    >>> to_si("35 Nm", "N*m")
    35.0
    >>> to_si("40 degC", "K")
    313.15
    """
    clean = _plain(text[: LONGEST_TEXT + 1]).strip()
    if len(text) > LONGEST_TEXT:
        raise _refusal(f"{text[:24]!r}... of {len(text)} characters", unit)
    if not clean:
        raise _refusal("nothing", unit)
    if _COMMA.search(clean):
        advice = f"a comma is not a decimal point, write '{clean.replace(',', '.')}'"
        raise _refusal(repr(text), unit, advice)
    match = _NUMBER.fullmatch(clean)
    if match is None:
        raise _refusal(f"{text!r}, which does not start with a number", unit)
    return _finite(float(match[1]), match[2], text=text, unit=unit)


def _finite(number: float, unit_text: str, *, text: str, unit: str) -> float:
    """Convert a number, and refuse what is no finite value of the wanted kind."""
    if not unit_text and unit != "1":
        raise _refusal(f"{text!r}, a number without a unit", unit)
    if unit_text == "1":
        raise _refusal(f"{text!r}, two numbers", unit)
    try:
        conversion = _conversion(unit_text or "1", unit)
    except _UnreadableUnitError as error:
        raise _refusal(f"{text!r}, {error.why}", unit, error.advice, error.nearest) from error
    value = number * conversion.factor + conversion.offset
    if not math.isfinite(value):
        raise _refusal(f"{text!r}, which is too large", unit)
    if unit == "K" and value < 0.0:
        raise _refusal(f"{text!r}, which is below absolute zero", unit)
    return value


def convert(values: Array, unit_text: str, unit: str) -> Array:
    """
    Convert a column of numbers that share one unit, such as a column of a table.

    Parameters
    ----------
    values : Array
        Numbers as they stand in the file [unit_text]; any shape.
    unit_text : str
        Their unit as written, ``"1"`` for plain numbers.
    unit : str
        The wanted SI unit.

    Returns
    -------
    Array
        The same shape [unit].

    Raises
    ------
    UnitError
        When the unit cannot be read or measures something else.

    Examples
    --------
    >>> import numpy as np
    >>> convert(np.array([0.0, 180.0]), "deg", "rad").round(6).tolist()
    [0.0, 3.141593]
    """
    try:
        conversion = _conversion(_plain(unit_text).strip(), unit)
    except _UnreadableUnitError as error:
        raise _refusal(
            f"{unit_text[:24]!r}, {error.why}", unit, error.advice, error.nearest
        ) from error
    return values * conversion.factor + conversion.offset


def from_si(value: Value, unit: str, display: str | None = None) -> Value:
    """
    Give a value in the unit it is shown in.

    Parameters
    ----------
    value : float or Array
        In SI [unit]; any shape.
    unit : str
        Its SI unit.
    display : str, optional
        Unit to show; by default that of the trade, see `display_unit`.

    Returns
    -------
    float or Array
        The same shape [display].

    Examples
    --------
    >>> round(from_si(313.15, "K"), 6)
    40.0
    """
    shown_unit = display_unit(unit) if display is None else display
    try:
        conversion = _conversion(_plain(shown_unit) or "1", unit)
    except _UnreadableUnitError as error:
        raise _refusal(repr(shown_unit), unit, error.advice, error.nearest) from error
    return (value - conversion.offset) / conversion.factor


def show(value: float, unit: str, digits: int = 4, display: str | None = None) -> str:
    """
    Write a value the way the trade reads it.

    Parameters
    ----------
    value : float
        In SI [unit].
    unit : str
        Its SI unit.
    digits : int
        Significant digits.
    display : str, optional
        Unit to show; by default that of the trade, see `display_unit`.

    Returns
    -------
    str
        Number and unit; `to_si` reads it back.

    Notes
    -----
    No exponent from 1e-4 to 1e7. What is not a number is shown as ``no value``, what
    has no end as ``infinite``.

    Examples
    --------
    >>> show(0.2617993877991494, "rad")
    '15 deg'
    >>> show(84600.0, "s", display="h")
    '23.5 h'
    """
    symbol = display_unit(unit) if display is None else display
    if math.isnan(value):
        return "no value"
    if math.isinf(value):
        return "infinite" if value > 0.0 else "-infinite"
    shown = _significant(from_si(float(value), unit, symbol), digits)
    return f"{shown} {symbol}".rstrip()


def display_unit(unit: str) -> str:
    """
    Name the unit in which the trade reads a quantity.

    Parameters
    ----------
    unit : str
        SI unit.

    Returns
    -------
    str
        Unit to show, the SI unit itself where the trade uses it, empty for a plain number.

    Examples
    --------
    >>> display_unit("K"), display_unit("N*m")
    ('degC', 'N*m')
    """
    return DISPLAY.get(unit, unit)


def _refusal(got: str, unit: str, advice: str = "", nearest: str | None = None) -> UnitError:
    return UnitError(got, wanted(unit) + (f"; {advice}" if advice else ""), nearest)


def _significant(number: float, digits: int) -> str:
    """Round to significant digits, without an exponent for ordinary sizes."""
    rounded = float(f"{number:.{digits - 1}e}")
    size = abs(rounded)
    if size == 0.0:
        return "0"
    if not 1e-4 <= size < 1e7:  # noqa: PLR2004 - the range is stated in the docstring of show
        return f"{rounded:.{digits}g}"
    decimals = max(0, digits - 1 - math.floor(math.log10(size)))
    shown = f"{rounded:.{decimals}f}"
    return shown.rstrip("0").rstrip(".") if "." in shown else shown


def _plain(text: str) -> str:
    """Write signs that look alike, and raised digits, in the one form that is read."""
    if text.isascii():
        return text.replace("**", "^")
    raised = re.sub(f"[{RAISED}]+", lambda run: "^" + run[0].translate(RAISED_TO_PLAIN), text)
    return raised.translate(LOOKALIKES).replace("**", "^")


@lru_cache(maxsize=1024)
def _conversion(unit_text: str, unit: str) -> _Conversion:
    """Find how values in one unit become values in another; kept, as a file repeats its units."""
    if len(unit_text) > LONGEST_TEXT:
        raise _UnreadableUnitError("which is too long for a unit")
    if unit_text == "degC":
        if unit == "K":
            return _Conversion(1.0, ICE_POINT)
        raise _UnreadableUnitError("a point on the Celsius scale")
    source = _quantity(unit_text)
    target = _quantity("K" if unit == "delta_K" else unit)
    if source.dimensionality != target.dimensionality:
        raise _UnreadableUnitError(_measured(unit_text), _mix_up(unit_text, unit))
    return _Conversion(float(source.to(target.units).magnitude))


def _measured(unit_text: str) -> str:
    """Say what a unit measures, where that has a name."""
    dimensionality = _quantity(unit_text).dimensionality
    same = (
        kind
        for unit, (kind, _) in KINDS.items()
        if unit != "delta_K" and _quantity(unit).dimensionality == dimensionality
    )
    return f"which is {next(same, 'something else')}"


def _mix_up(unit_text: str, unit: str) -> str:
    """Explain the mistakes that an angle as a dimension turns up."""
    if unit == "rad/s" and unit_text.endswith("Hz"):
        return "one Hz is one turn a second, write 'rev/s'"
    if unit == "N*m/rad" and unit_text in {"N*m", "Nm", "N m"}:
        return "a stiffness is a torque per angle"
    return ""


def _quantity(unit_text: str) -> "pint.Quantity[float]":
    """Build one of a unit from symbols that all have been checked."""
    names = " * ".join(f"{name} ** {exponent}" for name, exponent in _factors(unit_text))
    registry = _registry()
    return registry.Quantity(1.0, registry.parse_units(names))


def _factors(unit_text: str) -> list[tuple[str, float]]:
    """Take a unit apart into names and powers, with nothing but known symbols let through."""
    over, *under = re.sub(r"\s*\^\s*", "^", unit_text).split("/")
    found = [] if over.strip() == "1" else _product(over, sign=1)
    for part in under:
        factors = _product(part, sign=-1)
        if len(factors) > 1 and not part.strip().startswith("("):
            raise _UnreadableUnitError(
                "which is ambiguous after the '/'",
                "put the product after it in brackets, as in 'W/(m*K)'",
            )
        found += factors
    return found


def _product(text: str, *, sign: int) -> list[tuple[str, float]]:
    inner = text.strip()
    if inner.startswith("(") and inner.endswith(")"):
        inner = inner[1:-1].strip()
    return [_factor(part, sign) for part in re.split(r"\s*\*\s*|\s+", inner)]


def _factor(text: str, sign: int) -> tuple[str, float]:
    match = _FACTOR.fullmatch(text)
    if match is None:
        raise _UnreadableUnitError(
            f"where {text!r} is not a unit" if text else "where a unit is missing"
        )
    symbol, power = match[1], match[2] or "1"
    if symbol == "degC":
        raise _UnreadableUnitError(
            "where 'degC' is a point on a scale", "write K in a product", "K"
        )
    if symbol not in TOKENS:
        raise _UnreadableUnitError(
            f"where {symbol!r} is not a known unit", "", near(symbol, TOKENS)
        )
    if power == "0.5":
        return TOKENS[symbol], 0.5 * sign
    if not re.fullmatch(r"-?[0-9]+", power) or abs(int(power)) > HIGHEST_EXPONENT:
        raise _UnreadableUnitError(
            f"where the power {power} is not a whole number up to {HIGHEST_EXPONENT}"
        )
    return TOKENS[symbol], int(power) * sign


@lru_cache(maxsize=1)
def _registry() -> "pint.UnitRegistry[float]":
    """Make the unit library ready on first use, with our units and no others."""
    import pint  # noqa: PLC0415 - takes 0.3 s, which a command that reads no unit should not pay

    registry: pint.UnitRegistry[float] = pint.UnitRegistry(None)
    registry.load_definitions(DEFINITIONS.strip().splitlines())
    return registry
