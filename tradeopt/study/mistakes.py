"""What the model of a study file refuses, told as problems in the words of the trade."""

from collections.abc import Iterator, Mapping
from typing import Any, get_args

from pydantic import BaseModel, ValidationError

from tradeopt.chain.kind import Slot
from tradeopt.stages.registry import slots_of
from tradeopt.study.fields import NAME_FORM, REFUSED, one_of, spoken
from tradeopt.study.layout import MOST_ENTRIES, entries_form
from tradeopt.study.model import FORMAT
from tradeopt.study.place import ValuePath, dotted
from tradeopt.study.reading import Reading

_WANTED = {
    "format": f"{FORMAT}, the format of this file",
    "name": NAME_FORM,
    "variables": "a table of what may be chosen, {} for nothing",
    "objectives": "a table, such as 'range: highest'",
    "limits": "a table, such as 'total_mass: \"<= 80 kg\"'",
    "search.seed": "a whole number, such as '7'",
}
"""What stands where no parameter of a kind does, by its path."""


def report_refusals(
    reading: Reading, error: ValidationError, model: type[BaseModel], kinds: Mapping[str, Any]
) -> None:
    """
    Report everything that the model of a study file refused.

    Parameters
    ----------
    reading : Reading
        The file; its problems are added to.
    error : ValidationError
        What the model says.
    model : type of BaseModel
        The model.
    kinds : mapping of str to Kind
        Known kinds by `slot.kind`, those included that the file does not name.
    """
    for one in error.errors(include_url=False):
        path = one["loc"]
        match one["type"]:
            case "extra_forbidden":
                _report_unknown(reading, path, (*_names(model, path[:-1]), *_more(kinds, path)))
            case "missing":
                reading.report(path, "nothing", _want(reading, model, path))
            case refusal if refusal == REFUSED:
                context = one["ctx"]
                reading.report(path, context["got"], context["want"], nearest=context["near"])
            case _:  # what is left is something else where a table should stand
                reading.report(path, spoken(one["input"]), _want(reading, model, path))


def _want(reading: Reading, model: type[BaseModel], path: ValuePath) -> str:
    """Say what should stand at a path of the file."""
    name = dotted(path)
    if name in reading.layout.leaves:
        return reading.expected(reading.layout.leaves[name])
    if name in _WANTED:
        return _WANTED[name]
    if name in (tables := _entry_tables(reading)):
        return entries_form(tables[name])
    names = "" if path[0] == "variables" else ", ".join(_names(model, path))
    bounds = "a table, such as '{from: 8, to: 40}' or '{choices: [none, two_way]}'"
    return f"a table with {names}" if names else bounds


def _names(model: Any, path: ValuePath) -> Iterator[Any]:  # noqa: ANN401 -- an annotation
    """Walk the model down to a table and yield the names it knows."""
    for name in path:
        fields = _fields(model)
        # a table with any names has one sort of value, the last of its arguments
        model = fields[name] if name in fields else get_args(model)[-1]
    return iter(_fields(model))


def _fields(model: Any) -> dict[str | int, Any]:  # noqa: ANN401 -- an annotation
    """Return what stands in a table, by its name in the file."""
    fields = getattr(model, "model_fields", {})
    return {field.alias or name: field.annotation for name, field in fields.items()}


def _more(kinds: Mapping[str, Any], path: ValuePath) -> Iterator[str]:
    """Yield the names of slots that other packages add to a table and this study leaves out."""
    for slot in slots_of(kinds):
        parent, _, name = slot.path.rpartition(".")
        if parent == dotted(path[:-1]) and "{" not in name:
            yield name


def _report_unknown(reading: Reading, path: ValuePath, known: tuple[str, ...]) -> None:
    names = tuple(dict.fromkeys(known))
    tables = _entry_tables(reading)
    if dotted(path[:-1]) in tables:
        _report_entry(reading, path, tables[dotted(path[:-1])])
    else:
        why = _owners(reading, path) or "which is not known here"
        reading.report_name(path, names, why=why, want=one_of(names))


def _entry_tables(reading: Reading) -> dict[str, Slot]:
    """Return the slots whose entries the file names, by the path of the table that names them."""
    slots = [filled.slot for filled in reading.layout.slots] + list(reading.layout.empty)
    return {slot.table: slot for slot in slots if slot.axis not in (None, "joint", "body")}


def _report_entry(reading: Reading, path: ValuePath, slot: Slot) -> None:
    """Say why a gait or the like has no place: its name, or that there are too many."""
    entry = str(slot.axis).replace("_", " ")
    if len(reading.layout.entries[str(slot.axis)]) < MOST_ENTRIES:
        reading.report(path, spoken(path[-1]), NAME_FORM, key=True)
    else:
        reading.report(path, f"one {entry} more", f"at most {MOST_ENTRIES} {entry}s", key=True)


def _owners(reading: Reading, path: ValuePath) -> str | None:
    """Say which other kinds of the place have a parameter of that name."""
    for filled in reading.layout.slots:
        for place in filled.places:
            if dotted(path).startswith(f"{place.path}."):
                name = dotted(path).removeprefix(f"{place.path}.")
                owners = [
                    kind.name
                    for kind in filled.known.values()
                    if any(f"{one.name}.".startswith(f"{name}.") for one in kind.parameters)
                ]
                chosen = " and ".join(kind.name for kind in place.kinds)
                return f"which {' and '.join(owners)} has, not {chosen}" if owners else None
    return None
