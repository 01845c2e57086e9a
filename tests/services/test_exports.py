"""Exports, read back by other means."""

import csv
import io
import json

import pyarrow.parquet as pq
import pytest

from tradeopt.report.csv_text import csv_text
from tradeopt.services import exports
from tradeopt.services.lookup import FoundRun


def test_parquet_holds_what_csv_holds_with_units_and_source(levee: FoundRun) -> None:
    table = pq.read_table(io.BytesIO(exports.front_parquet(levee)))
    rows = list(csv.DictReader(io.StringIO(exports.front_csv(levee))))
    assert table.num_rows == len(rows) == len(levee.front().designs)
    assert table.column("design").to_pylist() == [int(row["design"]) for row in rows]
    mass = "total_mass [kg]"
    assert table.column(mass).to_pylist() == pytest.approx([float(row[mass]) for row in rows])
    assert table.schema.field("range [km]").metadata[b"unit"] == b"km"
    assert table.schema.field("robot.battery.cell").metadata[b"unit"] == b""
    # this run has no certificates
    assert {row["residual"] for row in rows} == {""}
    assert table.column("residual").to_pylist() == [None] * len(rows)
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
    told = csv_text({hostile: [hostile], "mass [kg]": [-2.5]}, {"run": hostile})
    head, row = csv.reader(io.StringIO(told, newline=""))
    assert [head[0], row[0], row[2]] == [f"'{formula}"] * 3
    assert float(row[1]) == -2.5


def test_what_no_file_can_hold_is_left_out_of_csv() -> None:
    told = csv_text({"cell": ["a\ud800\x00b"]}, {})
    assert told.encode("utf-8").splitlines()[1] == b"ab"
