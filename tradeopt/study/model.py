"""The frozen pydantic model of a study file, made from the places and kinds that it names."""

from collections.abc import Mapping
from types import GenericAlias
from typing import Annotated, Any, Literal, Union

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, WithJsonSchema, create_model

from tradeopt.chain.fit import KIND, Place
from tradeopt.chain.kind import Column, Entry, Kind, Number, Parameter, Row, Slot
from tradeopt.stages.registry import REQUIRED_SLOTS, kinds_of, slots_of
from tradeopt.study.fields import field_of, number_check, text, word_check, words
from tradeopt.study.layout import Layout, SlotPlaces

_TREES = ("robot", "surroundings", "gaits", "mission", "upkeep", "stages")

Rows = Mapping[str, tuple[str, ...]]
"""What there is to pick from: row labels by table of parts, and names by axis."""


class Table(BaseModel):
    """A table of the study file: nothing unknown in it, nothing changed later."""

    model_config = ConfigDict(frozen=True, extra="forbid", loc_by_alias=True)


class Bounds(Table):
    """What one variable may be; bounds are read later, in the unit of the value they bound."""

    lower: str | int | float | None = Field(None, alias="from")
    upper: str | int | float | None = Field(None, alias="to")
    scale: Annotated[str, BeforeValidator(word_check(("linear", "log")))] = "linear"
    choices: list[str] | None = None


class Loose(Table):
    """A table of which only the known part is read."""

    model_config = ConfigDict(extra="ignore")


_TIME = Number("time", "s", "time to search", (60, 3600), above=0.0)
_SAMPLERS = ("nsga2", "nsga3", "tpe")


class Search(Table):
    """How long and how to search.

    Attributes
    ----------
    time : float, optional
        Seconds to search; where `designs` is given too, what comes first ends the run.
    designs : int, optional
        Designs to try; with it a run repeats exactly.
    seed : int
        Start of all random numbers.
    sampler : str
        Which sampler proposes designs.
    """

    time: (
        Annotated[
            float,
            BeforeValidator(number_check(_TIME)),
            WithJsonSchema({"type": "string", "examples": ["10 min", "8 h"]}),
        ]
        | None
    ) = None
    designs: int | None = Field(None, ge=1)
    seed: int = Field(ge=0, le=2**32 - 1)
    sampler: Annotated[str, BeforeValidator(word_check(_SAMPLERS))] = "nsga2"


_LONGEST_NAME = 60


def _short(value: str) -> bool:
    return len(value) <= _LONGEST_NAME and value.replace("-", "").replace("_", "").isalnum()


def model_of(layout: Layout, kinds: Mapping[str, Kind], rows: Rows) -> type[BaseModel]:
    """
    Return the model that checks one study file.

    Parameters
    ----------
    layout : Layout
        The places and kinds that the file names.
    kinds : mapping of str to Kind
        All known kinds, for naming them where a file names none of them.
    rows : mapping of str to tuple of str
        Row labels of the tables of parts.

    Returns
    -------
    type of BaseModel
        Values come out in SI units, under the names of the file.
    """
    tree: dict[str, Any] = {}
    for slot in layout.empty:
        nothing = _table(slot.name, {})
        unsaid: Any = ... if slot.name in REQUIRED_SLOTS else nothing()
        _plant(tree, slot.table, (nothing, unsaid))
    for filled in layout.slots:
        for place in filled.places:
            _plant(tree, place.path, _place_field(filled, place, kinds, rows))
    return _whole_file(_fields({name: tree.get(name, {}) for name in _TREES}), kinds)


def schema_model(layout: Layout, kinds: Mapping[str, Kind], rows: Rows) -> type[BaseModel]:
    """Return the model behind the JSON Schema: any kind at any place, any gait names."""
    tree: dict[str, Any] = {}
    for slot in slots_of(kinds):
        known = kinds_of(slot, kinds)
        default = known.get(slot.default or "")
        left_out = slot.name not in REQUIRED_SLOTS
        field = _any_kind(slot, tuple(known.values()), rows)
        if slot.axis is not None and not layout.entries[slot.axis]:
            unsaid: Any = {} if left_out else ...
            _plant(tree, slot.table, (_named(field), unsaid))
        else:
            unsaid = {} if left_out or (default and not default.parameters) else ...
            names = ("",) if slot.axis is None else layout.entries[slot.axis]
            for name in names:
                _plant(tree, slot.path_of(name), (field, unsaid))
    return _whole_file(_fields({name: tree[name] for name in _TREES}), kinds)


def _any_kind(slot: Slot, known: tuple[Kind, ...], rows: Rows) -> Any:  # noqa: ANN401 -- an annotation
    """Return the union of what may stand at a place.

    Any kind; the bare name of one that needs nothing else; and, where the kind itself is searched,
    a table that holds the parameters of several.
    """
    options: list[Any] = [_kind_model(slot, (kind,), rows) for kind in known]
    options += [Literal[kind.name] for kind in known if not kind.parameters]
    if len(known) > 1:
        merged: dict[str, Any] = {KIND: (words(tuple(kind.name for kind in known), "kind"), ...)}
        for kind in known:
            for parameter in kind.parameters:
                _plant(
                    merged, parameter.name, (field_of(parameter, _rows_of(parameter, rows)), None)
                )
        options.append(_table(f"{slot.name}_searched", _fields(merged)))
    return Union[tuple(options)]  # noqa: UP007 -- made at run time


def tables_of(kinds: Mapping[str, Kind]) -> dict[str, tuple[Column, ...]]:
    """Return the columns of every table of parts that some kind picks rows from, by its name."""
    rows = [one for kind in kinds.values() for one in kind.parameters if isinstance(one, Row)]
    return {row.table: row.columns for row in rows}


def _whole_file(trees: Mapping[str, Any], kinds: Mapping[str, Kind]) -> type[BaseModel]:
    name = text("short name", _short, "letters, digits, - and _, such as levee-rounds")
    direction = words(("highest", "lowest"), "which way is better")
    fields: dict[str, Any] = {
        "format": (Literal[1], ...),
        "name": (name, ...),
        "note": (text("for the reader"), None),
        **trees,
        "tables": _branch(
            "tables",
            {
                name: (text(f"CSV file beside this one, in place of the shipped {name}"), None)
                for name in tables_of(kinds)
            },
        ),
        "variables": (_named(Bounds), ...),
        "objectives": (Annotated[_named(direction), Field(min_length=1)], ...),
        "limits": (_named(text("such as '<= 120 degC'")), {}),
        "search": (Search, ...),
    }
    return _table("study", fields)


def _named(annotation: object) -> GenericAlias:
    """Return the annotation of a table with any names and values of one sort."""
    return GenericAlias(dict, (str, annotation))


def _table(name: str, fields: Mapping[str, Any], base: type[BaseModel] = Table) -> type[BaseModel]:
    # names of the file may be anything, so they are aliases and the attributes are numbered
    numbered: dict[str, Any] = {
        f"field_{number}": (annotation, Field(default, alias=name_in_file))
        for number, (name_in_file, (annotation, default)) in enumerate(fields.items())
    }
    made: type[BaseModel] = create_model(name, __base__=base, **numbered)
    return made


def _plant(tree: dict[str, Any], path: str, leaf: object) -> None:
    *branches, last = path.split(".")
    for branch in branches:
        tree = tree.setdefault(branch, {})
    tree[last] = leaf


def _fields(tree: Mapping[str, Any]) -> dict[str, tuple[Any, Any]]:
    """Return fields of what stands in a table: leaves are fields already, the rest are tables."""
    return {
        name: node if isinstance(node, tuple) else _branch(name, node)
        for name, node in tree.items()
    }


def _branch(name: str, tree: Mapping[str, Any]) -> tuple[Any, Any]:
    """Return the field of a nested table; where all its parts may be left out, so may it."""
    model = _table(name, _fields(tree))
    try:
        return model, model()
    except ValueError:
        return model, ...


def _place_field(
    filled: SlotPlaces, place: Place, kinds: Mapping[str, Kind], rows: Rows
) -> tuple[Any, Any]:
    model = (
        _kind_model(filled.slot, place.kinds, rows)
        if place.kinds
        else _kind_chooser(filled, kinds)
    )
    try:
        default: object = model()
    except ValueError:
        default = ...
    return Annotated[model, BeforeValidator(_spelled_out)], default


def _spelled_out(value: object) -> object:
    """Let one word stand for a table with nothing but the kind in it."""
    return {KIND: value} if isinstance(value, str) else value


def _kind_model(slot: Slot, kinds: tuple[Kind, ...], rows: Rows) -> type[BaseModel]:
    names = tuple(kind.name for kind in kinds)
    meaning = "; ".join(f"{kind.name}: {kind.meaning}" for kind in kinds)
    default = slot.default if slot.default in names else ...
    tree: dict[str, Any] = {KIND: (words(names, meaning), default)}
    for kind in kinds:
        for parameter in kind.parameters:
            _plant(tree, parameter.name, (field_of(parameter, _rows_of(parameter, rows)), ...))
    return _table(f"{slot.name}_{'_'.join(names)}", _fields(tree))


def _rows_of(parameter: Parameter, rows: Rows) -> tuple[str, ...] | None:
    match parameter:
        case Row():
            return rows.get(parameter.table)
        case Entry():
            return rows.get(parameter.axis)
        case _:
            return None


def _kind_chooser(filled: SlotPlaces, kinds: Mapping[str, Kind]) -> type[BaseModel]:
    """Return the model of a place whose kind is missing or not known: it asks for that alone."""
    names = tuple(kinds_of(filled.slot, kinds))
    return _table(
        filled.slot.name, {KIND: (words(names, f"what fills the {filled.slot.name}"), ...)}, Loose
    )
