"""The frozen pydantic model of a study file, made from the places and kinds that it names."""

from collections.abc import Callable, Mapping
from functools import lru_cache
from types import GenericAlias
from typing import Annotated, Any, Literal, Union

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, WithJsonSchema, create_model

from tradeopt.chain.fit import KIND, Place
from tradeopt.chain.kind import Entry, Kind, Parameter, Row, Slot
from tradeopt.errors import near
from tradeopt.stages.registry import REQUIRED_SLOTS
from tradeopt.study.checks import LIMIT_FORM
from tradeopt.study.fields import (
    NAME_FORM,
    Table,
    field_of,
    is_name,
    one_of,
    refused,
    spoken,
    text,
    word_check,
    words,
)
from tradeopt.study.forms import PARTS
from tradeopt.study.layout import Layout, SlotPlaces
from tradeopt.study.search_table import Search

FORMAT = 1
"""The format of study files that this version reads."""

_NAME = r"^[^\s.]{1,60}$"
_LIMIT = r"^\s*[<>]=\s*[-+.0-9\u2212]"
"""Patterns of the JSON Schema, which may let pass what reading refuses."""

_TREES = ("robot", "surroundings", "gaits", "mission", "peaks", "upkeep", "stages")

Rows = Mapping[str, tuple[str, ...]]
"""What there is to pick from: row labels by table of parts, and names by axis."""

_DIRECTIONS = ("highest", "lowest")
_DIRECTION = {"enum": list(_DIRECTIONS), "description": "which way is better"}


def _bound(which: str) -> WithJsonSchema:
    meaning = f"{which} bound of a number, with the unit of the value"
    return WithJsonSchema({"type": ["string", "number"], "description": meaning})


_SCALES = ("linear", "log")
_SCALE = {"enum": list(_SCALES), "description": "scale on which a number is searched"}
_CHOICES = {
    "type": "array",
    "items": {"type": "string"},
    "minItems": 2,
    "uniqueItems": True,
    "description": "what to choose from: words, rows of a table of parts, or kinds",
}


class Bounds(Table):
    """What one variable may be: bounds of a number, or choices of a word.

    All but the scale is read later, when it is known what the value is and in which unit.
    """

    lower: Annotated[Any, _bound("lower")] = Field(None, alias="from")
    upper: Annotated[Any, _bound("upper")] = Field(None, alias="to")
    scale: Annotated[str, BeforeValidator(word_check(_SCALES)), WithJsonSchema(_SCALE)] = "linear"
    choices: Annotated[Any, WithJsonSchema(_CHOICES)] = None


class Loose(Table):
    """A table of which only the known part is read."""

    model_config = ConfigDict(extra="ignore")


def model_of(layout: Layout, kinds: Mapping[str, Kind], rows: Rows) -> type[BaseModel]:
    """
    Return the model that checks one study file.

    Parameters
    ----------
    layout : Layout
        The places and kinds that the file names.
    kinds : mapping of str to Kind
        Known kinds by `slot.kind`; each may bring a table of parts.
    rows : mapping of str to tuple of str
        What there is to pick from.

    Returns
    -------
    type of BaseModel
        Values come out in SI units, under the names of the file.
    """
    tree: dict[str, Any] = {name: {} for name in _TREES}
    for slot in layout.empty:
        nothing = _table(slot.table.replace(".", "_"), {})
        _plant(tree, slot.table, (nothing, nothing()))
    for filled in layout.slots:
        for place in filled.places:
            _plant(tree, place.path, _place_field(filled, place, rows))
    return _whole_file(_fields(tree, ""), kinds)


def schema_model(layout: Layout, kinds: Mapping[str, Kind], rows: Rows) -> type[BaseModel]:
    """
    Return the model behind the JSON Schema: any kind at any place, any names of entries.

    Parameters
    ----------
    layout : Layout
        All places that a study can have.
    kinds : mapping of str to Kind
        Known kinds by `slot.kind`; each may bring a table of parts.
    rows : mapping of str to tuple of str
        What there is to pick from.

    Returns
    -------
    type of BaseModel
        Good for its schema alone.
    """
    tree: dict[str, Any] = {name: {} for name in _TREES}
    for filled in layout.slots:
        annotation = _any_kind(filled, rows)
        default = filled.known.get(filled.slot.default or "")
        is_optional = filled.slot.name not in REQUIRED_SLOTS
        if not filled.places:
            field: tuple[Any, Any] = (
                _by_name(annotation, 0 if is_optional else 1),
                {} if is_optional else ...,
            )
            _plant(tree, filled.slot.table, field)
        is_unsaid = is_optional or (default and not default.parameters)
        for place in filled.places:
            _plant(tree, place.path, (annotation, {} if is_unsaid else ...))
    return _whole_file(_fields(tree, ""), kinds)


def _any_kind(filled: SlotPlaces, rows: Rows) -> Any:  # noqa: ANN401 -- an annotation
    """Return the union of what may stand at a place.

    Any kind; the bare name of one that needs nothing else; and, where the kind itself is searched,
    a table that holds the parameters of several.
    """
    known = tuple(filled.known.values())
    options: list[Any] = [_kind_model(filled, (kind,), rows) for kind in known]
    options += [Literal[kind.name] for kind in known if not kind.parameters]
    if len(known) > 1:
        meaning = "what fills it; more than one kind where a variable chooses"
        merged: dict[str, Any] = {KIND: (words(tuple(filled.known), meaning), ...)}
        for kind in known:
            for one in kind.parameters:
                _plant(merged, one.name, (field_of(one, _rows_of(one, rows)), None))
        name = f"{filled.slot.name}_searched"
        options.append(_table(name, _fields(merged, name)))
    return Union[tuple(options)]  # noqa: UP007 -- made at run time


def _by_name(annotation: Any, least: int) -> Any:  # noqa: ANN401 -- annotations
    pattern: dict[str, Any] = {"propertyNames": {"pattern": _NAME}, "minProperties": least}
    return Annotated[_named(annotation), Field(json_schema_extra=pattern)]


def tables_of(kinds: Mapping[str, Kind]) -> dict[str, Row]:
    """Return what says the form of every table of parts that some kind picks from, by its name."""
    rows = [one for kind in kinds.values() for one in kind.parameters if isinstance(one, Row)]
    return {row.table: row for row in rows}


def _own_tables(kinds: Mapping[str, Kind]) -> tuple[Any, Any]:
    meaning = "CSV file beside this one, in place of the shipped"
    own = {
        name: (text(f"{meaning} {name}", want=PARTS.name_form), None) for name in tables_of(kinds)
    }
    return _branch("tables", own)


def _whole_file(trees: Mapping[str, Any], kinds: Mapping[str, Kind]) -> type[BaseModel]:
    direction = Annotated[str, BeforeValidator(_direction), WithJsonSchema(_DIRECTION)]
    limit = text("bound to keep, such as '<= 120 degC'", want=LIMIT_FORM, pattern=_LIMIT)
    form = WithJsonSchema({"const": FORMAT, "description": "format of the study file"})
    fields: dict[str, Any] = {
        "format": (Annotated[int, BeforeValidator(_format), form], ...),
        "name": (text("short name", want=NAME_FORM, allowed=is_name, pattern=_NAME), ...),
        "note": (text("for the reader", want="a text"), None),
        **trees,
        "tables": _own_tables(kinds),
        "variables": (_named(Bounds), ...),
        "objectives": (
            Annotated[_named(direction), Field(json_schema_extra={"minProperties": 1})],
            ...,
        ),
        "limits": (_named(limit), {}),
        "search": (Search, ...),
    }
    return _table("study", fields)


def _direction(value: object) -> str:
    if isinstance(value, str) and value in _DIRECTIONS:
        return value
    # without the nearest word: of these two, it may well be the wrong one
    raise refused(spoken(value), one_of(_DIRECTIONS))


def _format(value: object) -> int:
    if type(value) is int and value == FORMAT:  # true and 1.0 are equal to 1, and not meant
        return value
    raise refused(spoken(value), f"{FORMAT}, the format that this version reads")


def _named(annotation: object) -> GenericAlias:
    """Return the annotation of a table with any names and values of one sort."""
    return GenericAlias(dict, (str, annotation))


def _table(
    name: str,
    fields: Mapping[str, Any],
    base: type[BaseModel] = Table,
    meaning: str | None = None,
) -> type[BaseModel]:
    # names of the file may be anything, so they are aliases and the attributes are numbered
    numbered: dict[str, Any] = {
        f"field_{number}": (annotation, Field(default, alias=name_in_file))
        for number, (name_in_file, (annotation, default)) in enumerate(fields.items())
    }
    made: type[BaseModel] = create_model(name, __base__=base, __doc__=meaning, **numbered)
    return made


def _plant(tree: dict[str, Any], path: str, leaf: object) -> None:
    *branches, last = path.split(".")
    for branch in branches:
        tree = tree.setdefault(branch, {})
    tree[last] = leaf


def _fields(tree: Mapping[str, Any], owner: str) -> dict[str, tuple[Any, Any]]:
    """Return fields of what stands in a table: leaves are fields already, the rest are tables."""
    return {
        name: node if isinstance(node, tuple) else _branch(f"{owner}_{name}".lstrip("_"), node)
        for name, node in tree.items()
    }


def _branch(name: str, tree: Mapping[str, Any]) -> tuple[Any, Any]:
    """Return the field of a nested table; where all its parts may be left out, so may it."""
    model = _table(name, _fields(tree, name))
    return model, _default(model)


def _default(model: type[BaseModel]) -> object:
    """Return the table as it is with nothing said, or that something must be."""
    if any(field.is_required() for field in model.model_fields.values()):
        return ...
    return model()


def _place_field(filled: SlotPlaces, place: Place, rows: Rows) -> tuple[Any, Any]:
    model = _kind_model(filled, place.kinds, rows) if place.kinds else _kind_chooser(filled)
    return Annotated[model, BeforeValidator(_spelled_out(filled))], _default(model)


def _spelled_out(filled: SlotPlaces) -> Callable[[object], object]:
    """Return the reader that lets one word stand for a table with nothing but the kind in it."""
    known = tuple(filled.known)
    is_choice = len(known) > 1 or filled.slot.default is None

    def read(value: object) -> object:
        if isinstance(value, dict):
            return value
        if isinstance(value, str) and value in known:
            return {KIND: value}
        nearest = near(value, known) if isinstance(value, str) else None
        want = f"{one_of(known)}, or a table with that kind" if is_choice else "a table"
        raise refused(spoken(value), want, nearest)

    return read


def _kind_model(filled: SlotPlaces, kinds: tuple[Kind, ...], rows: Rows) -> type[BaseModel]:
    parameters = (one for kind in kinds for one in kind.parameters)
    picked = [
        one.table if isinstance(one, Row) else one.axis
        for one in parameters
        if isinstance(one, Row | Entry)
    ]
    return _kind_table(
        filled.slot, kinds, tuple((home, rows[home]) for home in picked if home in rows)
    )


@lru_cache(maxsize=256)
def _kind_table(
    slot: Slot, kinds: tuple[Kind, ...], rows: tuple[tuple[str, tuple[str, ...]], ...]
) -> type[BaseModel]:
    """Make the table of some kinds, once for the many places that have the same."""
    names = tuple(kind.name for kind in kinds)
    meaning = "; ".join(f"{kind.name}: {kind.meaning}" for kind in kinds)
    default = slot.default if slot.default in names else ...
    tree: dict[str, Any] = {KIND: (words(names, meaning), default)}
    for kind in kinds:
        for one in kind.parameters:
            _plant(tree, one.name, (field_of(one, _rows_of(one, dict(rows))), ...))
    name = f"{slot.name}_{'_'.join(names)}"
    return _table(name, _fields(tree, name), meaning=meaning)


def _rows_of(parameter: Parameter, rows: Rows) -> tuple[str, ...] | None:
    match parameter:
        case Row():
            return rows.get(parameter.table)
        case Entry():
            return rows.get(parameter.axis) or None  # without a gait any name may do
        case _:
            return None


def _kind_chooser(filled: SlotPlaces) -> type[BaseModel]:
    """Return the model of a place whose kind is missing or not known: it asks for that alone."""
    kind = words(tuple(filled.known), f"what fills the {filled.slot.name}")
    return _table(filled.slot.name, {KIND: (kind, ...)}, Loose)
