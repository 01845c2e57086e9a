"""Reports as HTML for notebooks: plain tables that take the style of the page."""

from html import escape

from tradeopt.report.amount import Amount, Cell
from tradeopt.report.section import Section, Sheet


def sheet_html(sheet: Sheet, title: str) -> str:
    """
    Write a design sheet as HTML.

    Parameters
    ----------
    sheet : Sheet
        The design.
    title : str
        What to call it.

    Returns
    -------
    str
        A fragment without script and style sheet.
    """
    tables = "".join(section_html(section) for section in sheet.sections)
    notes = "".join(f"<li>{escape(note)}</li>" for note in sheet.notes)
    head = f"<h3>{escape(title)}</h3><p>{escape(sheet.verdict)}</p>"
    return f"{head}{tables}<h4>Notes</h4><ul>{notes}</ul>"


def section_html(section: Section) -> str:
    """
    Write one section as HTML.

    Parameters
    ----------
    section : Section
        The table.

    Returns
    -------
    str
        Heading, remark and table.

    Examples
    --------
    >>> section_html(Section("gaits", "Gaits", ("gait",), (("<b>",),)))
    '<h4>Gaits</h4><table><tr><th>gait</th></tr><tr><td>&lt;b&gt;</td></tr></table>'
    """
    shown = [place for place, head in enumerate(section.heads) if head not in section.aside]
    heads = "".join(
        f"<th>{escape(section.heads[place].replace('_', ' '))}</th>" for place in shown
    )
    rows = "".join(
        f"<tr>{''.join(_cell(row[place]) for place in shown)}</tr>" for row in section.rows
    )
    remark = f"<p>{escape(section.remark)}</p>" if section.remark else ""
    return f"<h4>{escape(section.title)}</h4>{remark}<table><tr>{heads}</tr>{rows}</table>"


def _cell(cell: Cell) -> str:
    align = ' style="text-align: right"' if isinstance(cell, Amount) else ""
    return f"<td{align}>{escape(str(cell))}</td>"
