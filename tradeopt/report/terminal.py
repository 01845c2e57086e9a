"""Reports for a terminal: tables that never wrap, and the same words without colour."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from io import StringIO
from textwrap import fill, wrap

from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.table import Table
from rich.text import Text

from tradeopt import units
from tradeopt.report.amount import DIGITS, Amount, Cell
from tradeopt.report.section import Section, Sheet

_GAP = 2
_HEAD = 8
_SMALLEST, _LARGEST = 1e-3, 1e7
_VERDICTS = ("meets", "active", "misses")


@dataclass(frozen=True)
class Look:
    """How a report is set.

    Attributes
    ----------
    width : int
        Columns of the terminal.
    colour : bool
        Whether verdicts are coloured as well as said.
    """

    width: int = 100
    colour: bool = False

    def print(self, *parts: Table | Text) -> str:
        """Return the parts, one under the other."""
        console = Console(
            file=StringIO(),
            width=self.width,
            force_terminal=self.colour,
            no_color=not self.colour,
            color_system="standard" if self.colour else None,
            legacy_windows=False,
            highlight=False,
        )
        with console.capture() as capture:
            for part in parts:
                console.print(part)
        return "\n".join(line.rstrip() for line in capture.get().splitlines())


def sheet_text(sheet: Sheet, title: str, look: Look) -> str:
    """
    Set a design sheet.

    Parameters
    ----------
    sheet : Sheet
        The design.
    title : str
        What to call it.
    look : Look
        Width and colour.

    Returns
    -------
    str
        Its lines, none longer than the width.
    """
    head = [Text(title, style="bold"), verdict_text(sheet.verdict)]
    tables = [part for section in sheet.sections for part in _section_parts(section, look.width)]
    notes = [
        Text(fill(note, look.width, initial_indent="- ", subsequent_indent="  "))
        for note in sheet.notes
    ]
    return look.print(*head, *tables, Text("\nNotes", style="bold"), *notes)


def section_text(section: Section, look: Look) -> str:
    """Set one section; no line is longer than the width."""
    return look.print(*_section_parts(section, look.width))


def verdict_text(words: str) -> Text:
    """Colour a verdict by what it says; without colour it reads the same."""
    return Text(words, style="red" if words.startswith("misses") else "green")


def _section_parts(section: Section, width: int) -> Iterable[Table | Text]:
    yield Text(f"\n{section.title}", style="bold")
    if section.remark:
        yield Text(section.remark, style="dim")
    for part in _fitting(columns(section), section.labels, width):
        yield _table(part)


@dataclass(frozen=True)
class Column:
    """One column, set."""

    head: str
    cells: tuple[str, ...]
    numeric: bool

    @property
    def width(self) -> int:
        """Return how many letters its longest line has."""
        return max(len(line) for line in (*self.head.split("\n"), *self.cells))


def columns(section: Section) -> list[Column]:
    """Set the columns; one that has a single unit has it in its head, all others in each cell."""
    cells = {head: section.column(head) for head in section.heads if head not in section.aside}
    alike = {head: _of_one_unit(column) for head, column in cells.items()}
    found = []
    for head, column in cells.items():
        folded = "\n".join(wrap(head.replace("_", " "), _HEAD, break_long_words=False))
        amounts = alike[head]
        if amounts:
            unit = amounts[0].shown_in
            same = [one for others in alike.values() for one in others if one.shown_in == unit]
            title = folded + (f"\n[{unit}]" if unit else "")
            found.append(Column(title, aligned(amounts, same), numeric=True))
        else:
            numeric = any(isinstance(cell, Amount) for cell in column)
            found.append(Column(folded, tuple(str(cell) for cell in column), numeric))
    return found


def _of_one_unit(cells: Sequence[Cell]) -> list[Amount]:
    """Return the amounts of a column that holds nothing else, all in one unit."""
    amounts = [cell for cell in cells if isinstance(cell, Amount)]
    units_shown = {(one.unit, one.shown_in) for one in amounts}
    return amounts if len(amounts) == len(cells) and len(units_shown) == 1 else []


def aligned(amounts: Sequence[Amount], others: Sequence[Amount]) -> tuple[str, ...]:
    """
    Write a column of one unit with its decimal points under each other.

    Parameters
    ----------
    amounts : sequence of Amount
        All in one unit.
    others : sequence of Amount
        All amounts of the table in that unit, which decide on the decimals.

    Returns
    -------
    tuple of str
        Numbers without the unit; the largest of `others` has four significant digits.

    Examples
    --------
    >>> from tradeopt.report.amount import amount
    >>> column = [amount(80.34336, "kg"), amount(0.4, "kg"), amount(-1e-16, "kg")]
    >>> aligned(column, column)
    ('80.34', '0.40', '0.00')
    """
    largest = max((abs(_shown(one)) for one in others if one.finite), default=0.0)
    if largest and not _SMALLEST <= largest < _LARGEST:
        return tuple(one.number for one in amounts)
    decimals = DIGITS - 1 - math.floor(math.log10(largest)) if largest else 0
    return tuple(
        _fixed(_shown(one), max(0, decimals)) if one.finite else str(one) for one in amounts
    )


def _shown(one: Amount) -> float:
    return float(units.from_si(one.value, one.unit, one.shown_in))


def _fixed(value: float, decimals: int) -> str:
    written = f"{value:.{decimals}f}"
    return written.removeprefix("-") if float(written) == 0.0 else written


def _fitting(columns: Sequence[Column], labels: int, width: int) -> Iterable[list[Column]]:
    """Cut a table that is too wide into several; each repeats the columns of labels."""
    first = list(columns[:labels])
    room = width - sum(column.width + _GAP for column in first)
    part: list[Column] = []
    for column in columns[labels:]:
        if part and sum(one.width + _GAP for one in (*part, column)) - _GAP > room:
            yield [*first, *part]
            part = []
        part.append(column)
    yield [*first, *part]


def _table(columns: Sequence[Column]) -> Table:
    table = Table(box=SIMPLE_HEAD, pad_edge=False, show_edge=False, padding=(0, _GAP - 1, 0, 0))
    for column in columns:
        table.add_column(
            Text(column.head),
            justify="right" if column.numeric else "left",
            no_wrap=True,
            overflow="ellipsis",
        )
    for cells in zip(*(column.cells for column in columns), strict=True):
        table.add_row(*(_styled(cell) for cell in cells))
    return table


def _styled(cell: str) -> Text:
    return Text(cell) if not cell.startswith(_VERDICTS) else verdict_text(cell)
