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
from tradeopt.kernel.memory import LINE, at_line

_ROWS: Final = 8
_VECTORS: Final = 3
"""Rows, and vectors of columns, at once: as many sums as registers hold beside what is read."""

_PANEL: Final = _VECTORS * LINE
"""Columns at once."""

_WIDE: Final = "avx512f"
"""What a processor must have for registers that are so many and so wide."""


class Product:
    """Multiplies rows with a matrix.

    Parameters
    ----------
    matrix : Array
        What they are multiplied with.

    Attributes
    ----------
    terms, size : int
        Numbers of a row, and from one row of the product to the next: the columns, filled up to
        whole lines of the cache.
    """

    def __init__(self, matrix: Array) -> None:
        self.terms, columns = matrix.shape
        self.size = max(-(-columns // LINE) * LINE, _PANEL)
        self.matrix = np.zeros((self.terms, self.size))
        self.matrix[:, :columns] = matrix
        self._own = threading.local()

    @property
    def can_be_written(self) -> bool:
        """Whether this processor has the registers that `ProductWriter` counts on."""
        return bool(llvm.get_host_cpu_features().get(_WIDE))

    @property
    def panels(self) -> Array:
        """The matrix in a row, panel by panel; the last one takes some columns once more."""
        starts = np.minimum(np.arange(0, self.size, _PANEL), self.size - _PANEL)
        return np.concatenate(
            [self.matrix[:, start : start + _PANEL].reshape(-1) for start in starts]
        )

    def __call__(self, values: Values) -> Values:
        """Return the product, which holds until the next call of a thread."""
        rows = values["rows"]
        room: Array | None = getattr(self._own, "room", None)
        if room is None or len(room) < len(rows):
            room = self._own.room = at_line(np.zeros(len(rows) * self.size))
            room = self._own.room = room.reshape(len(rows), self.size)
        return {"product": np.matmul(rows, self.matrix, out=room[: len(rows)])}


class ProductWriter:
    """Writes the product of rows, some at a time, panel by panel.

    Parameters
    ----------
    code : Code
        Where to.
    product : Product
        What is multiplied with what.
    given : tuple of str and int
        Pointer to the first row, and numbers from row to row.
    found : str
        Pointer to the product.
    numbers : str
        Pointer to the panels.
    """

    def __init__(
        self, code: Code, product: Product, given: tuple[str, int], found: str, numbers: str
    ) -> None:
        self.code, self.product = code, product
        self.given, self.far = given
        self.found, self.numbers = found, numbers

    def write(self, count: str) -> None:
        """Write it for so many rows."""
        code = self.code
        blocks = code.put(f"udiv i64 {count}, {_ROWS}")
        first = code.put(f"mul nsw i64 {blocks}, {_ROWS}")
        self._write_blocks("0", blocks, _ROWS)
        self._write_blocks(first, code.put(f"sub nsw i64 {count}, {first}"), 1)

    def _write_blocks(self, first: str, blocks: str, rows: int) -> None:
        """Write blocks of rows from a first row on, where there are any."""
        code, size = self.code, self.product.size
        kind = literal(0.0, LINE).kind
        sums = [[code.variable(kind) for _ in range(_VECTORS)] for _ in range(rows)]
        with code.only_if(code.put(f"icmp sgt i64 {blocks}, 0")):
            given = self._far(self.given, first, self.far)
            found = self._far(self.found, first, size)
            with code.counted(0, -(-size // _PANEL)) as panel:
                numbers = self._far(self.numbers, panel, self.product.terms * _PANEL)
                code.declared.add("declare i64 @llvm.smin.i64(i64, i64)")
                column = code.put(f"mul nsw i64 {panel}, {_PANEL}")
                column = code.put(f"call i64 @llvm.smin.i64(i64 {column}, i64 {size - _PANEL})")
                columns = code.at(found, column)
                with code.counted(0, blocks) as block:
                    self._add_up(self._far(given, block, rows * self.far), numbers, sums)
                    self._write_sums(self._far(columns, block, rows * size), sums)

    def _far(self, pointer: str, count: str, size: int) -> str:
        return self.code.at(pointer, self.code.put(f"mul nsw i64 {count}, {size}"))

    def _add_up(self, given: str, numbers: str, sums: Sequence[Sequence[str]]) -> None:
        code = self.code
        for one in (one for row in sums for one in row):
            code.store(literal(0.0, LINE), one)
        with code.counted(0, self.product.terms) as term:
            line = self._far(numbers, term, _PANEL)
            vectors = [code.load(code.at(line, LINE * one), LINE) for one in range(_VECTORS)]
            for row, own in enumerate(sums):
                place = code.at(code.at(given, row * self.far), term)
                self._add(code.spread(code.load(place), LINE), vectors, own)

    def _add(self, number: Value, vectors: Sequence[Value], sums: Sequence[str]) -> None:
        for vector, one in zip(vectors, sums, strict=True):
            before = self.code.load(one, LINE)
            added = self.code.called(f"llvm.fma.v{LINE}f64", [number, vector, before])
            self.code.store(added, one)

    def _write_sums(self, found: str, sums: Sequence[Sequence[str]]) -> None:
        for row, own in enumerate(sums):
            for vector, one in enumerate(own):
                place = self.code.at(found, row * self.product.size + vector * LINE)
                self.code.store(self.code.load(one, LINE), place)
