"""Loops over long arrays: all functions of a pass on some numbers at once, row by row."""

from dataclasses import dataclass, field
from itertools import pairwise
from typing import Final

import numpy as np

from tradeopt.arrays import Codes
from tradeopt.kernel.apply import apply, greatest
from tradeopt.kernel.code import Code, Value, literal
from tradeopt.kernel.facts import is_never_negative
from tradeopt.kernel.memory import Memory
from tradeopt.kernel.node import Node
from tradeopt.kernel.plan import Access, Key, Loop, long_access
from tradeopt.kernel.sources import Place, Source, Sources, Spot, row_place

WIDTH: Final = 8
"""Numbers that a loop takes at once."""

_FOLDS: Final = {
    "add": ("add", 0.0),
    "multiply": ("multiply", 1.0),
    "minimum": ("minimum", np.inf),
    "maximum": ("maximum", -np.inf),
    "logical_and": ("minimum", 1.0),
    "logical_or": ("maximum", 0.0),
}
"""How numbers, and flags kept as 0 and 1, are taken together, and from what on."""


@dataclass
class _Hand:
    """What a loop has in hand at a spot.

    Attributes
    ----------
    reader : Sources
        Reads the rest.
    sources : dict of Key to Source
        What there is along the stretch.
    spot : Spot
        Where the loop is.
    known : dict of Node to Value
        What it has worked out.
    read : dict of Key to Value
        What it has read.
    inverses : dict of Key to Value
        One over what several things are divided by.
    """

    reader: Sources
    sources: dict[Key, Source]
    spot: Spot
    known: dict[Node, Value] = field(default_factory=dict)
    read: dict[Key, Value] = field(default_factory=dict)
    inverses: dict[Key, Value] = field(default_factory=dict)

    def value(self, access: Access) -> Value:
        """Return some numbers, read once at most."""
        if self.reader.is_register(access):
            return self.known[access.base]
        if access.key not in self.read:
            self.read[access.key] = self.reader.read(self.sources[access.key], self.spot)
        return self.read[access.key]

    def inverse(self, access: Access) -> Value | None:
        """Return one over a divisor that is the same along the row, or divides several."""
        key, code = access.key, self.reader.code
        source = self.sources.get(key)
        if source is not None and source.inverse is not None:
            return code.spread(source.inverse, self.spot.width)
        if self.reader.divisors[key] > 1 and key not in self.inverses:
            one = literal(1.0, self.spot.width)
            self.inverses[key] = apply(code, "divide", [one, self.value(access)])
        return self.inverses.get(key)


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
    """

    def __init__(self, code: Code, memory: Memory, loop: Loop) -> None:
        self.code, self.memory, self.loop = code, memory, loop
        self.rows, self.length = loop.space
        self.every: Codes = np.arange(self.rows, dtype=np.int64)
        self.sources = Sources(code, memory, loop)
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

    def _write_row(self, row: Place) -> None:
        for node, (whole, rest) in zip(self.loop.folds, self.sums, strict=True):
            start = _FOLDS[node.name][1]
            self.code.store(literal(start, WIDTH), whole)
            self.code.store(literal(start), rest)
        for first, end in pairwise(self.sources.borders()):
            self._write_stretch(row, first, end)
        for node, (whole, rest) in zip(self.loop.folds, self.sums, strict=True):
            pointer, start = self.memory.home(node)
            found = self._together(_FOLDS[node.name][0], whole, rest)
            place = row_place(self.code, self.every + start, row)
            self.code.store(found, self.code.at(pointer, place))

    def _write_stretch(self, row: Place, first: int, end: int) -> None:
        sources = self.sources.along(row, first, end)
        whole = (end - first) // WIDTH
        if whole == 1:
            self._write_body(sources, Spot(row, first, first, WIDTH))
        elif whole:
            with self.code.counted(first, first + whole * WIDTH, WIDTH) as place:
                self._write_body(sources, Spot(row, first, place, WIDTH))
        at = first + whole * WIDTH
        if at < end:
            self._write_body(sources, Spot(row, first, at, end - at))

    def _write_body(self, sources: dict[Key, Source], spot: Spot) -> None:
        """Write all functions for some places of a row."""
        hand = _Hand(self.sources, sources, spot)
        for node in self.loop.maps:
            hand.known[node] = self._applied(node, hand)
        for node in self.loop.kept:
            self._store(node, self.every, hand.known[node], spot)
        for piece in self.loop.pieces:
            self._store(piece.stack, piece.rows, hand.value(piece.source), spot)
        for node, sums in zip(self.loop.folds, self.sums, strict=True):
            self._fold(node, hand.value(long_access(node.parts[0])), sums)

    def _applied(self, node: Node, hand: "_Hand") -> Value:
        parts = [long_access(part) for part in node.parts]
        inverse = hand.inverse(parts[-1]) if node.name == "divide" else None
        if inverse is None:
            return apply(self.code, node.name, [hand.value(part) for part in parts])
        return apply(self.code, "multiply", [hand.value(parts[0]), inverse])

    def _store(self, node: Node, rows: Codes, value: Value, spot: Spot) -> None:
        pointer, start = self.memory.home(node)
        begin = row_place(self.code, rows * self.length + start, spot.row)
        self.code.store(value, self.code.at(self.code.at(pointer, begin), spot.place))

    def _fold(self, node: Node, value: Value, sums: tuple[str, str]) -> None:
        whole, rest = sums
        name = _FOLDS[node.name][0]
        number = self.code.number(value)
        if value.width == WIDTH:
            before = self.code.load(whole, WIDTH)
            if name == "maximum" and is_never_negative(node.parts[0]):
                found = greatest(self.code, before, number)
            else:
                found = apply(self.code, name, [before, number])
            self.code.store(found, whole)
            return
        found = self.code.load(rest)
        for lane in range(value.width):
            found = apply(self.code, name, [found, self.code.lane(number, lane)])
        self.code.store(found, rest)

    def _together(self, name: str, whole: str, rest: str) -> Value:
        """Take the lanes of a fold together, always in the same order."""
        vector = self.code.load(whole, WIDTH)
        lanes = [self.code.lane(vector, place) for place in range(WIDTH)]
        while len(lanes) > 1:
            pairs = zip(lanes[::2], lanes[1::2], strict=True)
            lanes = [apply(self.code, name, pair) for pair in pairs]
        return apply(self.code, name, [lanes[0], self.code.load(rest)])
