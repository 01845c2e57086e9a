"""Tables of parts, such as a catalogue of motors: rows that no part can have are refused."""

from collections.abc import Sequence

import numpy as np

from tradeopt.chain.kind import Agreement, Column, Row
from tradeopt.errors import Problem, StudyError
from tradeopt.study.place import MOST_PROBLEMS
from tradeopt.study.table import TEXT, Table, parse_table


def read_parts(content: str, row: Row, *, file: str) -> Table:
    """
    Read a table of parts.

    Parameters
    ----------
    content : str
        CSV with a header, a column `name` and a column `source` beside those of the parts.
    row : Row
        What its columns are, and what they must keep.
    file : str
        What to call it in messages.

    Returns
    -------
    Table
        In SI.

    Raises
    ------
    StudyError
        With every problem of every row.
    """
    wanted = {column.name: column.unit for column in row.columns}
    text_columns = {"name": TEXT, "source": TEXT}
    table = parse_table(content, text_columns | wanted, file=file, key="name")
    problems = check_bounds(table, row.columns) + check_agreements(table, row.agreements)
    if problems:
        raise StudyError(problems)
    return table


def check_bounds(table: Table, columns: Sequence[Column]) -> tuple[Problem, ...]:
    r"""
    Look for numbers that a part cannot have.

    Parameters
    ----------
    table : Table
        A table of parts.
    columns : sequence of Column
        With what their numbers must keep.

    Returns
    -------
    tuple of Problem
        One a number.

    Examples
    --------
    >>> table = parse_table("mass [kg]\n-3", {"mass": "kg"}, file="parts.csv")
    >>> mass = Column("mass", "kg", "one piece", (1, 2), above=0.0)
    >>> [problem.want for problem in check_bounds(table, (mass,))]
    ['more than 0 kg']
    """
    problems = []
    for column in columns:
        numbers = table.numbers[column.name]
        for bound, broken, word in (
            (column.above, np.less_equal, "more than"),
            (column.at_least, np.less, "at least"),
            (column.at_most, np.greater, "at most"),
        ):
            if bound is not None:
                want = f"{word} {bound:g} {column.unit}".removesuffix(" 1")
                problems += [
                    table.problem(column.name, row, f"{numbers[row]:.6g}", want)
                    for row in np.flatnonzero(broken(numbers, bound)).tolist()
                ]
    return tuple(problems[:MOST_PROBLEMS])


def check_agreements(table: Table, agreements: Sequence[Agreement]) -> tuple[Problem, ...]:
    r"""
    Look for rows whose numbers contradict each other.

    Parameters
    ----------
    table : Table
        A table of parts.
    agreements : sequence of Agreement
        What follows from what.

    Returns
    -------
    tuple of Problem
        One a row and agreement.

    Examples
    --------
    >>> columns = {"mass": "kg", "half": "kg"}
    >>> table = parse_table("mass [kg],half [kg]\n4,2\n4,3", columns, file="parts.csv")
    >>> half = Agreement("half", lambda mass: mass / 2, ("mass",), 0.01, "half the mass")
    >>> [(problem.line, problem.want) for problem in check_agreements(table, (half,))]
    [(3, 'half the mass of its row, 2, within 1 %')]
    """
    problems = []
    for one in agreements:
        said = table.numbers[one.column]
        with np.errstate(invalid="ignore", divide="ignore"):  # the bounds tell of such numbers
            follows = one.follows(*(table.numbers[name] for name in one.others))
        known = np.isfinite(follows) & (follows != 0.0)
        apart = np.abs(said - follows) > one.tolerance * np.abs(follows)
        problems += [
            table.problem(
                one.column,
                row,
                f"{said[row]:.6g}",
                f"{one.form} of its row, {follows[row]:.4g}, within {100 * one.tolerance:g} %",
            )
            for row in np.flatnonzero(known & apart).tolist()
        ]
    return tuple(problems[:MOST_PROBLEMS])
