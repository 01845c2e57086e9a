"""What is refused in a recorded stride, and in the way a study names it."""

import re
import time
from pathlib import Path

import pytest

from tests.study.edits import CSV, EXAMPLE, FILE, STRIDE, edited, marked, problems_of
from tradeopt.errors import StudyError
from tradeopt.study.read import load, loads
from tradeopt.study.table import LARGEST_TABLE

ROWS = CSV.split("\n")
FIRST = next(number for number, row in enumerate(ROWS) if row.startswith("0,"))
"""Index of the first row of numbers, below the remark and the header."""


@pytest.mark.parametrize(
    ("csv", "line", "got", "want"),
    [
        (
            CSV.replace("knee_angle [deg]", "nee_angle [deg]"),
            FIRST,
            "an unknown column 'nee_angle'",
            "one of phase, ",
        ),
        (
            CSV.replace("knee_angle [deg]", "knee_angle"),
            FIRST,
            "'knee_angle' without a unit",
            "'knee_angle [rad]'",
        ),
        (
            CSV.replace("knee_angle [deg]", "knee_angle [kg]"),
            FIRST,
            "'knee_angle [kg]', the unit 'kg', which is a mass",
            "an angle in rad, ",
        ),
        (
            "\n".join([*ROWS[:5], ROWS[6], ROWS[5], *ROWS[7:]]),
            7,
            "0.03 after 0.04",
            "phases that rise from row to row",
        ),
        (
            "\n".join([*ROWS[:5], *ROWS[20:]]),
            5,
            "a gap of 16.0% after 0.02",
            "at most 5% of the stride between neighbours",
        ),
        ("\n".join(ROWS[:8]), 3, "6 rows", "at least 20 a stride"),
        (
            "\n".join(
                [
                    *ROWS[:5],
                    ROWS[5].replace(",", ",nan,", 1).replace(",nan,", ",nan;", 1),
                    *ROWS[6:],
                ]
            ),
            6,
            None,
            "",
        ),
    ],
    ids=["column", "no unit", "unit", "order", "gap", "short", "cells"],
)
def test_a_bad_stride_is_told_in_its_own_file(
    csv: str, line: int, got: str | None, want: str
) -> None:
    problem = problems_of(EXAMPLE, {STRIDE: csv})[0]
    assert (problem.file, problem.line) == (STRIDE, line)
    assert got is None or problem.got == got
    assert problem.want.startswith(want)


def test_degrees_in_a_column_of_radians_are_told_at_the_largest() -> None:
    angles = [abs(float(row.split(",")[4])) for row in ROWS[FIRST:] if row]
    largest = FIRST + angles.index(max(angles)) + 1
    (problem,) = problems_of(
        EXAMPLE, {STRIDE: CSV.replace("knee_angle [deg]", "knee_angle [rad]")}
    )
    assert (problem.file, problem.line) == (STRIDE, largest)
    assert "looks like degrees" in problem.got
    assert problem.want == "at most 2.6 rad, or the header 'knee_angle [deg]'"


def test_a_stride_named_twice_is_told_once() -> None:
    gait = next(line for line in EXAMPLE.split("\n") if line.startswith("  brisk: {kind"))
    source = EXAMPLE.replace(gait, f"{gait}\n{gait.replace('brisk', 'quick', 1)}")
    assert len(problems_of(source, {STRIDE: "\n".join(ROWS[:8])})) == 1


def test_a_stride_of_50_mb_is_refused_in_short_time() -> None:
    start = time.process_time()
    (problem,) = problems_of(EXAMPLE, {STRIDE: "1," * 25_000_000})
    assert problem.where == "gaits.brisk.stride"
    assert problem.got == f"'{STRIDE}' of 50000000 characters"
    assert problem.want == f"a recorded stride of at most {LARGEST_TABLE}"
    assert time.process_time() - start < 2.0


@pytest.mark.parametrize(
    ("name", "got", "want"),
    [
        ("other.csv", "'other.csv': no file of that name", "a recorded stride"),
        ("..", "'..': a directory", "a recorded stride"),
        (
            "../levee_brisk.csv",
            "'../levee_brisk.csv'",
            "the name of a CSV file beside the study file",
        ),
        ("/etc/hostname", "'/etc/hostname'", "the name of a CSV file beside the study file"),
        (
            "a/levee_brisk.csv",
            "'a/levee_brisk.csv'",
            "the name of a CSV file beside the study file",
        ),
        (
            "huge.csv",
            f"'huge.csv': {LARGEST_TABLE + 1} bytes",
            f"a recorded stride of at most {LARGEST_TABLE} bytes",
        ),
        (
            "latin.csv",
            "'latin.csv': bytes that are no UTF-8 text on line 1",
            "a recorded stride saved as UTF-8",
        ),
    ],
    ids=["missing", "folder", "outside", "elsewhere", "below", "huge", "latin"],
)
def test_a_stride_that_cannot_be_opened_is_told_where_it_is_named(
    tmp_path: Path, name: str, got: str, want: str
) -> None:
    folder = tmp_path / "study"
    folder.mkdir()
    (tmp_path / "levee_brisk.csv").write_text(CSV, encoding="utf-8")
    (folder / "huge.csv").write_bytes(b"1" * (LARGEST_TABLE + 1))
    (folder / "latin.csv").write_bytes(b"\xe4,\n")
    bad = marked(edited("gaits.brisk.stride", f"§{name}"))
    (folder / FILE).write_text(bad.text, encoding="utf-8")
    with pytest.raises(StudyError, match=re.escape(got)) as caught:
        load(folder / FILE)
    (problem,) = caught.value.problems
    assert (problem.where, problem.got, problem.want) == ("gaits.brisk.stride", got, want)
    assert (problem.file, problem.line, problem.column) == (str(folder / FILE), *bad.places[0])


def test_without_a_folder_no_file_is_looked_for() -> None:
    with pytest.raises(
        StudyError, match=r"'levee_brisk\.csv', want a file that was given: none was"
    ):
        loads(EXAMPLE)
