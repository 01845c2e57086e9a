"""Which places a study has, which kinds may stand there, and which values they take."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import islice
from typing import Any

from tradeopt.chain.fit import KIND, Place
from tradeopt.chain.kind import Kind, Parameter, Slot, Word
from tradeopt.quantities import BODIES, JOINTS
from tradeopt.stages.registry import REQUIRED_SLOTS, kinds_of, slots_of
from tradeopt.study.fields import is_name

MOST_GAITS = 50
"""Gaits a study may have; each takes its own memory and time for every design."""


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
    gaits : tuple of str
        Names of the gaits, in the order of the file.
    slots : tuple of SlotPlaces
        Every slot that the study fills.
    """

    gaits: tuple[str, ...]
    slots: tuple[SlotPlaces, ...]

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
    gaits = tuple(islice(filter(is_name, table_at(data, "gaits")), MOST_GAITS))
    entries = _entries(gaits)
    filled = []
    for slot in slots_of(kinds):
        paths = [slot.path_of(entry) for entry in entries[slot.axis]]
        if slot.name in REQUIRED_SLOTS or any(_is_named(data, path) for path in paths):
            known = kinds_of(slot, kinds)
            places = tuple(Place(path, _kinds_at(data, path, slot, known)) for path in paths)
            filled.append(SlotPlaces(slot, known, places))
    return Layout(gaits, tuple(filled))


def whole_layout(kinds: Mapping[str, Kind]) -> Layout:
    """Return the places that a study without gaits can have at most, any kind at each of them."""
    entries = _entries(())
    filled = []
    for slot in slots_of(kinds):
        known = kinds_of(slot, kinds)
        paths = [slot.path_of(entry) for entry in entries[slot.axis]]
        places = tuple(Place(path, tuple(known.values())) for path in paths)
        filled.append(SlotPlaces(slot, known, places))
    return Layout((), tuple(filled))


def _entries(gaits: tuple[str, ...]) -> Mapping[str | None, tuple[str, ...]]:
    return {"joint": JOINTS, "body": BODIES, "gait": gaits, None: ("",)}


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


def _is_named(data: Mapping[str, Any], path: str) -> bool:
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
