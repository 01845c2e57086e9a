"""Tables with units in their headers: what is read, and every mistake with its cell."""

import math
import time
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tradeopt.errors import Problem, StudyError
from tradeopt.study import sheet, table
from tradeopt.study.place import MOST_PROBLEMS
from tradeopt.study.text import load_text

COLUMNS = {"part": "text", "mass": "kg", "angle": "rad", "temperature": "K", "note": "text"}
OPTIONAL = ("temperature", "note")
HEADER = "part,mass [g],angle [deg]\n"


def parse(source: str, key: str | None = None) -> table.Table:
    return table.parse_table(source, COLUMNS, file="t.csv", optional=OPTIONAL, key=key)


def problems_of(source: str, key: str | None = None) -> tuple[Problem, ...]:
    with pytest.raises(StudyError, match=r"t\.csv:\d+:\d+: ") as caught:
        parse(source, key)
    return caught.value.problems


def test_columns_come_in_si_with_their_labels() -> None:
    source = (
        "\ufeff# invented values\r\n\r\n# for a test\r\n"
        "note, part ,angle [deg],mass [g],temperature [degC]\r\n"
        ',A,180,1.5,\r\n\r\n"hot, dry","B ""x""", -90,2e3,20\r\n'
    )
    read = parse(source, key="part")
    assert read.labels == ("A", 'B "x"')
    assert read.texts == {"note": ("", "hot, dry"), "part": ("A", 'B "x"')}
    np.testing.assert_allclose(read.numbers["mass"], [0.0015, 2.0], rtol=1e-14)
    np.testing.assert_allclose(read.numbers["angle"], [math.pi, -math.pi / 2.0], rtol=1e-14)
    np.testing.assert_allclose(read.numbers["temperature"], [np.nan, 293.15], rtol=1e-14)
    assert read.units == {"angle": "deg", "mass": "g", "temperature": "degC"}
    assert read.rows == (5, 7)


def test_rows_without_a_key_are_numbered_from_one() -> None:
    assert parse(HEADER + "A,1,1\nA,1,1\n").labels == ("1", "2")


def test_columns_that_may_be_missing_are_left_out() -> None:
    read = parse(HEADER + "A,1,1")
    assert set(read.numbers) | set(read.texts) == {"part", "mass", "angle"}


def test_a_problem_of_a_value_shows_its_cell() -> None:
    read = parse(HEADER + '"A, b",-3,1\n')
    assert str(read.problem("mass", 0, "'-3'", "a mass above 0 kg")) == (
        "t.csv:2:8: mass: got '-3', want a mass above 0 kg\n    \"A, b\",-3,1\n           ^"
    )


@pytest.mark.parametrize(
    ("source", "place", "got", "want"),
    [
        ("part,mass [g]\nA,1", (1, 1, "table"), "no such column", "a column 'angle [rad]'"),
        ("mass [g],angle [deg]\n1,1", (1, 1, "table"), "no such column", "a column 'part'"),
        ("part,mas [g],angle [deg]\nA,1,1", (1, 6, "mas"), "unknown column 'mas'", "one of"),
        (HEADER[:-1] + ",zz\nA,1,1,1", (1, 27, "zz"), "unknown column 'zz'", "one of part,"),
        (HEADER[:-1] + ",\nA,1,1,1", (1, 27, "table"), "a column without a name", "one of"),
        ("part,mass [m],angle [deg]\nA,1,1", (1, 6, "mass"), "which is a length", "a mass"),
        ("part,mass [KG],angle [deg]\nA,1,1", (1, 6, "mass"), "not a known unit", "a mass"),
        (
            "part,mass,angle [deg]\nA,1,1",
            (1, 6, "mass"),
            "'mass' without a unit",
            "'mass [kg]'",
        ),
        (
            "part [g],mass [g],angle [deg]\nA,1,1",
            (1, 1, "part"),
            "'part [g]'",
            "column of words",
        ),
        (HEADER[:-1] + ",mass [kg]\nA,1,1,1", (1, 27, "mass"), "a second time", "once"),
        (HEADER + "A,1", (2, 3, "table"), "2 cells", "3, as in the header"),
        (HEADER + "A,1,1,1", (2, 7, "table"), "4 cells", "3, as in the header"),
        (HEADER + "# late,1", (2, 8, "table"), "2 cells", "3, as in the header"),
        (HEADER + "A,x,1", (2, 3, "mass"), "'x'", "a finite number without a unit"),
        (HEADER + "A,1 g,1", (2, 3, "mass"), "'1 g'", "a finite number without a unit"),
        (HEADER + "A,1,", (2, 5, "angle"), "a blank cell", "a finite number"),
        (HEADER + ",,", (2, 1, "part"), "a blank cell", "a word"),
        (HEADER + "A,nan,1", (2, 3, "mass"), "'nan'", "a finite number"),
        (HEADER + "A,inf,1", (2, 3, "mass"), "'inf'", "a finite number"),
        (HEADER + "A,1e999,1", (2, 3, "mass"), "'1e999'", "a finite number"),
        (HEADER + "A,1_0,1", (2, 3, "mass"), "'1_0'", "a finite number"),
        (HEADER + 'A,"1,5",1', (2, 3, "mass"), "'1,5'", "a finite number"),
        (HEADER + "A,1,1\nA,2,2", (3, 1, "part"), "(first on line 2)", "each once"),
        ("", (1, 1, "table"), "no header", "'name [unit]' cells"),
        ("# remark\n\n", (1, 1, "table"), "no header", "'name [unit]' cells"),
        (HEADER, (1, 1, "table"), "a header without rows", "one row or more"),
        ("part;mass [g]\nA;1", (1, 1, "table"), "separated by semicolons", "commas"),
        ("part\tmass [g]\nA\t1", (1, 1, "table"), "separated by tabs", "commas"),
        (HEADER + '"A\nB",1,1', (2, 1, "table"), "a cell over several lines", "one line"),
        (HEADER + '"A,1,1', (2, 1, "table"), "no CSV", "quotes in pairs"),
        (HEADER + 'B,1,1\n"A"x,1,1', (3, 1, "table"), "no CSV", "quotes in pairs"),
        (HEADER + "A\x00,1,1", (2, 1, "table"), "U+0000", "plain text"),
        ("," * 2000, (1, 1, "table"), "2001 columns", "at most 1000"),
    ],
)
def test_what_is_refused_and_where(
    source: str, place: tuple[int, int, str], got: str, want: str
) -> None:
    problem = problems_of(source, key="part")[0]
    assert (problem.line, problem.column, problem.where) == place
    assert got in problem.got
    assert want in problem.want


@pytest.mark.parametrize(
    ("header", "near"),
    [
        ("part,mas [g],angle [deg]", "mass"),
        ("part,mass [KG],angle [deg]", "kg"),
        ("part,mass [g],angle [deg],zz", None),
    ],
)
def test_a_mistyped_header_is_told_the_nearest_name(header: str, near: str | None) -> None:
    count = header.count(",") + 1
    assert problems_of(f"{header}\n{','.join('1' * count)}")[0].near == near


def test_every_mistake_is_told_at_once_in_order() -> None:
    source = "part,mass [m],angle [deg]\nA,1,1\nB,1\nC,x,1\n,1,1\nA,1,y\n"
    problems = problems_of(source, key="part")
    assert [problem.line for problem in problems] == [1, 3, 4, 5, 6, 6]


def test_a_mistyped_column_is_not_also_told_missing() -> None:
    assert len(problems_of("part,mas [g],angle [deg]\nA,1,1")) == 1


def test_no_more_problems_than_anybody_reads() -> None:
    assert len(problems_of(HEADER + "A,x,y\n" * 1000)) == MOST_PROBLEMS


def test_too_many_rows_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sheet, "MOST_ROWS", 3)
    assert len(parse(HEADER + "A,1,1\n" * 3).labels) == 3
    assert problems_of(HEADER + "A,1,1\n" * 4)[0].got == "4 rows"


@pytest.mark.parametrize(
    "source",
    [
        HEADER + "A," + "1" * 100_000 + "x,1",
        HEADER + "A," + "1" * 100_000 + ".,1",
        HEADER + "A" + " " * 100_000 + "x,[,1",
        "[" * 100_000,
        "a " * 60_000 + "]",
        '"' * 1_000_000,
        "," * 1_000_000,
        HEADER + '"' * 200_001 + ",1,1",
    ],
    ids=range(8),
)
def test_a_hostile_table_is_refused_in_short_time(source: str) -> None:
    start = time.process_time()
    assert problems_of(source)
    assert time.process_time() - start < 3.0  # 0.3 s when idle; a quadratic reader takes minutes


CSV_LIKE = st.text(alphabet='abm[]kg",;\n\r\t 01.-e#\x00é', max_size=60)


def refusal(source: str) -> StudyError | None:
    try:
        parse(source, key="part")
    except StudyError as error:
        return error
    return None


@given(st.one_of(CSV_LIKE, CSV_LIKE.map(lambda rest: HEADER + rest), st.text(max_size=60)))
def test_any_text_is_read_or_refused_with_a_place(source: str) -> None:
    error = refusal(source)
    if error is None:
        read = parse(source, key="part")
        assert all(len(column) == len(read.rows) for column in read.numbers.values())
        return
    assert error.problems
    for problem in error.problems:
        assert 1 <= (problem.line or 0) <= source.count("\n") + source.count("\r") + 1
        assert (problem.column or 0) >= 1


@given(st.lists(st.floats(-1e9, 1e9), min_size=1, max_size=20))
def test_numbers_written_in_full_come_back_exactly(values: list[float]) -> None:
    source = "mass [kg]\n" + "\n".join(map(repr, values))
    read = table.parse_table(source, {"mass": "kg"}, file="t.csv")
    assert read.numbers["mass"].tolist() == values


def read_table(path: Path) -> table.Table:
    """Read a table the way the files of a study are read."""
    content = load_text(path, largest=table.LARGEST_TABLE, want="a table")
    return table.parse_table(content, COLUMNS, file=str(path), optional=OPTIONAL, key="part")


def test_a_table_is_read_from_its_file(tmp_path: Path) -> None:
    path = tmp_path / "parts.csv"
    path.write_bytes(b"\xef\xbb\xbf" + (HEADER + "A,1,1\r\n").encode())
    read = read_table(path)
    assert (read.sheet.file, read.labels) == (str(path), ("A",))


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"part,mass [g]\n\xff,1", "no UTF-8 text on line 2, want a table saved as UTF-8"),
        (b"x" * 5_000_001, "got 5000001 bytes, want a table of at most 5000000 bytes"),
    ],
    ids=["not UTF-8", "too large"],
)
def test_a_file_of_other_content_is_refused(tmp_path: Path, content: bytes, message: str) -> None:
    path = tmp_path / "parts.csv"
    path.write_bytes(content)
    with pytest.raises(StudyError, match=message):
        read_table(path)


def stride(phases: list[float], unit: str = "1") -> table.Table:
    source = f"# invented\nphase [{unit}]\n" + "\n".join(map(repr, phases))
    return table.parse_table(source, {"phase": "1"}, file="brisk.csv")


@pytest.mark.parametrize("count", [20, 21, 50, 200])
def test_evenly_spaced_phases_are_good(count: int) -> None:
    assert table.check_phase(stride([i / count for i in range(count)]), "phase") == ()


def test_phases_in_percent_are_good() -> None:
    assert table.check_phase(stride([4.0 * i for i in range(25)], "%"), "phase") == ()


EVEN = [i / 40.0 for i in range(40)]


@pytest.mark.parametrize(
    ("phases", "line", "got", "want"),
    [
        ([*EVEN[:5], EVEN[6], EVEN[5], *EVEN[7:]], 9, "0.125 after 0.15", "rise from row to row"),
        ([*EVEN[:5], EVEN[4], *EVEN[6:]], 8, "0.1 after 0.1", "rise from row to row"),
        ([*EVEN, 1.0], 43, "1", "up to but not 1"),
        ([-0.025, *EVEN], 3, "-0.025", "a phase from 0"),
        (EVEN[::4], 3, "10 rows", "at least 20 a stride"),
        ([*EVEN[:7], *EVEN[10:]], 9, "a gap of 10.0% after 0.15", "at most 5% of the stride"),
        (EVEN[:-2], 40, "a gap of 7.5% after 0.925", "at most 5% of the stride"),
        (EVEN[3:], 39, "a gap of 10.0% after 0.975", "at most 5% of the stride"),
    ],
)
def test_a_bad_phase_is_told_with_its_line(
    phases: list[float], line: int, got: str, want: str
) -> None:
    problem = table.check_phase(stride(phases), "phase")[0]
    assert (problem.line, problem.got, problem.where) == (line, got, "phase")
    assert want in problem.want


def angles(unit: str, *values: float, name: str = "knee") -> tuple[Problem, ...]:
    source = f"{name} [{unit}],note\n" + "\n".join(f"{value},x" for value in values)
    read = table.parse_table(source, {name: "rad", "note": "text"}, file="brisk.csv")
    return table.check_angles(read)


def test_degrees_in_a_column_of_radians_are_noticed() -> None:
    (problem,) = angles("rad", 5.0, -62.0, 20.0)
    assert (problem.line, problem.where) == (3, "knee")
    assert problem.got == "-62 rad, which looks like degrees in a column that says rad"
    assert "'knee [deg]'" in problem.want


@pytest.mark.parametrize(("unit", "value"), [("rad", 2.5), ("rad", -1.1), ("deg", -62.0)])
def test_angles_that_a_leg_can_have_are_good(unit: str, value: float) -> None:
    assert angles(unit, value) == ()


@pytest.mark.parametrize("name", ["hip_roll_angle", "ankle_roll_angle", "hip_yaw_angle"])
def test_a_few_degrees_of_a_narrow_joint_are_noticed_too(name: str) -> None:
    (problem,) = angles("rad", 0.5, -3.0, name=name)
    assert problem.got.startswith("-3 rad, which looks like degrees")
    assert angles("rad", 0.5, -1.0, name=name) == ()
