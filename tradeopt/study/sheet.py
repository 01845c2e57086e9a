"""The text of a CSV table as rows of cells that know their place.

Rules of RFC 4180 (commas, double quotes), a row a line, and remarks above the header: lines that
start with ``#``.
"""

import csv
import re
from dataclasses import dataclass
from itertools import islice

from tradeopt.errors import Problem, StudyError
from tradeopt.study.place import shown

MOST_ROWS = 200_000
"""Rows a table may have."""

MOST_COLUMNS = 1000
"""Columns a table may have."""

# A cell with what separates it from the one before; group 1 is what stands in the cell.
_CELL = re.compile(r'(?:^|,)\s*("(?:[^"]|"")*"|[^,]*)')
_UNREADABLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")


@dataclass(frozen=True)
class Sheet:
    """The lines of a table, and the places of their cells.

    Attributes
    ----------
    file : str
        Name of the file.
    lines : tuple of str
        The file, line by line.
    """

    file: str
    lines: tuple[str, ...]

    def problem(
        self, where: str, place: tuple[int, int], got: str, want: str, near: str | None = None
    ) -> Problem:
        """
        Say what is wrong with a cell, with its place.

        Parameters
        ----------
        where : str
            Name of the column, or ``table``.
        place : tuple of int
            Line, from 1, and cell in that line, from 0.
        got, want : str
            What came and what was wanted.
        near : str, optional
            The known name closest to a mistyped one.

        Returns
        -------
        Problem
            With file, line, column and the line itself.

        Examples
        --------
        >>> sheet = Sheet("parts.csv", ("part,mass [kg]", "A,-3"))
        >>> print(sheet.problem("mass", (2, 1), "'-3'", "a mass above 0 kg"))
        parts.csv:2:3: mass: got '-3', want a mass above 0 kg
            A,-3
              ^
        """
        line, cell = place
        text = _UNREADABLE.sub("\N{REPLACEMENT CHARACTER}", self.lines[line - 1])
        starts = [match.start(1) for match in islice(_CELL.finditer(text), cell + 1)]
        column = starts[-1] + 1 if starts else 1
        return Problem(shown(where), got, want, near, self.file, line, column, text)


@dataclass(frozen=True)
class Row:
    """The cells of one line.

    Attributes
    ----------
    line : int
        Line in the file, from 1.
    cells : tuple of str
        Without quotes, and without spaces at their ends.
    """

    line: int
    cells: tuple[str, ...]


def split(sheet: Sheet) -> list[Row]:
    """
    Cut a table into cells.

    Parameters
    ----------
    sheet : Sheet
        The text.

    Returns
    -------
    list of Row
        The header, then one row or more; blank lines left out.

    Raises
    ------
    StudyError
        When this is no table with commas, or has no rows, or too many.

    Examples
    --------
    >>> split(Sheet("a.csv", ("# invented", "part,note", 'A,"cold, dry"')))[1].cells
    ('A', 'cold, dry')
    """
    start = _header_index(sheet)
    rows = _rows(sheet, start)
    columns = len(rows[0].cells)
    if columns > MOST_COLUMNS:
        raise _refusal(sheet, start + 1, f"{columns} columns", f"at most {MOST_COLUMNS}")
    if len(rows) == 1:
        raise _refusal(sheet, start + 1, "a header without rows", "one row or more")
    if len(rows) > MOST_ROWS + 1:
        raise _refusal(sheet, start + 1, f"{len(rows) - 1} rows", f"at most {MOST_ROWS}")
    return rows


def _header_index(sheet: Sheet) -> int:
    """Find the header, and refuse what is no text with commas."""
    for index, line in enumerate(sheet.lines):
        found = _UNREADABLE.search(line)
        if found:
            raise _refusal(sheet, index + 1, f"the character U+{ord(found[0]):04X}", "plain text")
    start = 0
    for line in sheet.lines:
        if line.strip() and not line.startswith("#"):
            break
        start += 1
    else:
        raise _refusal(sheet, 1, "no header", "a first line of 'name [unit]' cells")
    for sign, name in ((";", "semicolons"), ("\t", "tabs")):
        if sign in sheet.lines[start] and "," not in sheet.lines[start]:
            raise _refusal(sheet, start + 1, f"cells separated by {name}", "commas between cells")
    return start


def _rows(sheet: Sheet, start: int) -> list[Row]:
    rows = []
    last = start
    reader = csv.reader(sheet.lines[start:], strict=True, skipinitialspace=True)
    try:
        for cells in reader:
            line = start + reader.line_num
            if line > last + 1:
                raise _refusal(
                    sheet, last + 1, "a cell over several lines", "each row on one line"
                )
            last = line
            if len(cells) > 1 or "".join(cells).strip():
                rows.append(Row(line, tuple(cell.strip() for cell in cells)))
    except csv.Error as error:
        raise _refusal(
            sheet, last + 1, f"a row that is no CSV ({error})", "quotes in pairs"
        ) from error
    return rows


def _refusal(sheet: Sheet, line: int, got: str, want: str) -> StudyError:
    return StudyError((sheet.problem("table", (line, 0), got, want),))
