"""Rows of cells to columns in SI, with every problem on the way."""

import math
import re
from collections.abc import Mapping

import numpy as np

from tradeopt.arrays import Array
from tradeopt.errors import Problem, UnitError, near
from tradeopt.study.place import MOST_PROBLEMS, shown
from tradeopt.study.sheet import Row, Sheet
from tradeopt.units import convert

TEXT = "text"
"""Declared in place of a unit for a column of words."""

_HEADER = re.compile(r"([^\[\]]*[^\[\]\s])\s*(?:\[([^\[\]]+)\])?")
_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?")


class ColumnReader:
    """Turns cells into columns and gathers every problem.

    Parameters
    ----------
    sheet : Sheet
        The text.
    wanted : Mapping
        Wanted columns: name to SI unit, or to `TEXT`.
    optional : frozenset of str
        Columns that may be missing or have blank cells.

    Attributes
    ----------
    cells : dict
        Position of each column, from 0.
    units : dict
        Unit of each column of numbers, as written.
    rows : list of Row
        Rows with the right number of cells.
    problems : list of Problem
        In the order they were found.
    """

    def __init__(self, sheet: Sheet, wanted: Mapping[str, str], optional: frozenset[str]) -> None:
        self.sheet = sheet
        self.wanted = wanted
        self.optional = optional
        self.cells: dict[str, int] = {}
        self.units: dict[str, str] = {}
        self.rows: list[Row] = []
        self.problems: list[Problem] = []
        self._header = Row(1, ())
        self._mistyped: set[str] = set()

    def told(self) -> tuple[Problem, ...]:
        """Give the problems in the order of their places, no more than anybody reads."""
        ordered = sorted(
            self.problems, key=lambda problem: (problem.line or 0, problem.column or 0)
        )
        return tuple(ordered[:MOST_PROBLEMS])

    def take_header(self, header: Row) -> None:
        """Learn which column is where, and in which unit."""
        self._header = header
        for position, cell in enumerate(header.cells):
            self._take_name(cell, position)
        for name in self.wanted:
            if name not in self.optional | self._mistyped and name not in self.cells:
                want = f"a column '{self._heading(name)}'"
                self._report("table", (header.line, 0), "no such column", want)

    def _heading(self, name: str) -> str:
        """Write the header a column should have."""
        return name if self.wanted[name] == TEXT else f"{name} [{self.wanted[name]}]"

    def _take_name(self, cell: str, position: int) -> None:
        place = (self._header.line, position)
        match = _HEADER.fullmatch(cell)
        name, unit = (match[1], match[2]) if match else (cell, None)
        got = f"{shown(cell)!r}"
        if name in self.cells:
            self._report(name, place, f"{got} a second time", "each column once")
        elif name not in self.wanted:
            self._report_unknown(name, place)
        elif self.wanted[name] == TEXT and unit is not None:
            self._report(name, place, got, f"'{name}' without a unit, a column of words")
        elif self.wanted[name] != TEXT and unit is None:
            self._report(name, place, f"{got} without a unit", f"'{self._heading(name)}'")
        elif unit is not None:
            self.units[name] = unit.strip()
        if name in self.wanted:
            self.cells.setdefault(name, position)

    def _report_unknown(self, name: str, place: tuple[int, int]) -> None:
        want = "one of " + ", ".join(self.wanted)
        if not name:
            self._report("table", place, "a column without a name", want)
            return
        nearest = near(name, [other for other in self.wanted if other not in self.cells])
        if nearest is not None:
            self._mistyped.add(nearest)
        self._report(name, place, f"an unknown column {shown(name)!r}", want, nearest)

    def take_rows(self, body: list[Row]) -> None:
        """Keep the rows that fit the header."""
        count = len(self._header.cells)
        for row in body:
            if len(row.cells) == count:
                self.rows.append(row)
            else:
                place = (row.line, min(len(row.cells), count))
                self._report(
                    "table", place, f"{len(row.cells)} cells", f"{count}, as in the header"
                )

    def numbers(self, name: str) -> Array:
        """Read a column of numbers and convert it; NaN where a cell is blank or wrong."""
        position = self.cells[name]
        column = np.array(
            [self._number(name, row, position) for row in self.rows], dtype=np.float64
        )
        try:
            return convert(column, self.units[name], self.wanted[name])
        except UnitError as error:
            got = f"{self._header.cells[position]!r}, the unit {error.got}"
            self._report(name, (self._header.line, position), got, error.want, error.near)
            return column

    def _number(self, name: str, row: Row, position: int) -> float:
        cell = row.cells[position]
        if _NUMBER.fullmatch(cell):
            value = float(cell)
            if math.isfinite(value):
                return value
        if cell or name not in self.optional:
            got = f"{shown(cell)!r}" if cell else "a blank cell"
            self._report(name, (row.line, position), got, "a finite number without a unit")
        return math.nan

    def words(self, name: str) -> tuple[str, ...]:
        """Read a column of words."""
        position = self.cells[name]
        column = tuple(row.cells[position] for row in self.rows)
        if name not in self.optional:
            for row in self.rows:
                if not row.cells[position]:
                    self._report(name, (row.line, position), "a blank cell", "a word")
        return column

    def labels(self, key: str | None) -> tuple[str, ...]:
        """Name the rows by their key, which no two may share, or by their number."""
        if key is None or key not in self.cells:
            return tuple(str(number + 1) for number in range(len(self.rows)))
        position = self.cells[key]
        first: dict[str, int] = {}
        for row in self.rows:
            label = row.cells[position]
            if label in first:
                got = f"{shown(label)!r} a second time (first on line {first[label]})"
                self._report(key, (row.line, position), got, "each once")
            first.setdefault(label, row.line)
        return tuple(first)

    def _report(
        self, name: str, place: tuple[int, int], got: str, want: str, nearest: str | None = None
    ) -> None:
        if len(self.problems) < MOST_PROBLEMS:
            self.problems.append(self.sheet.problem(name, place, got, want, nearest))
