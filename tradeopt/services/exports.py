"""The front of a run as tables for other programs."""

import numpy as np

from tradeopt.report.front import plain_front
from tradeopt.report.section import Plain
from tradeopt.report.table import Column, DesignTable, design_table, table_csv, table_parquet
from tradeopt.services.lookup import FoundRun
from tradeopt.services.views import provenance

ROW_SOURCE = ("run", "study_sha256", "seed", "searched_by")
"""What a table repeats in every row, so that it can be told from others."""

RESIDUAL = Column("residual", "residual", "1")
"""What is left of the first-order conditions of a design."""


def row_source(made_from: Plain) -> Plain:
    """Return what every row of a table repeats of its provenance."""
    return {name: made_from[name] for name in ROW_SOURCE}


def front_csv(found: FoundRun) -> str:
    """
    Write the front of a run as CSV, a design a row.

    Parameters
    ----------
    found : FoundRun
        The run.

    Returns
    -------
    str
        Units in the names of the columns; where it comes from in every row. The residual of the
        first-order conditions is empty where it is not known.
    """
    return table_csv(_front_table(found), row_source(provenance(found.run)))


def front_json(found: FoundRun) -> Plain:
    """
    Turn the front of a run into what JSON can hold.

    Parameters
    ----------
    found : FoundRun
        The run.

    Returns
    -------
    dict
        Provenance, and the designs in SI; of each what is left of the first-order conditions, null
        where that is not known.
    """
    residuals = found.residuals()
    front = [
        one | {"residual": residuals.get(int(str(one["design"])))}
        for one in plain_front(found.front())
    ]
    return provenance(found.run) | {"front": front}


def front_parquet(found: FoundRun) -> bytes:
    """
    Write the front of a run as Parquet (extra: parquet).

    Parameters
    ----------
    found : FoundRun
        The run.

    Returns
    -------
    bytes
        The same columns as in CSV, in SI; see `table_parquet`.
    """
    return table_parquet(_front_table(found), provenance(found.run))


def _front_table(found: FoundRun) -> DesignTable:
    """Return the front by its first objective, with what is left of the first-order conditions."""
    front = found.front()
    table = design_table(found.run, front.designs.take(front.sorted_rows()))
    known = found.residuals()
    residuals = [known.get(int(number), np.nan) for number in table.numbers[:, 0]]
    numbers = np.column_stack([table.numbers, np.array(residuals, dtype=np.float64)])
    return DesignTable((*table.columns, RESIDUAL), numbers)
