"""The front of a run as tables for other programs."""

import json
from io import BytesIO

from tradeopt.errors import TradeoptError
from tradeopt.report.csv_text import csv_text
from tradeopt.report.front import front_columns, plain_front
from tradeopt.report.section import Plain
from tradeopt.services.lookup import FoundRun

ROW_SOURCE = ("run", "study_sha256", "seed", "searched_by")
"""What a table repeats in every row, so that it can be told from others."""


class MissingExtraError(TradeoptError):
    """A library is asked for that is not there."""


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
    source = found.provenance()
    return csv_text(_columns(found), {name: source[name] for name in ROW_SOURCE})


def _columns(found: FoundRun) -> dict[str, list[object]]:
    """Return the columns of a front, with what is left of the first-order conditions."""
    columns: dict[str, list[object]] = {
        name: list(column) for name, column in front_columns(found.front()).items()
    }
    residuals = found.residuals()
    columns["residual"] = [residuals.get(int(str(number))) for number in columns["design"]]
    return columns


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
    return found.provenance() | {"front": front}


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
        The same columns as in CSV. The unit of each stands in its metadata as `unit`, where the
        file comes from in that of the table as `tradeopt`, in JSON.

    Raises
    ------
    MissingExtraError
        When the library for it is not there.
    """
    try:
        import pyarrow as pa  # noqa: PLC0415 - an extra
        import pyarrow.parquet as pq  # noqa: PLC0415 - an extra
    except ModuleNotFoundError as error:
        raise MissingExtraError(
            "Parquet needs pyarrow: pip install 'tradeopt[parquet]'"
        ) from error
    columns = _columns(found)
    residual = pa.array(columns["residual"], type=pa.float64())
    table = pa.table(columns | {"residual": residual})
    fields = [
        table.schema.field(place).with_metadata({"unit": name.partition("[")[2].rstrip("]")})
        for place, name in enumerate(columns)
    ]
    source = {"tradeopt": json.dumps(found.provenance())}
    out = BytesIO()
    pq.write_table(table.cast(pa.schema(fields, metadata=source)), out)
    return out.getvalue()
