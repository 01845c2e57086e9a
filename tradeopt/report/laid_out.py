"""Sections laid out for a page: every cell as text, the unit in the head where there is one."""

from collections.abc import Sequence

from tradeopt.report.amount import Amount, Cell
from tradeopt.report.section import Plain, Section, Sheet
from tradeopt.report.terminal import aligned
from tradeopt.report.view import spoken


def laid_out_sheet(sheet: Sheet) -> Plain:
    """Lay out a design sheet; see `laid_out`."""
    return {
        "study": sheet.study,
        "digest": sheet.digest,
        "verdict": sheet.verdict,
        "feasible": sheet.feasible,
        "sections": [laid_out(section) for section in sheet.sections],
        "notes": list(sheet.notes),
    }


def laid_out(section: Section) -> Plain:
    """
    Lay out one section.

    Parameters
    ----------
    section : Section
        The table.

    Returns
    -------
    dict
        Its name, title, remark, how many columns label a row, heads (name, unit, whether numbers
        stand below) and rows: the text of each cell, and beside it the numbers that a picture
        may be drawn from, in the unit of the head; null where a cell holds none.

    Examples
    --------
    >>> from tradeopt.report.amount import amount
    >>> rows = (("knee", amount(0.25, "1", "%")), ("hip_yaw", amount(0.5, "1", "%")))
    >>> shown = laid_out(Section("margins", "Margins", ("joint", "torque_margin"), rows))
    >>> shown["heads"][1]
    {'name': 'torque margin', 'unit': '%', 'numeric': True}
    >>> shown["rows"]
    [['knee', '25.00'], ['hip_yaw', '50.00']]
    >>> shown["numbers"]
    [[None, 25.0], [None, 50.0]]
    """
    shown = [head for head in section.heads if head not in section.aside]
    columns = [section.column(head) for head in shown]
    units = [_common_unit(column) for column in columns]
    return {
        "name": section.name,
        "title": section.title,
        "remark": section.remark,
        "labels": section.labels,
        "heads": [
            {"name": spoken(head), "unit": unit or "", "numeric": _is_numeric(column)}
            for head, column, unit in zip(shown, columns, units, strict=True)
        ],
        "rows": _rows(_texts(columns, units)),
        "numbers": _rows([_numbers(column) for column in columns]),
    }


def _rows(columns: Sequence[Sequence[object]]) -> list[list[object]]:
    return [list(row) for row in zip(*columns, strict=True)]


def _common_unit(column: Sequence[Cell]) -> str | None:
    """Return the unit that all cells share; None where there is none."""
    found = {cell.shown_in if isinstance(cell, Amount) else None for cell in column}
    return found.pop() if len(found) == 1 else None


def _is_numeric(column: Sequence[Cell]) -> bool:
    return any(isinstance(cell, Amount) for cell in column)


def _texts(columns: Sequence[Sequence[Cell]], units: Sequence[str | None]) -> list[Sequence[str]]:
    """Write the cells; those of one unit with their decimal points under each other."""
    written: list[Sequence[str]] = []
    for column, unit in zip(columns, units, strict=True):
        if unit:
            alike = [cells for cells, other in zip(columns, units, strict=True) if other == unit]
            same = [one for cells in alike for one in _amounts(cells)]
            written.append(aligned(_amounts(column), same))
        else:
            written.append([str(cell) for cell in column])
    return written


def _amounts(column: Sequence[Cell]) -> list[Amount]:
    return [cell for cell in column if isinstance(cell, Amount)]


def _numbers(column: Sequence[Cell]) -> list[object]:
    return [cell.shown if isinstance(cell, Amount) and cell.finite else None for cell in column]
