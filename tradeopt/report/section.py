"""A report as plain data: sections of rows, the same for terminal, page, deck and JSON."""

from collections.abc import Mapping
from dataclasses import dataclass

from tradeopt.report.amount import Cell

Plain = dict[str, object]
"""What JSON can hold."""


@dataclass(frozen=True)
class Section:
    """One table of a report.

    Attributes
    ----------
    name : str
        Key in JSON.
    title : str
        Heading for the reader.
    heads : tuple of str
        Name of each column, snake_case; the first column says what a row is about.
    rows : tuple of tuple
        Cells, as many a row as there are heads.
    remark : str
        What the reader must know of it; empty where nothing.
    labels : int
        How many columns say what a row is about.
    aside : tuple of str
        Heads of columns that only programs read; others say the same in words.
    """

    name: str
    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    remark: str = ""
    labels: int = 1
    aside: tuple[str, ...] = ()

    def column(self, head: str) -> tuple[Cell, ...]:
        """Return the cells of one column."""
        place = self.heads.index(head)
        return tuple(row[place] for row in self.rows)

    def row(self, label: str) -> Mapping[str, Cell]:
        """Return the first row whose first cell is this label, by head."""
        found = next(row for row in self.rows if row[0] == label)
        return dict(zip(self.heads, found, strict=True))


@dataclass(frozen=True)
class Sheet:
    """All there is to say of one design.

    Attributes
    ----------
    study : str
        Name of the study.
    digest : str
        Hash of the study with all it names.
    verdict : str
        One sentence: whether every limit is met, and which decide.
    feasible : bool
        Whether every limit is met.
    sections : tuple of Section
        Its tables.
    notes : tuple of str
        What the numbers leave out, and what to mind.
    """

    study: str
    digest: str
    verdict: str
    feasible: bool
    sections: tuple[Section, ...]
    notes: tuple[str, ...]

    def section(self, name: str) -> Section:
        """Return one section by its name."""
        return next(one for one in self.sections if one.name == name)


def plain_sheet(sheet: Sheet) -> Plain:
    """Turn a sheet into what JSON can hold."""
    return {
        "study": sheet.study,
        "study_sha256": sheet.digest,
        "verdict": sheet.verdict,
        "feasible": sheet.feasible,
        "sections": {one.name: plain_rows(one) for one in sheet.sections},
        "notes": list(sheet.notes),
    }


def plain_rows(section: Section) -> list[Plain]:
    """
    Turn the rows of a section into what JSON can hold.

    Parameters
    ----------
    section : Section
        The table.

    Returns
    -------
    list of dict
        One a row: each cell by its head; numbers with their SI unit, null where there is none.

    Examples
    --------
    >>> from tradeopt.report.amount import amount
    >>> rows = (("knee", amount(35.0, "N*m")),)
    >>> plain_rows(Section("joints", "Joints", ("joint", "torque"), rows))
    [{'joint': 'knee', 'torque': {'value': 35.0, 'unit': 'N*m'}}]
    """
    return [
        {head: plain_cell(cell) for head, cell in zip(section.heads, row, strict=True)}
        for row in section.rows
    ]


def plain_cell(cell: Cell) -> object:
    """Turn one cell into what JSON can hold: a number has its SI unit beside it."""
    if isinstance(cell, str):
        return cell
    return {"value": cell.value if cell.finite else None, "unit": cell.unit}
