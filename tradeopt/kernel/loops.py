"""Loops over long arrays: all functions of a pass on some numbers at once, row by row."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from tradeopt.arrays import Codes
from tradeopt.kernel.code import Code, Value, literal
from tradeopt.kernel.graph import Node
from tradeopt.kernel.memory import Memory
from tradeopt.kernel.plan import Access, Loop, long_access

WIDTH = 8
"""Numbers that a loop takes at once."""

_FOLDS: Mapping[str, tuple[str, float]] = {
    "add": ("add", 0.0),
    "multiply": ("multiply", 1.0),
    "minimum": ("minimum", np.inf),
    "maximum": ("maximum", -np.inf),
    "logical_and": ("minimum", 1.0),
    "logical_or": ("maximum", 0.0),
}
"""How flags, kept as 0 and 1, and numbers are taken together, and from what on."""

Place: TypeAlias = str | int


@dataclass
class _Source:
    """One array as a loop reads it in one stretch of a row.

    Attributes
    ----------
    access : Access
        What is read.
    step : int, optional
        From one element to the next, 0 or 1; None where it jumps.
    address : str
        Of the first element of the stretch, in the row at hand.
    value : Value, optional
        What is the same along the stretch.
    """

    access: Access
    step: int | None
    address: str
    value: Value | None


class LoopWriter:
    """Writes one loop.

    Parameters
    ----------
    code : Code
        Where to.
    memory : Memory
        Where arrays are.
    loop : Loop
        What it does.
    stored : set of Node
        What others read from memory.
    """

    def __init__(self, code: Code, memory: Memory, loop: Loop, stored: set[Node]) -> None:
        self.code, self.memory, self.loop = code, memory, loop
        self.rows, self.length = loop.space
        self.stored = [node for node in loop.maps if node in stored]
        self.own = set(loop.maps)
        self.sources = self._accesses()
        self.sums = [
            (code.variable(f"<{WIDTH} x double>"), code.variable("double")) for _ in loop.folds
        ]

    def write(self) -> None:
        """Write it, row by row."""
        if self.rows == 1:
            self._write_row(0)
        else:
            with self.code.counted(0, self.rows) as row:
                self._write_row(row)

    def _accesses(self) -> dict[tuple[Node, bytes], Access]:
        nodes = (*self.loop.maps, *self.loop.folds)
        found = [long_access(part) for node in nodes for part in node.parts]
        found += [piece.source for piece in self.loop.pieces]
        return {
            (one.base, one.index.tobytes()): one for one in found if not self._is_register(one)
        }

    def _is_register(self, access: Access) -> bool:
        return access.base in self.own and access.is_whole

    def _write_row(self, row: Place) -> None:
        for node, (whole, rest) in zip(self.loop.folds, self.sums, strict=True):
            start = _FOLDS[node.name][1]
            self.code.store(literal(start, WIDTH), whole)
            self.code.store(literal(start), rest)
        borders = self._borders()
        for first, end in zip(borders[:-1], borders[1:], strict=True):
            self._write_stretch(row, first, end)
        for node, (whole, rest) in zip(self.loop.folds, self.sums, strict=True):
            pointer, start = self.memory.home(node)
            found = self._together(_FOLDS[node.name][0], whole, rest)
            place = self._row_place(np.arange(self.rows) + start, row)
            self.code.store(found, self.code.at(pointer, place))

    def _borders(self) -> list[int]:
        """Split a row where one of the arrays jumps, such as at the turn of a stride."""
        borders = {0, self.length}
        for access in self.sources.values():
            steps = np.diff(access.index, axis=1)
            jumps = ~((steps == 0).all(axis=0) | (steps == 1).all(axis=0))
            change = (np.diff(steps, axis=1) != 0).any(axis=0)
            if jumps.sum() <= 1 and change.sum() <= 2:
                borders.update((np.flatnonzero(jumps) + 1).tolist())
        return sorted(borders)

    def _write_stretch(self, row: Place, first: int, end: int) -> None:
        sources = {
            key: self._source(access, row, first, end) for key, access in self.sources.items()
        }
        whole = (end - first) // WIDTH
        if whole == 1:
            self._write_body(sources, row, first, first, WIDTH)
        elif whole:
            with self.code.counted(first, first + whole * WIDTH, WIDTH) as place:
                self._write_body(sources, row, first, place, WIDTH)
        if (end - first) % WIDTH:
            at = first + whole * WIDTH
            self._write_body(sources, row, first, at, end - at)

    def _source(self, access: Access, row: Place, first: int, end: int) -> _Source:
        index = access.index[:, first:end]
        base = access.base
        values = np.unique(base.value.reshape(-1)[access.index]) if base.op == "const" else ()
        if len(values) == 1:
            return _Source(access, 0, "", literal(float(values[0])))
        pointer, start = self.memory.home(base)
        steps = np.unique(np.diff(index, axis=1)) if end - first > 1 else np.array([1])
        step = int(steps[0]) if len(steps) == 1 and steps[0] in (0, 1) else None
        place = self._row_place(index[:, 0] + start, row)
        address = self.code.at(pointer, place)
        value = self.code.load(address) if step == 0 else None
        return _Source(access, step, address, value)

    def _row_place(self, places: Codes, row: Place) -> Place:
        """Return a place that goes with the row."""
        if isinstance(row, int):
            return int(places[row])
        steps = np.unique(np.diff(places))
        if len(steps) == 1:
            far = self.code.put(f"mul nsw i64 {row}, {steps[0]}")
            return self.code.put(f"add nsw i64 {far}, {places[0]}")
        address = self.code.table(places, row)
        return self.code.put(f"load i64, ptr {address}, align 8")

    def _write_body(
        self,
        sources: Mapping[tuple[Node, bytes], _Source],
        row: Place,
        first: int,
        place: Place,
        width: int,
    ) -> None:
        """Write all functions for some places of a row."""
        known: dict[Node, Value] = {}
        read: dict[tuple[Node, bytes], Value] = {}

        def value(access: Access, is_flag: bool) -> Value:
            if self._is_register(access):
                return known[access.base]
            key = (access.base, access.index.tobytes())
            if key not in read:
                read[key] = self._read(sources[key], row, first, place, width)
                if is_flag:
                    read[key] = self.code.apply("not_equal", [read[key], literal(0.0, width)])
            return read[key]

        def operand(part: Node) -> Value:
            return value(long_access(part), part.is_flag)

        for node in self.loop.maps:
            known[node] = self.code.apply(node.name, [operand(part) for part in node.parts])
        for node in self.stored:
            pointer, start = self.memory.home(node)
            begin = self._row_place(np.arange(self.rows) * self.length + start, row)
            self.code.store(known[node], self._moved(self.code.at(pointer, begin), 0, place))
        for piece in self.loop.pieces:
            pointer, start = self.memory.home(piece.stack)
            begin = self._row_place(piece.rows * self.length + start, row)
            found = value(piece.source, piece.source.base.is_flag)
            self.code.store(found, self._moved(self.code.at(pointer, begin), 0, place))
        for node, (whole, rest) in zip(self.loop.folds, self.sums, strict=True):
            self._fold(_FOLDS[node.name][0], operand(node.parts[0]), whole, rest)

    def _moved(self, address: str, first: int, place: Place) -> str:
        """Return the address of a place in a row, from that of the first of a stretch."""
        if isinstance(place, int):
            return self.code.at(address, place - first)
        off = place if first == 0 else self.code.put(f"sub nsw i64 {place}, {first}")
        return self.code.at(address, off)

    def _read(self, source: _Source, row: Place, first: int, place: Place, width: int) -> Value:
        if source.value is not None:
            return self.code.spread(source.value, width)
        if source.step == 1:
            return self.code.load(self._moved(source.address, first, place), width)
        pointer, start = self.memory.home(source.access.base)
        table = source.access.index + start
        lanes = []
        for lane in range(width):
            at = self.code.put(f"mul nsw i64 {row}, {self.length}")
            at = self.code.put(f"add nsw i64 {at}, {place}")
            at = self.code.put(f"add nsw i64 {at}, {lane}")
            address = self.code.table(table.reshape(-1), at)
            known = self.code.put(f"load i64, ptr {address}, align 8")
            lanes.append(self.code.load(self.code.at(pointer, known)))
        return self.code.gathered(lanes)

    def _fold(self, name: str, value: Value, whole: str, rest: str) -> None:
        number = self.code.apply("number", [value]) if value.is_flag else value
        if value.width == WIDTH:
            before = self.code.load(whole, WIDTH)
            self.code.store(self.code.apply(name, [before, number]), whole)
            return
        found = self.code.load(rest)
        for lane in range(value.width):
            found = self.code.apply(name, [found, self.code.lane(number, lane)])
        self.code.store(found, rest)

    def _together(self, name: str, whole: str, rest: str) -> Value:
        """Take the lanes of a fold together, always in the same order."""
        vector = self.code.load(whole, WIDTH)
        lanes: Sequence[Value] = [self.code.lane(vector, place) for place in range(WIDTH)]
        while len(lanes) > 1:
            pairs = zip(lanes[::2], lanes[1::2], strict=True)
            lanes = [self.code.apply(name, list(pair)) for pair in pairs]
        return self.code.apply(name, [lanes[0], self.code.load(rest)])
