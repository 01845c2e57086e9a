"""Which places a study has, which kinds may stand there, and which values they take."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import islice
from typing import Any

from tradeopt.chain.fit import KIND, Place
from tradeopt.chain.kind import Kind, Parameter, Slot, Word
from tradeopt.quantities import BODIES, JOINTS, Quantity
from tradeopt.stages.registry import REQUIRED_SLOTS, kinds_of, slots_of
from tradeopt.study.fields import is_name

MOST_ENTRIES = 50
"""Gaits, legs and the like a study may have; each takes memory and time for every design."""


@dataclass(frozen=True)
class SlotPlaces:
    """A slot, every kind known for it, and its places in one study in the order of its axis."""

    slot: Slot
    known: Mapping[str, Kind]
    places: tuple[Place, ...]


@dataclass(frozen=True)
class Layout:
    """All places of one study.

    Attributes
    ----------
    entries : mapping of str to tuple of str
        Names along every axis that has some; those of the file, such as gaits, in its order.
    slots : tuple of SlotPlaces
        Every slot that the study fills.
    empty : tuple of Slot
        Slots that have an axis of their own, with no entry on it in this study.
    """

    entries: Mapping[str, tuple[str, ...]]
    slots: tuple[SlotPlaces, ...]
    empty: tuple[Slot, ...]

    @property
    def gaits(self) -> tuple[str, ...]:
        """Names of the gaits, in the order of the file."""
        return self.entries["gait"]

    @property
    def nothing(self) -> tuple[Quantity, ...]:
        """What empty slots would give: arrays of length zero along their axis."""
        return tuple(
            quantity for slot in self.empty for gives in slot.steps.values() for quantity in gives
        )

    @cached_property
    def places(self) -> dict[str, Place]:
        """Every place by its path."""
        return {place.path: place for filled in self.slots for place in filled.places}

    @cached_property
    def leaves(self) -> dict[str, Parameter]:
        """Every value of the study by its path; a place's kind counts as a word."""
        found: dict[str, Parameter] = {}
        for filled in self.slots:
            for place in filled.places:
                meaning = f"what fills {place.path}"
                found[f"{place.path}.{KIND}"] = Word(KIND, tuple(filled.known), meaning)
                for kind in place.kinds:
                    for parameter in kind.parameters:
                        found[f"{place.path}.{parameter.name}"] = parameter
        return found


def layout_of(data: Mapping[str, Any], kinds: Mapping[str, Kind]) -> Layout:
    """
    Work out the places of a study from its raw values, whatever else may be wrong with them.

    Parameters
    ----------
    data : mapping
        Plain values of the study file.
    kinds : mapping of str to Kind
        Known kinds by `slot.kind`.

    Returns
    -------
    Layout
        A place whose kind is not known has none; the model of the file says so at its line.
    """
    entries = _entries(data, kinds)
    filled, empty = [], []
    for slot in slots_of(kinds):
        paths = _paths(slot, entries)
        if not paths:
            empty.append(slot)
        elif _wanted(slot, data, entries):
            known = kinds_of(slot, kinds)
            places = tuple(Place(path, _kinds_at(data, path, slot, known)) for path in paths)
            filled.append(SlotPlaces(slot, known, places))
    return Layout(entries, tuple(filled), tuple(empty))


def whole_layout(kinds: Mapping[str, Kind]) -> Layout:
    """Return the places that a study without any names can have, any kind at each of them."""
    entries = _entries({}, kinds)
    filled = []
    for slot in slots_of(kinds):
        known = kinds_of(slot, kinds)
        places = tuple(Place(path, tuple(known.values())) for path in _paths(slot, entries))
        filled.append(SlotPlaces(slot, known, places))
    return Layout(entries, tuple(filled), ())


def _entries(data: Mapping[str, Any], kinds: Mapping[str, Kind]) -> dict[str, tuple[str, ...]]:
    """Return the names along every axis: those of the robot, then those that the file gives."""
    found = {"joint": JOINTS, "body": BODIES}
    for slot in slots_of(kinds):
        if slot.axis is not None and slot.axis not in found:
            names = filter(is_name, table_at(data, slot.table))
            found[slot.axis] = tuple(islice(names, MOST_ENTRIES))
    return found


def entries_form(slot: Slot) -> str:
    """Say in words what the table of the entries of a slot looks like."""
    entry = (slot.axis or slot.name).replace("_", " ")
    return f"a table with one {entry} or more, each under its name"


def _paths(slot: Slot, entries: Mapping[str, tuple[str, ...]]) -> list[str]:
    names = ("",) if slot.axis is None else entries[slot.axis]
    return [slot.path_of(name) for name in names]


def _wanted(slot: Slot, data: Mapping[str, Any], entries: Mapping[str, tuple[str, ...]]) -> bool:
    named = any(is_said(data, path) for path in _paths(slot, entries))
    works_on = slot.beside is not None and _wanted(slot.beside, data, entries)
    return slot.name in REQUIRED_SLOTS or named or works_on


def value_at(data: Mapping[str, Any], path: str) -> object:
    """Return the raw value at a dotted path, or None."""
    value: object = data
    for name in path.split("."):
        value = value.get(name) if isinstance(value, dict) else None
    return value


def table_at(data: Mapping[str, Any], path: str) -> Mapping[str, Any]:
    """Return the raw table at a dotted path, or an empty one where there is none."""
    value = value_at(data, path)
    return value if isinstance(value, dict) else {}


def is_said(data: Mapping[str, Any], path: str) -> bool:
    """Tell whether the file says anything at a dotted path, even nothing."""
    parent, _, name = path.rpartition(".")
    return name in (table_at(data, parent) if parent else data)


def _kinds_at(
    data: Mapping[str, Any], path: str, slot: Slot, known: Mapping[str, Kind]
) -> tuple[Kind, ...]:
    """Return the kind that the place names, then those that a variable may put there."""
    value = value_at(data, path)
    named = value.get(KIND, slot.default) if isinstance(value, dict) else value or slot.default
    spec = table_at(data, "variables").get(f"{path}.{KIND}")
    choices = spec.get("choices") if isinstance(spec, dict) else None
    words = [named, *(choices if isinstance(choices, list) else [])]
    names = dict.fromkeys(word for word in words if isinstance(word, str) and word in known)
    return tuple(known[name] for name in names)
