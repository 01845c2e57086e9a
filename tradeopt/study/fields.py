"""Parameters of kinds as fields of a frozen pydantic model: text with a unit in, SI out."""

from collections.abc import Callable, Iterable
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, WithJsonSchema
from pydantic_core import PydanticCustomError

from tradeopt import units
from tradeopt.chain.kind import Entry, File, Label, Number, Parameter, Row, Word
from tradeopt.errors import UnitError, near
from tradeopt.study.forms import FORMS
from tradeopt.unit_tables import wanted

NAME_FORM = "letters, digits, - and _, at most 60 of them, such as levee-rounds"
"""What may name a study or a gait, in words; see `is_name`."""

_LONGEST_NAME = 60
_LONGEST_SHOWN = 40
_PLAIN = r"^\s*[-+\u2212]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][-+]?[0-9]+)?"
_WITH_UNIT = _PLAIN + r"\s*[^\s0-9.,]"
"""Patterns of the JSON Schema for a text that starts with a number, and for one with a unit."""

REFUSED = "refused"
"""Type of the errors of this file; their context holds `got`, `want` and `near`."""


class Table(BaseModel):
    """A table of the study file: nothing unknown in it, nothing changed later."""

    model_config = ConfigDict(frozen=True, extra="forbid", loc_by_alias=True)


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
    if isinstance(value, str) and len(value) > _LONGEST_SHOWN:
        return f"{value[:_LONGEST_SHOWN]!r}... of {len(value)} characters"
    return plain.get(type(value)) or repr(value)


def is_name(text: str) -> bool:
    """
    Tell whether a text may name a study or a gait: a dot would end it in a path.

    Parameters
    ----------
    text : str
        The name.

    Returns
    -------
    bool
        True for letters of any script, digits, ``-`` and ``_``.

    Examples
    --------
    >>> [is_name(text) for text in ("levee-rounds", "Größe_2", "up hill", "a.b", "")]
    [True, True, False, False, False]
    """
    return len(text) <= _LONGEST_NAME and text.replace("-", "").replace("_", "").isalnum()


def field_of(parameter: Parameter, labels: Iterable[str] | None = None) -> object:
    """Return the annotation of one parameter; `labels` are what it picks from, where known."""
    match parameter:
        case Number():
            return _number(parameter)
        case Word():
            return words(parameter.words, parameter.meaning)
        case Row() | Entry():
            meaning = f"{parameter.meaning}; {_home(parameter)}"
            if labels is not None:
                return words(tuple(labels), meaning)
        case File():
            meaning = f"{parameter.meaning}; {FORMS[parameter.form].saved} beside this one"
        case Label():
            meaning = parameter.meaning
    return text(meaning, want=expected(parameter))


def expected(parameter: Parameter, labels: Iterable[str] | None = None) -> str:
    """Say in words what a parameter asks for; `labels` are what it picks from, where known."""
    match parameter:
        case Number():
            whole = f"a whole number, such as '{parameter.typical[1]:.0f}'"
            return whole if parameter.whole else wanted(parameter.unit)
        case Word() | Row() | Entry():
            return _choice(parameter, labels)
        case File():
            return FORMS[parameter.form].name_form
        case Label():
            return parameter.meaning


def _choice(parameter: Word | Row | Entry, labels: Iterable[str] | None) -> str:
    if isinstance(parameter, Word):
        return one_of(parameter.words)
    return _home(parameter) if labels is None else one_of(tuple(labels))


def _home(parameter: Row | Entry) -> str:
    """Say where the words are that a parameter picks from."""
    if isinstance(parameter, Row):
        return f"a row of {parameter.table}"
    return f"the name of a {parameter.axis.replace('_', ' ')}"


def one_of(known: tuple[str, ...]) -> str:
    """Say which words may be chosen."""
    return f"one of: {', '.join(known) or 'none known'}"


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
        raise UnitError(spoken(value), expected(parameter))
    try:
        found = units.to_si(str(value), parameter.unit)
    except UnitError as error:
        want = expected(parameter) if parameter.whole else error.want
        raise UnitError(error.got, want, error.near) from error
    if parameter.whole and not found.is_integer():
        raise UnitError(spoken(value), expected(parameter))
    bound = _broken_bound(found, parameter)
    if bound:
        raise UnitError(spoken(value), bound)
    return found


def _broken_bound(found: float, parameter: Number) -> str | None:
    def shown(bound: float) -> str:
        return f"{bound:.0f}" if parameter.whole else units.show(bound, parameter.unit)

    if parameter.above is not None and not found > parameter.above:
        return f"more than {shown(parameter.above)}"
    if parameter.at_least is not None and not found >= parameter.at_least:
        return f"at least {shown(parameter.at_least)}"
    if parameter.at_most is not None and not found <= parameter.at_most:
        is_share = parameter.unit == "1" and not parameter.whole
        percent = f" ({100.0 * parameter.at_most:g} %)" if is_share else ""
        return f"at most {shown(parameter.at_most)}{percent}"
    return None


def number_check(parameter: Number) -> Callable[[object], float]:
    """Return the reader of a number for pydantic."""

    def read(value: object) -> float:
        try:
            return number_of(value, parameter)
        except UnitError as error:
            raise refused(error.got, error.want, error.near) from error

    return read


def _number(parameter: Number) -> object:
    schema = number_schema(parameter)
    return Annotated[float, BeforeValidator(number_check(parameter)), WithJsonSchema(schema)]


def whole_check(parameter: Number) -> Callable[[object], int]:
    """Return the reader of a whole number of Python for pydantic."""
    read = number_check(parameter)
    return lambda value: int(read(value))


def number_schema(parameter: Number) -> dict[str, Any]:
    """Return the JSON Schema of a number: plain ones may go without quotes, others never do."""
    unit = units.display_unit(parameter.unit)
    schema: dict[str, Any] = {
        "description": f"{parameter.meaning} [{unit or '1'}]",
        "examples": [units.show(bound, parameter.unit) for bound in parameter.typical],
    }
    if parameter.unit != "1":
        return schema | {"type": "string", "pattern": _WITH_UNIT}
    bounds = {
        "exclusiveMinimum": parameter.above,
        "minimum": parameter.at_least,
        "maximum": parameter.at_most,
    }
    schema["type"] = ["string", "integer" if parameter.whole else "number"]
    schema["pattern"] = _PLAIN
    return schema | {name: bound for name, bound in bounds.items() if bound is not None}


def word_check(known: tuple[str, ...]) -> Callable[[object], str]:
    """Return the reader of a word for pydantic."""

    def read(value: object) -> str:
        if isinstance(value, str) and value in known:
            return value
        nearest = near(value, known) if isinstance(value, str) else None
        raise refused(spoken(value), one_of(known), nearest)

    return read


def words(known: tuple[str, ...], meaning: str) -> object:
    """Return the annotation of a field that is one of a few words."""
    schema = {"type": "string", "enum": list(known), "description": meaning}
    return Annotated[str, BeforeValidator(word_check(known)), WithJsonSchema(schema)]


def text(
    meaning: str, *, want: str, allowed: Callable[[str], bool] = bool, pattern: str = "."
) -> object:
    """Return the annotation of a field that is free text; `pattern` is for the schema."""

    def read(value: object) -> str:
        if isinstance(value, str) and allowed(value):
            return value
        raise refused(spoken(value), want)

    schema = {"type": "string", "description": meaning, "pattern": pattern}
    return Annotated[str, BeforeValidator(read), WithJsonSchema(schema)]
