"""Products of rows with a matrix that is the same for every design.

A general library lays the matrix out anew for each call and sets the product to 0 beforehand; for
short rows that takes a third of the time.
"""

import threading
from collections.abc import Sequence
from typing import Final

import llvmlite.binding as llvm
import numpy as np

from tradeopt.arrays import Array
from tradeopt.chain.stage import Values
from tradeopt.kernel.code import Code, Value, literal
from tradeopt.kernel.machine import Machine
from tradeopt.kernel.memory import LINE, at_line

_ROWS: Final = 8
_VECTORS: Final = 3
"""Rows, and vectors of columns, at once: as many sums as registers hold beside what is read."""

_PANEL: Final = _VECTORS * LINE
"""Columns at once."""

_WIDE: Final = "avx512f"
"""What a processor must have for registers that are so many and so wide."""


class Product:
    """Multiplies rows with a matrix, always in the same room of a thread.

    Parameters
    ----------
    matrix : Array
        What they are multiplied with.

    Attributes
    ----------
    size : int
        Numbers from one row of the product to the next: the columns, filled up to whole lines of
        the cache.
    """

    def __init__(self, matrix: Array) -> None:
        terms, columns = matrix.shape
        self.size = max(-(-columns // LINE) * LINE, _PANEL)
        self.matrix = np.zeros((terms, self.size))
        self.matrix[:, :columns] = matrix
        self._own = threading.local()
        self._machines: list[tuple[int, Machine]] = []
        if llvm.get_host_cpu_features().get(_WIDE):
            # the last panel takes some columns once more
            starts = np.minimum(np.arange(0, self.size, _PANEL), self.size - _PANEL)
            panels = [self.matrix[:, start : start + _PANEL].reshape(-1) for start in starts]
            self._panels = at_line(np.concatenate(panels))
            texts = {rows: _Writer(rows, terms, self.size).text() for rows in (_ROWS, 1)}
            self._machines = [(rows, Machine(text, None)) for rows, text in texts.items()]

    def __call__(self, values: Values) -> Values:
        """Return the product, which holds until the next call."""
        rows = np.ascontiguousarray(values["rows"])
        found = self._room(len(rows))
        if not self._machines:
            return {"product": np.matmul(rows, self.matrix, out=found)}
        first = 0
        for at_once, machine in self._machines:
            count = (len(rows) - first) // at_once
            machine(count, [rows[first:], found[first:]], self._panels)
            first += count * at_once
        return {"product": found}

    def _room(self, count: int) -> Array:
        room: Array | None = getattr(self._own, "room", None)
        if room is None or len(room) < count:
            room = self._own.room = at_line(np.zeros(count * self.size)).reshape(count, -1)
        return room[:count]


class _Writer:
    """Writes the product of some rows at a time, panel by panel.

    Parameters
    ----------
    rows, terms, size : int
        Rows at a time, numbers of a row, and numbers of a row of the product.
    """

    def __init__(self, rows: int, terms: int, size: int) -> None:
        self.code = Code({})
        self.rows, self.terms, self.size = rows, terms, size
        kind = literal(0.0, LINE).kind
        self.sums = [[self.code.variable(kind) for _ in range(_VECTORS)] for _ in range(rows)]

    def text(self) -> str:
        """Return the whole module."""
        code = self.code
        given, found = (
            code.put(f"load ptr, ptr {code.at('%arrays', place)}, align 8") for place in (0, 1)
        )
        with code.counted(0, -(-self.size // _PANEL)) as panel:
            numbers = self._far("%scratch", panel, self.terms * _PANEL)
            code.declared.add("declare i64 @llvm.smin.i64(i64, i64)")
            column = code.put(f"mul nsw i64 {panel}, {_PANEL}")
            column = code.put(f"call i64 @llvm.smin.i64(i64 {column}, i64 {self.size - _PANEL})")
            columns = code.at(found, column)
            with code.counted(0, "%count") as block:
                self._add_up(self._far(given, block, self.rows * self.terms), numbers)
                self._write(self._far(columns, block, self.rows * self.size))
        return code.module()

    def _far(self, pointer: str, count: str, size: int) -> str:
        return self.code.at(pointer, self.code.put(f"mul nsw i64 {count}, {size}"))

    def _add_up(self, given: str, numbers: str) -> None:
        code = self.code
        for sums in self.sums:
            for one in sums:
                code.store(literal(0.0, LINE), one)
        with code.counted(0, self.terms) as term:
            line = self._far(numbers, term, _PANEL)
            vectors = [code.load(code.at(line, LINE * one), LINE) for one in range(_VECTORS)]
            for row, sums in enumerate(self.sums):
                place = code.at(code.at(given, row * self.terms), term)
                self._add(code.spread(code.load(place), LINE), vectors, sums)

    def _add(self, number: Value, vectors: Sequence[Value], sums: Sequence[str]) -> None:
        for vector, one in zip(vectors, sums, strict=True):
            before = self.code.load(one, LINE)
            added = self.code.called(f"llvm.fma.v{LINE}f64", [number, vector, before])
            self.code.store(added, one)

    def _write(self, found: str) -> None:
        for row, sums in enumerate(self.sums):
            for vector, one in enumerate(sums):
                place = self.code.at(found, row * self.size + vector * LINE)
                self.code.store(self.code.load(one, LINE), place)
