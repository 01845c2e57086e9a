"""Parameters of kinds as fields of a frozen pydantic model: text with a unit in, SI out."""

import math
from collections.abc import Callable, Iterable
from typing import Annotated

from pydantic import BeforeValidator, WithJsonSchema
from pydantic_core import PydanticCustomError

from tradeopt import units
from tradeopt.chain.kind import Entry, Number, Parameter, Recording, Row, Word
from tradeopt.errors import UnitError, near
from tradeopt.unit_tables import wanted

_LONGEST_SHOWN = 80

REFUSED = "refused"
"""Type of the errors of this file; their context holds `got`, `want` and `near`."""


def refused(got: str, want: str, nearest: str | None = None) -> PydanticCustomError:
    """Return the error that carries what came and what was wanted through pydantic."""
    context = {"got": got, "want": want, "near": nearest}
    return PydanticCustomError(REFUSED, "got {got}, want {want}", context)


def spoken(value: object) -> str:
    """
    Say what came, in the words of a study file.

    Parameters
    ----------
    value : object
        A plain value of YAML.

    Returns
    -------
    str
        The value itself where it is short, else what sort of thing it is.

    Examples
    --------
    >>> spoken("6 kg"), spoken(None), spoken([1, 2])
    ("'6 kg'", 'nothing', 'a list')
    """
    plain = {dict: "a table", list: "a list", type(None): "nothing"}
    if isinstance(value, bool):
        return str(value).lower()
    return plain.get(type(value)) or repr(value)[:_LONGEST_SHOWN]


def field_of(parameter: Parameter, labels: Iterable[str] | None = None) -> object:
    """Return the annotation of one parameter; `labels` are what it picks from, where known."""
    match parameter:
        case Number():
            return _number(parameter)
        case Word():
            return words(parameter.words, parameter.meaning)
        case Row() | Entry():
            return _picked(parameter, labels)
        case Recording():
            return text(f"{parameter.meaning}; a CSV file beside this one")


def number_of(value: object, parameter: Number) -> float:
    """
    Read one number with its unit and hold it to what the parameter can mean.

    Parameters
    ----------
    value : object
        What the study file says.
    parameter : Number
        Unit and bounds.

    Returns
    -------
    float
        In SI units.

    Raises
    ------
    UnitError
        With what came and what was wanted.
    """
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise UnitError(spoken(value), wanted(parameter.unit))
    found = units.to_si(str(value), parameter.unit)
    if parameter.whole and not float(found).is_integer():
        raise UnitError(spoken(value), "a whole number")
    bound = _broken_bound(found, parameter)
    if bound:
        raise UnitError(spoken(value), bound)
    return found


def _broken_bound(found: float, parameter: Number) -> str | None:
    def shown(bound: float) -> str:
        return units.show(bound, parameter.unit)

    if parameter.above is not None and not found > parameter.above:
        return f"more than {shown(parameter.above)}"
    if parameter.at_least is not None and not found >= parameter.at_least:
        return f"at least {shown(parameter.at_least)}"
    if parameter.at_most is not None and not found <= parameter.at_most:
        return f"at most {shown(parameter.at_most)}"
    return None if math.isfinite(found) else "a finite number"


def number_check(parameter: Number) -> Callable[[object], float]:
    """Return the reader of a number for pydantic."""

    def read(value: object) -> float:
        try:
            return number_of(value, parameter)
        except UnitError as error:
            raise refused(error.got, error.want, error.near) from error

    return read


def _number(parameter: Number) -> object:
    low, high = (units.show(bound, parameter.unit) for bound in parameter.typical)
    schema = {
        "type": ["string", "number"] if parameter.unit == "1" else "string",
        "description": f"{parameter.meaning} [{units.display_unit(parameter.unit)}]",
        "examples": [low, high],
    }
    return Annotated[float, BeforeValidator(number_check(parameter)), WithJsonSchema(schema)]


def word_check(known: tuple[str, ...]) -> Callable[[object], str]:
    """Return the reader of a word for pydantic."""

    def read(value: object) -> str:
        if isinstance(value, str) and value in known:
            return value
        nearest = near(value, known) if isinstance(value, str) else None
        raise refused(spoken(value), f"one of: {', '.join(known) or 'none known'}", nearest)

    return read


def words(known: tuple[str, ...], meaning: str) -> object:
    """Return the annotation of a field that is one of a few words."""
    schema = {"type": "string", "enum": list(known), "description": meaning}
    return Annotated[str, BeforeValidator(word_check(known)), WithJsonSchema(schema)]


def _picked(parameter: Row | Entry, labels: Iterable[str] | None) -> object:
    home = (
        f"a row of {parameter.table}"
        if isinstance(parameter, Row)
        else f"the name of a {parameter.axis}"
    )
    meaning = f"{parameter.meaning}; {home}"
    return text(meaning) if labels is None else words(tuple(labels), meaning)


def text(meaning: str, allowed: Callable[[str], bool] = bool, want: str = "a text") -> object:
    """Return the annotation of a field that is free text."""

    def read(value: object) -> str:
        if isinstance(value, str) and allowed(value):
            return value
        raise refused(spoken(value), want)

    schema = {"type": "string", "description": meaning}
    return Annotated[str, BeforeValidator(read), WithJsonSchema(schema)]
