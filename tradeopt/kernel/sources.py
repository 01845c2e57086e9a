"""What a loop reads from memory: from where, and how far from one number to the next."""

from collections import Counter
from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np

from tradeopt.arrays import Codes
from tradeopt.kernel.apply import apply
from tradeopt.kernel.code import Code, Value, literal
from tradeopt.kernel.memory import Memory
from tradeopt.kernel.plan import Access, Key, Loop, long_access

Place: TypeAlias = str | int
"""A row or a place in it: known, or the name of what counts."""

_STEPS = (0, 1)
"""From one number to the next, where a vector of them is read at once."""


@dataclass(frozen=True)
class Source:
    """One array along a stretch of a row.

    Attributes
    ----------
    access : Access
        What is read.
    address : str
        Of the first element of the stretch, in the row at hand.
    in_order : bool
        Whether the elements follow each other.
    value : Value, optional
        What is the same along the stretch.
    inverse : Value, optional
        One over that, where something is divided by it.
    """

    access: Access
    address: str
    in_order: bool
    value: Value | None
    inverse: Value | None = None


@dataclass(frozen=True)
class Spot:
    """Where a loop is.

    Attributes
    ----------
    row : Place
        Row at hand.
    first : int
        Begin of the stretch.
    place : Place
        Place in the row.
    width : int
        Numbers at once.
    """

    row: Place
    first: int
    place: Place
    width: int


def row_place(code: Code, places: Codes, row: Place) -> Place:
    """Return the one of some places that goes with a row."""
    if isinstance(row, int):
        return int(places[row])
    steps = np.unique(np.diff(places))
    if len(steps) == 1:
        far = code.put(f"mul nsw i64 {row}, {steps[0]}")
        return code.put(f"add nsw i64 {far}, {places[0]}")
    return code.put(f"load i64, ptr {code.table(places, row)}, align 8")


class Sources:
    """All that a loop reads from memory.

    Parameters
    ----------
    code : Code
        Where it is written.
    memory : Memory
        Where arrays are.
    loop : Loop
        What reads.
    """

    def __init__(self, code: Code, memory: Memory, loop: Loop) -> None:
        self.code, self.memory = code, memory
        self.length = loop.space[1]
        self.own = set(loop.maps)
        nodes = (*loop.maps, *loop.folds)
        found = [long_access(part) for node in nodes for part in node.parts]
        found += [piece.source for piece in loop.pieces]
        divisors = (node.parts[1] for node in loop.maps if node.name == "divide")
        self.divisors = Counter(long_access(part).key for part in divisors)
        self.accesses = {one.key: one for one in found if not self.is_register(one)}

    def is_register(self, access: Access) -> bool:
        """Whether the loop itself has just worked it out."""
        return access.base in self.own and access.is_whole

    def borders(self) -> list[int]:
        """Split a row where one of the arrays jumps, such as at the turn of a stride."""
        borders = {0, self.length}
        for access in self.accesses.values():
            index = self.memory.spread.get(access.base, np.arange(access.base.value.size))
            steps = np.diff(index[access.index], axis=1)
            smooth = [(steps == step).all(axis=0) for step in _STEPS]
            jumps = np.flatnonzero(~np.logical_or(*smooth))
            if len(jumps) <= 1:
                borders.update((jumps + 1).tolist())
        return sorted(borders)

    def along(self, row: Place, first: int, end: int) -> dict[Key, Source]:
        """Return what is read along a stretch of a row."""
        return {
            key: self._inverted(self._source(one, row, slice(first, end)))
            for key, one in self.accesses.items()
        }

    def _inverted(self, source: Source) -> Source:
        """Divide by what is the same along a row but once."""
        if source.value is None or source.access.key not in self.divisors:
            return source
        inverse = apply(self.code, "divide", [literal(1.0), source.value])
        return replace(source, inverse=inverse)

    def _source(self, access: Access, row: Place, stretch: slice) -> Source:
        base, index = access.base, access.index[:, stretch]
        if base.op == "const":
            values = np.unique(base.value.reshape(-1)[access.index])
            if len(values) == 1:
                return Source(access, "", in_order=False, value=literal(float(values[0])))
        pointer, places = self.memory.places(base, index)
        address = self.code.at(pointer, row_place(self.code, places[:, 0], row))
        steps = np.unique(np.diff(places, axis=1))
        if len(steps) == 1 and steps[0] == 0:
            return Source(access, address, in_order=False, value=self.code.load(address))
        in_order = len(steps) == 0 or (len(steps) == 1 and steps[0] == 1)
        return Source(access, address, in_order=in_order, value=None)

    def read(self, source: Source, spot: Spot) -> Value:
        """Read some numbers, or flags."""
        found = self._numbers(source, spot)
        return self.code.truth(found) if source.access.base.is_flag else found

    def _numbers(self, source: Source, spot: Spot) -> Value:
        code = self.code
        if source.value is not None:
            return code.spread(source.value, spot.width)
        if source.in_order:
            return code.load(code.at(source.address, self._off(spot)), spot.width)
        access = source.access
        pointer, places = self.memory.places(access.base, access.index.reshape(-1))
        first = code.put(f"mul nsw i64 {spot.row}, {self.length}")
        first = code.put(f"add nsw i64 {first}, {spot.place}")
        lanes = []
        for lane in range(spot.width):
            at = code.put(f"add nsw i64 {first}, {lane}")
            place = code.put(f"load i64, ptr {code.table(places, at)}, align 8")
            lanes.append(code.load(code.at(pointer, place)))
        return code.gathered(lanes)

    def _off(self, spot: Spot) -> Place:
        """Return how far a place is from the begin of its stretch."""
        if isinstance(spot.place, int):
            return spot.place - spot.first
        return (
            self.code.put(f"sub nsw i64 {spot.place}, {spot.first}") if spot.first else spot.place
        )
