"""Designs in bulk as one table of numbers: for programs, spreadsheets and data frames."""

import csv
import io
import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from functools import cache
from typing import Any

import numpy as np
from pydantic_core import to_json

from tradeopt import quantities, units
from tradeopt.arrays import AnyArray, Array
from tradeopt.errors import TradeoptError
from tradeopt.quantities import Quantity
from tradeopt.report.amount import Amount, amount, amount_of, size_of
from tradeopt.report.plain_text import no_formula
from tradeopt.report.section import Plain
from tradeopt.search.designs import Designs, Outline
from tradeopt.study.problem import Limit, Variable

NUMBER, FEASIBLE = "design", "feasible"
"""Names of the columns that every table begins with."""

LEFT = "left."
"""Stands before the name of a limit: what is left to it, less than 0 where it is missed."""


class MissingExtraError(TradeoptError):
    """A library that is only installed on request is not there."""


@dataclass(frozen=True)
class Column:
    """What the numbers of one column mean.

    Attributes
    ----------
    name : str
        `design`, `feasible`, the name of an objective, the path of a variable, `left.` and the
        name of a limit, or `residual`.
    role : str
        `number`, `verdict`, `objective`, `variable`, `limit` or `residual`.
    unit : str
        SI unit of the numbers; "1" for plain ones, "" for a choice.
    shown_in : str
        Unit that they are read in; empty for plain ones.
    scale, offset : float
        What is read is ``scale * number + offset``.
    choices : tuple of str
        Words, where the number is the place of one of them.
    whole : bool
        Whole numbers only.
    """

    name: str
    role: str
    unit: str
    shown_in: str = ""
    scale: float = 1.0
    offset: float = 0.0
    choices: tuple[str, ...] = ()
    whole: bool = False

    @property
    def head(self) -> str:
        """Its name with the unit that it is read in."""
        return f"{self.name} [{self.shown_in}]" if self.shown_in else self.name

    def typed(self, numbers: Array) -> AnyArray:
        """Return numbers of this column, shape (design,), as what they mean; SI."""
        if self.role == "verdict":
            return numbers > 0.0
        if self.choices:
            return np.array(self.choices)[numbers.astype(np.int64)]
        return numbers.astype(np.int64) if self.whole else numbers

    def shown(self, numbers: Array) -> list[Any]:
        """Return numbers of this column, shape (design,), as they are read."""
        is_plain = self.role == "verdict" or self.choices or self.whole
        read = numbers if is_plain else self.scale * numbers + self.offset
        shown: list[Any] = self.typed(read).tolist()
        return shown


@dataclass(frozen=True)
class DesignTable:
    """Designs as numbers in SI.

    Attributes
    ----------
    columns : tuple of Column
        What they mean.
    numbers : Array
        Shape (design, column); NaN where a law does not hold.
    """

    columns: tuple[Column, ...]
    numbers: Array

    def __len__(self) -> int:
        return len(self.numbers)

    @property
    def names(self) -> list[str]:
        """Names of its columns."""
        return [one.name for one in self.columns]

    def column(self, name: str) -> tuple[Column, Array]:
        """Return a column by its name, and its numbers, shape (design,)."""
        place = self.names.index(name)
        return self.columns[place], self.numbers[:, place]

    def take(self, rows: AnyArray) -> "DesignTable":
        """Pick rows, by place or by mask, shape (design,)."""
        return replace(self, numbers=self.numbers[rows])

    def only(self, names: Sequence[str]) -> "DesignTable":
        """Pick columns, in this order."""
        places = [self.names.index(name) for name in names]
        return DesignTable(tuple(self.columns[n] for n in places), self.numbers[:, places])

    def shown(self) -> dict[str, list[Any]]:
        """Return its columns as they are read, by name and unit."""
        return {one.head: one.shown(self.numbers[:, n]) for n, one in enumerate(self.columns)}


def design_table(outline: Outline, designs: Designs) -> DesignTable:
    """
    Lay designs out as one table.

    Parameters
    ----------
    outline : Outline
        Variables, objectives and limits.
    designs : Designs
        The designs, in any order.

    Returns
    -------
    DesignTable
        A row a design.
    """
    objectives = (
        _column(one.name, "objective", amount_named(one.name, 0.0, one.unit))
        for one in outline.objectives
    )
    scales = np.array([one.scale for one in outline.limits])
    columns = (
        Column(NUMBER, "number", "1", whole=True),
        Column(FEASIBLE, "verdict", "1"),
        *objectives,
        *(_of_variable(one) for one in outline.variables),
        *(_of_limit(one) for one in outline.limits),
    )
    parts = [
        designs.numbers,
        designs.feasible,
        designs.objectives,
        designs.values,
        -designs.violations * scales,
    ]
    return DesignTable(columns, np.column_stack(parts).astype(np.float64))


def _of_variable(variable: Variable) -> Column:
    if variable.choices:
        return Column(variable.path, "variable", "", choices=variable.choices)
    column = _column(variable.path, "variable", size_of(0.0, variable.unit))
    return replace(column, whole=variable.whole)


def _of_limit(limit: Limit) -> Column:
    unit = "delta_K" if limit.unit == "K" else limit.unit
    return _column(f"{LEFT}{limit.name}", "limit", amount_named(limit.name, 0.0, unit))


def amount_named(name: str, value: float, unit: str) -> Amount:
    """
    Make an amount of something by its name alone.

    Parameters
    ----------
    name : str
        A quantity of the glossary, with the gait or leg that is meant behind a dot; or any other.
    value : float
        In SI [unit].
    unit : str
        SI unit.

    Returns
    -------
    Amount
        Read in the unit that is usual for it.

    Examples
    --------
    >>> str(amount_named("range.levee", 17024.0, "m")), str(amount_named("x", 0.5, "m"))
    ('17.02 km', '0.5 m')
    """
    quantity = _glossary().get(name.partition(".")[0])
    known = quantity is not None and quantity.unit == unit
    return amount_of(quantity, value) if quantity and known else amount(value, unit)


@cache
def _glossary() -> Mapping[str, Quantity]:
    found = (one for one in vars(quantities).values() if isinstance(one, Quantity))
    return {one.name: one for one in found}


def _column(name: str, role: str, read: Amount) -> Column:
    if not read.shown_in:
        return Column(name, role, read.unit)
    offset, one = (units.from_si(number, read.unit, read.shown_in) for number in (0.0, 1.0))
    return Column(name, role, read.unit, read.shown_in, float(one - offset), float(offset))


def table_json(table: DesignTable, more: Plain) -> bytes:
    """
    Write a table as JSON, in SI.

    Parameters
    ----------
    table : DesignTable
        The table.
    more : dict
        What else to tell, before it.

    Returns
    -------
    bytes
        `columns`, and `rows` of as many numbers; null where there is none.
    """
    columns = [asdict(one) for one in table.columns]
    told = {**more, "columns": columns, "rows": table.numbers.tolist()}
    return to_json(told, inf_nan_mode="null")


def table_csv(table: DesignTable, provenance: Mapping[str, object]) -> str:
    """
    Write a table as CSV, in the units it is read in, each in the name of its column.

    Parameters
    ----------
    table : DesignTable
        The table.
    provenance : mapping
        What it was made from, repeated in each row.

    Returns
    -------
    str
        No cell of it is taken for a formula by a spreadsheet.
    """
    columns = table.shown()
    heads = [_quoted(head) for head in (*columns, *provenance)]
    made_by = [_quoted(str(one)) for one in provenance.values()]
    cells = [_written(column) for column in columns.values()]
    rows = (",".join((*row, *made_by)) for row in zip(*cells, strict=True))
    return "\n".join([",".join(heads), *rows, ""])


def _written(column: list[Any]) -> list[str]:
    """Write the cells of a column; where there is no number, nothing."""
    if not column or isinstance(column[0], str):
        words = {word: _quoted(word) for word in set(column)}
        return [words[word] for word in column]
    # ten times as fast as one number at a time, and as exact
    return to_json(column, inf_nan_mode="null").decode()[1:-1].replace("null", "").split(",")


def _quoted(text: str) -> str:
    line = io.StringIO()
    csv.writer(line, lineterminator="").writerow([no_formula(text)])
    return line.getvalue()


def table_parquet(table: DesignTable, provenance: Mapping[str, object]) -> bytes:
    """
    Write a table as Parquet, in SI.

    Parameters
    ----------
    table : DesignTable
        The table.
    provenance : mapping
        What it was made from.

    Returns
    -------
    bytes
        Each column has its unit as metadata, the file its provenance.

    Raises
    ------
    MissingExtraError
        Where the library for it is not installed.
    """
    try:
        import pyarrow as pa  # noqa: PLC0415 - an extra, and slow to import
        from pyarrow import parquet  # noqa: PLC0415 - an extra
    except ModuleNotFoundError as error:
        raise MissingExtraError(
            "Parquet needs pyarrow: pip install 'tradeopt[parquet]'"
        ) from error
    numbers = np.asfortranarray(table.numbers)
    arrays = [pa.array(one.typed(numbers[:, n])) for n, one in enumerate(table.columns)]
    fields = [
        pa.field(one.name, array.type, metadata={"unit": one.unit, "role": one.role})
        for one, array in zip(table.columns, arrays, strict=True)
    ]
    schema = pa.schema(fields, metadata={"tradeopt": json.dumps(provenance)})
    buffer = io.BytesIO()
    parquet.write_table(pa.table(arrays, schema=schema), buffer)
    return buffer.getvalue()
