"""Exports, read back by other means."""

import csv
import io
import json

import numpy as np
import pyarrow.parquet as pq
import pytest

from tradeopt.report.table import Column, DesignTable, table_csv
from tradeopt.services import exports
from tradeopt.services.lookup import FoundRun


def test_parquet_holds_what_csv_holds_with_units_and_source(levee: FoundRun) -> None:
    table = pq.read_table(io.BytesIO(exports.front_parquet(levee)))
    rows = list(csv.DictReader(io.StringIO(exports.front_csv(levee))))
    assert table.num_rows == len(rows) == len(levee.front().designs)
    assert table.column("design").to_pylist() == [int(row["design"]) for row in rows]
    metres = [1000.0 * float(row["range [km]"]) for row in rows]
    assert table.column("range").to_pylist() == pytest.approx(metres)
    assert metres == sorted(metres, reverse=True)
    cells = [row["robot.battery.cell"] for row in rows]
    assert table.column("robot.battery.cell").to_pylist() == cells
    assert table.schema.field("range").metadata[b"unit"] == b"m"
    assert table.schema.field("robot.battery.cell").metadata[b"unit"] == b""
    # this run has no certificates
    assert {row["residual"] for row in rows} == {""}
    assert np.isnan(table.column("residual").to_numpy()).all()
    source = json.loads(table.schema.metadata[b"tradeopt"])
    assert source["study_sha256"] == levee.run.digest
    assert source["seed"] == levee.run.plan.seed


def test_json_tells_the_source_and_every_design(levee: FoundRun) -> None:
    data = exports.front_json(levee)
    json.dumps(data, allow_nan=False)
    assert data["run"] == levee.run.id
    front = data["front"]
    assert isinstance(front, list)
    assert sorted(one["design"] for one in front) == sorted(levee.front().designs.numbers.tolist())


@pytest.mark.parametrize("start", ["=", "+", "-", "@"])
@pytest.mark.parametrize("before", ["", "\t", "\r", "\n ", "\x00"])
def test_no_text_is_taken_for_a_formula(before: str, start: str) -> None:
    formula = f"{start}cmd|'/C calc'!A0"
    hostile = before + formula
    columns = (
        Column(hostile, "variable", "", choices=(hostile,)),
        Column("mass", "objective", "kg"),
    )
    told = table_csv(DesignTable(columns, np.array([[0.0, -2.5]])), {"run": hostile})
    head, row = csv.reader(io.StringIO(told, newline=""))
    assert [head[0], row[0], row[2]] == [f"'{formula}"] * 3
    assert float(row[1]) == -2.5


def test_what_no_file_can_hold_is_left_out_of_csv() -> None:
    column = Column("cell", "variable", "", choices=("a\ud800\x00b",))
    told = table_csv(DesignTable((column,), np.zeros((1, 1))), {})
    assert told.encode("utf-8").splitlines()[1] == b"ab"
