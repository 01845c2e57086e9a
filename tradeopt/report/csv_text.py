"""Tables as CSV that no spreadsheet takes for formulas."""

import csv
from collections.abc import Mapping, Sequence
from io import StringIO

from tradeopt.report.plain_text import no_formula


def csv_text(columns: Mapping[str, Sequence[object]], source: Mapping[str, object]) -> str:
    """
    Write columns as CSV, with where they come from in every row.

    Parameters
    ----------
    columns : mapping of str to sequence
        By name, all of one length; numbers in full precision.
    source : mapping of str to object
        What is repeated in every row, so that a row can be told from those of other tables.

    Returns
    -------
    str
        With a line of names. A text that a spreadsheet would take for a formula has an apostrophe
        before it.

    Examples
    --------
    >>> print(csv_text({"cell": ["=1+1"], "mass [kg]": [-2.5]}, {"run": "levee-1"}).strip())
    cell,mass [kg],run
    '=1+1,-2.5,levee-1
    """
    made_by = list(source.values())
    text = StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(map(_plain, [*columns, *source]))
    for row in zip(*columns.values(), strict=True):
        writer.writerow([_plain(cell) for cell in (*row, *made_by)])
    return text.getvalue()


def _plain(cell: object) -> object:
    return no_formula(cell) if isinstance(cell, str) else cell
