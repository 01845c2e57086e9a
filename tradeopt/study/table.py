"""CSV tables with ``name [unit]`` headers as columns in SI: gaits and parts catalogues."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from tradeopt.arrays import Array
from tradeopt.errors import Problem, StudyError
from tradeopt.study.columns import TEXT, ColumnReader
from tradeopt.study.place import MOST_PROBLEMS
from tradeopt.study.sheet import Row, Sheet, split

__all__ = [
    "TEXT",
    "Table",
    "check_angles",
    "check_phase",
    "header_of",
    "parse_table",
]

LARGEST_TABLE = 5_000_000
"""Bytes a table may have; a recorded stride has some 20,000."""

LEAST_PHASES = 20
"""Rows of a recorded stride; twenty samples carry its first ten harmonics."""

WIDE_TURN = 2.6
"""Farthest that a leg's pitch axes and knee turn from straight [rad]."""

NARROW_TURN = 1.2
"""Farthest that a leg's yaw and roll axes turn [rad]."""

LARGEST_GAP = 0.05
"""Largest step between neighbouring phases: the even spacing of `LEAST_PHASES` rows."""

_LINE_END = re.compile(r"\r\n|\r|\n")


@dataclass(frozen=True)
class Table:
    """Columns of a table in SI.

    Attributes
    ----------
    sheet : Sheet
        The text it was read from.
    numbers : dict
        Columns of numbers by name, each of shape (row,) [SI unit as declared]; NaN where unknown.
    texts : dict
        Columns of words by name, empty where unknown.
    units : dict
        Unit that each column of numbers has in the file.
    labels : tuple of str
        The key of each row; its number, from 1, where there is no key column.
    cells : dict
        Position of each column in the file, from 0.
    rows : tuple of int
        Line of each row, from 1.
    header : int
        Line of the header, from 1.
    """

    sheet: Sheet
    numbers: dict[str, Array]
    texts: dict[str, tuple[str, ...]]
    units: dict[str, str]
    labels: tuple[str, ...]
    cells: dict[str, int] = field(repr=False)
    rows: tuple[int, ...] = field(repr=False)
    header: int

    def problem(self, column: str, row: int, got: str, want: str) -> Problem:
        r"""
        Say what is wrong with a value, with its place.

        Parameters
        ----------
        column : str
            Name of the column.
        row : int
            Row, from 0.
        got, want : str
            What came and what was wanted.

        Returns
        -------
        Problem
            With file, line, column and the line itself.

        Examples
        --------
        >>> table = parse_table("mass [kg]\n-3", {"mass": "kg"}, file="parts.csv")
        >>> table.problem("mass", 0, "'-3'", "a mass above 0 kg").line
        2
        """
        return self.sheet.problem(column, (self.rows[row], self.cells[column]), got, want)

    def head_problem(self, column: str, got: str, want: str) -> Problem:
        r"""
        Say what is wrong with a column as a whole, with the place of its name.

        Parameters
        ----------
        column : str
            Name of the column.
        got, want : str
            What came and what was wanted.

        Returns
        -------
        Problem
            With file, line, column and the line itself.

        Examples
        --------
        >>> table = parse_table("time [s]\n0", {"time": "s"}, file="log.csv")
        >>> print(table.head_problem("time", "one row", "a log").line)
        1
        """
        return self.sheet.problem(column, (self.header, self.cells[column]), got, want)


def parse_table(
    text: str,
    columns: Mapping[str, str],
    *,
    file: str,
    optional: Sequence[str] = (),
    key: str | None = None,
) -> Table:
    r"""
    Read the text of a table.

    Parameters
    ----------
    text : str
    CSV with a header.
    columns : Mapping
    Wanted columns: name to SI unit, or to `TEXT`.
    file : str
    What to call it in messages.
    optional : sequence of str
    Columns that may be missing or have blank cells.
    key : str, optional
    Column whose cells name the rows.

    Returns
    -------
    Table
    Its columns in SI.

    Raises
    ------
    StudyError
    With every problem found.

    Examples
    --------
    >>> table = parse_table("size [mm]\n85\n100", {"size": "m"}, file="motors.csv")
    >>> table.numbers["size"].tolist(), table.labels
    ([0.085, 0.1], ('1', '2'))
    """
    sheet = _sheet_of(text, file)
    header, *body = split(sheet)
    reader = ColumnReader(sheet, columns, frozenset(optional))
    reader.take_header(header)
    reader.take_rows(body)
    numbers = {name: reader.numbers(name) for name in reader.units}
    texts = {name: reader.words(name) for name in reader.cells if name not in reader.units}
    labels = reader.labels(key)
    if reader.problems:
        raise StudyError(reader.told())
    rows = tuple(row.line for row in reader.rows)
    cells = dict(reader.cells)
    return Table(sheet, numbers, texts, dict(reader.units), labels, cells, rows, header.line)


def header_of(text: str, file: str) -> Row:
    r"""
    Look at the header of a table before its columns are known.

    Parameters
    ----------
    text : str
        CSV with a header.
    file : str
        What to call it in messages.

    Returns
    -------
    Row
        The names with their units, as written.

    Raises
    ------
    StudyError
        When this is no table.

    Examples
    --------
    >>> header_of("time [s],knee [deg]\n0,0", "log.csv").cells
    ('time [s]', 'knee [deg]')
    """
    return split(_sheet_of(text, file))[0]


def _sheet_of(text: str, file: str) -> Sheet:
    return Sheet(file, tuple(_LINE_END.split(text.removeprefix("\ufeff"))))


def check_phase(table: Table, column: str) -> tuple[Problem, ...]:
    r"""
    Look for what makes a recorded stride no stride: too few samples, disorder, gaps.

    Parameters
    ----------
    table : Table
        The recording.
    column : str
        Column of phases, as parts of a stride [1].

    Returns
    -------
    tuple of Problem
        Empty for a good recording.

    Notes
    -----
    Phases are in [0, 1) and rise from row to row. No step between neighbours, from the last row to
    the first included, is larger than `LARGEST_GAP`.

    Examples
    --------
    >>> text = "phase [1]\n" + "\n".join(str(step / 25) for step in range(25))
    >>> check_phase(parse_table(text, {"phase": "1"}, file="brisk.csv"), "phase")
    ()
    """
    phases = table.numbers[column]
    problems = [
        table.problem(
            column,
            row,
            f"{phases[row]:.6g}",
            "a phase from 0 up to but not 1 (100 % is the first row of the next stride)",
        )
        for row in np.flatnonzero(~((phases >= 0.0) & (phases < 1.0))).tolist()
    ]
    steps = np.diff(phases)
    for row in np.flatnonzero(steps <= 0.0).tolist():
        got = f"{phases[row + 1]:.6g} after {phases[row]:.6g}"
        problems.append(table.problem(column, row + 1, got, "phases that rise from row to row"))
    if len(phases) < LEAST_PHASES:
        want = f"at least {LEAST_PHASES} a stride"
        problems.append(table.problem(column, 0, f"{len(phases)} rows", want))
    return tuple(problems[:MOST_PROBLEMS]) or _phase_gaps(table, column)


def _phase_gaps(table: Table, column: str) -> tuple[Problem, ...]:
    """Find steps that are too large, in phases that are in order."""
    phases = table.numbers[column]
    steps = np.diff(phases, append=phases[0] + 1.0)
    # A millionth of a stride leaves room for phases written with six digits.
    wide = np.flatnonzero(steps > LARGEST_GAP + 1e-6).tolist()
    want = f"at most {LARGEST_GAP:.0%} of the stride between neighbours"
    return tuple(
        table.problem(column, row, f"a gap of {steps[row]:.1%} after {phases[row]:.6g}", want)
        for row in wide
    )


def check_angles(table: Table) -> tuple[Problem, ...]:
    r"""
    Look for columns that say rad and hold degrees.

    Parameters
    ----------
    table : Table
        The recording.

    Returns
    -------
    tuple of Problem
        One a column at most, at its largest value.

    Notes
    -----
    A leg's pitch axes and knee stay within 2.6 rad of straight, its yaw and roll axes within 1.2
    rad (common practice, no source).

    Examples
    --------
    >>> table = parse_table("knee_angle [rad]\n-12.5", {"knee_angle": "rad"}, file="brisk.csv")
    >>> [problem.got for problem in check_angles(table)]
    ['-12.5 rad, which looks like degrees in a column that says rad']
    """
    problems = []
    for column in (name for name, unit in table.units.items() if unit == "rad"):
        angles = np.nan_to_num(table.numbers[column])
        row = int(np.argmax(np.abs(angles)))
        narrow = "_yaw" in column or "_roll" in column
        most = NARROW_TURN if narrow else WIDE_TURN
        if abs(angles[row]) > most:
            got = f"{angles[row]:.6g} rad, which looks like degrees in a column that says rad"
            want = f"at most {most} rad, or the header '{column} [deg]'"
            problems.append(table.problem(column, row, got, want))
    return tuple(problems)
