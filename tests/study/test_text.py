"""The study file as text: values with places, and everything that is refused."""

import json
import os
import re
import time
from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from tradeopt.errors import Problem, StudyError
from tradeopt.study import text, yaml_reader
from tradeopt.study.place import MOST_PROBLEMS, dotted, shown

STUDY = """\
# A robot for the levee
name: levee-rounds
robot:
  frame: {thigh: 400 mm, shank: 400 mm}
  air: no
objectives:
  - range
  - größe: 3
"""


def problems_of(source: str) -> tuple[Problem, ...]:
    with pytest.raises(StudyError, match=r"s\.yaml:\d+:\d+: ") as caught:
        text.read(source, file="s.yaml")
    return caught.value.problems


def test_values_come_as_plain_data() -> None:
    assert text.read(STUDY, file="s.yaml").data == {
        "name": "levee-rounds",
        "robot": {"frame": {"thigh": "400 mm", "shank": "400 mm"}, "air": "no"},
        "objectives": ["range", {"größe": 3}],
    }


@pytest.mark.parametrize(
    ("path", "key", "place"),
    [
        (("name",), False, (2, 7)),
        (("name",), True, (2, 1)),
        (("robot", "frame", "shank"), False, (4, 33)),
        (("robot", "frame", "shank"), True, (4, 26)),
        (("objectives", 1), False, (8, 5)),
        (("objectives", 1, "größe"), False, (8, 12)),
        # What is not there is looked for where it should be: at the name of its group.
        (("robot", "frame", "foot"), False, (4, 3)),
        (("robot", "frame", "foot", "length"), True, (4, 3)),
        (("objectives", 7), False, (6, 1)),
        (("battery",), False, (2, 1)),
        (("battery",), True, (2, 1)),
        ((), False, (2, 1)),
    ],
)
def test_every_value_and_name_knows_its_place(
    path: tuple[str | int, ...], key: bool, place: tuple[int, int]
) -> None:
    assert text.read(STUDY, file="s.yaml").place(path, key=key) == place


def test_a_problem_shows_the_line_with_a_caret() -> None:
    document = text.read(STUDY, file="s.yaml")
    problem = document.problem(("robot", "frame", "shank"), "'6 kg'", "a length", "m")
    assert str(problem) == (
        "s.yaml:4:33: robot.frame.shank: got '6 kg', want a length (near: 'm')\n"
        "      frame: {thigh: 400 mm, shank: 400 mm}\n"
        "                                    ^"
    )


@pytest.mark.parametrize(
    ("source", "value"),
    [
        ("7", 7),
        ("-0", 0),
        ("+12", 12),
        ("0.5", 0.5),
        (".5", 0.5),
        ("1.", 1.0),
        ("1e3", 1000.0),
        ("-1.5E-2", -0.015),
        ("true", True),
        ("False", False),
        ("null", None),
        ("~", None),
        ("", None),
        # Text, where older YAML and hasty readers see something else.
        ("no", "no"),
        ("yes", "yes"),
        ("on", "on"),
        ("010", "010"),
        ("-01", "-01"),
        ("0x10", "0x10"),
        ("0o7", "0o7"),
        ("1_000", "1_000"),
        ("12:30:00", "12:30:00"),
        ("2026-11-25", "2026-11-25"),
        (".inf", ".inf"),
        (".nan", ".nan"),
        ("nan", "nan"),
        ("1e999", "1e999"),
        ("9" * 19, 1e19),
        ("9" * 5000, "9" * 5000),
        ("'7'", "7"),
        ('"true"', "true"),
        ("'~'", "~"),
        ("|\n  7\n", "7\n"),
        ("400 mm", "400 mm"),
    ],
)
def test_a_scalar_is_a_number_only_where_nobody_doubts_it(source: str, value: object) -> None:
    read = text.read(f"value: {source}", file="s.yaml").data["value"]
    assert (read, type(read)) == (value, type(value))


@pytest.mark.parametrize(
    ("source", "place", "got", "want"),
    [
        ("", (1, 1, "study"), "an empty file", "names with values"),
        ("# only\n", (1, 1, "study"), "an empty file", "names with values"),
        ("--- ~", (1, 5, "study"), "an empty file", "names with values"),
        ("- 1", (1, 1, "study"), "a list", "names with values"),
        ("hello", (1, 1, "study"), "only 'hello'", "names with values"),
        ("a: 1\na: 2", (2, 1, "a"), "'a' a second time (first on line 1)", "each name once"),
        ("a: {b: 1,\n b: 2}", (2, 2, "a.b"), "(first on line 1)", "each name once"),
        ("- b: 1\n  b: 2", (2, 3, "0.b"), "(first on line 1)", "each name once"),
        ("a: &x 1", (1, 4, "a"), "the anchor '&x'", "the value alone"),
        ("a: &x {b: 1}", (1, 4, "a"), "the anchor '&x'", "the value alone"),
        ("a: *x", (1, 4, "a"), "the reference '*x'", "the value itself"),
        ("*x : 1", (1, 1, "study"), "the reference '*x'", "the value itself"),
        ("a: !!python/object:os.system x", (1, 4, "a"), "python/object:os.system", "value alone"),
        ("a: !!str 5", (1, 4, "a"), "the tag", "the value alone"),
        ("a: !mine {}", (1, 4, "a"), "the tag '!mine'", "the value alone"),
        ("a: 1\n---\nb: 2", (2, 1, "study"), "a second document", "one study a file"),
        ("7: x", (1, 1, "study"), "7 as a name", "quotes around it"),
        ("true: x", (1, 1, "study"), "True as a name", "quotes around it"),
        ("~: x", (1, 1, "study"), "no name", "quotes around it"),
        ("? [a]\n: x", (1, 3, "study"), "a list or group as a name", "a name of letters"),
        ("a:\n\tb: 1", (2, 1, "indentation"), "a tab", "spaces"),
        ("a\x00: 1", (1, 2, "study"), "the unprintable character U+0000", "plain text"),
        ("a: \x1b[31m", (1, 4, "study"), "the unprintable character U+001B", "plain text"),
        ("a: \ud800", (1, 4, "study"), "the unprintable character U+D800", "plain text"),
        ("a: x\u2028b: 1", (1, 5, "study"), "the unprintable character U+2028", "plain text"),
        ("a: b: c", (1, 5, "study"), "a ':' that does not fit", "one 'name: value' a line"),
        ("a: 1\n b: 2", (2, 3, "study"), "a ':' that does not fit", "indented like"),
        ("a: 1\n\nb", (3, 1, "study"), "a line without ':'", "'name: value'"),
        ("a:\n  b: 1\n c: 2", (3, 2, "study"), "does not fit the ones above", "same indentation"),
        ("- a\nb: 2", (2, 1, "1"), "does not fit the list above", "'- ' before each entry"),
        ("a: [1,\nb: 3", (1, 4, "a"), "a list that is not closed", "']' at the end"),
        ("a: {b: 1", (1, 4, "a"), "a group that is not closed", "'}' at the end"),
        ("a: 'x\n", (1, 4, "a"), "a text that is not closed", "a quote at its end"),
        ("a: @x", (1, 4, "a"), "cannot start a value", "quotes around text"),
        ("a: ]", (1, 4, "a"), "out of place", "a value"),
        ("{a: 1}}", (1, 7, "study"), "more text after the end", "one group"),
        ('a: "\\q"', (1, 5, "a"), "a backslash", "single quotes"),
        ("%FOO\n---\na: 1", (1, 5, "study"), "text that is not YAML", "names with values"),
    ],
)
def test_what_is_refused_and_where(
    source: str, place: tuple[int, int, str], got: str, want: str
) -> None:
    problem = problems_of(source)[0]
    assert (problem.line, problem.column, problem.where) == place
    assert got in problem.got
    assert want in problem.want
    assert problem.file == "s.yaml"


def test_every_problem_of_the_text_is_told_at_once_in_order() -> None:
    source = "a: &x 1\nb: *x\nc: !t 1\na: 2\n7: 1\nd: {e: 1, e: 2}\nf: [1"
    assert [problem.line for problem in problems_of(source)] == [1, 2, 3, 4, 5, 6, 7]


def test_a_message_never_carries_control_characters() -> None:
    with pytest.raises(StudyError, match="U\\+001B") as caught:
        text.read('"\x1b[31m": 1', file="s.yaml")
    assert "\x1b" not in str(caught.value)
    with pytest.raises(StudyError, match="a second time") as caught:
        text.read('"\\e[31m": 1\n"\\e[31m": 2', file="s.yaml")
    assert "\x1b" not in str(caught.value)


def test_long_names_are_cut_in_messages() -> None:
    assert shown("x" * 500) == "x" * 60 + "..."
    assert dotted(("a", 0, "b\n")) == r"a.0.b\n"


@pytest.mark.parametrize(
    ("source", "got"),
    [
        ("[" * 100_000, "too deep|inside one another"),
        ("a: " + "{a: " * 60_000, "inside one another"),
        ("- " * 100_000, "inside one another"),
        ("? " * 100_000, "as a name"),
        ("a: [" + "1," * 120_000 + "]", "too many values"),
        ("a: 1\n" * 40_000, "a second time"),
        ("&a " * 80_000, "the anchor"),
        ("x" * 250_000, "only 'x"),
        ("a" + ":" * 250_000, "':' that does not fit"),
        ("\t" * 250_000 + "x", "a tab"),
        ("\n" * 250_000, "an empty file"),
        ("#" * 250_000, "an empty file"),
        ("x" * 300_000, "300000 characters"),
        ("x" * 50_000_000, "50000000 characters"),
        ("\0" * 250_000, "unprintable"),
        ("a: &a [x, x]\n" + "".join(f"b{i}: &b{i} [*a, *a, *a]\n" for i in range(50)), "anchor"),
    ],
    ids=lambda value: repr(value[:12]),
)
def test_a_hostile_text_is_refused_in_short_time(source: str, got: str) -> None:
    start = time.process_time()
    problems = problems_of(source)
    elapsed = time.process_time() - start
    assert re.search(got, problems[0].got)
    assert len(problems) <= MOST_PROBLEMS
    assert elapsed < 3.0  # 0.3 s at most on an idle machine; a quadratic reader takes minutes


def test_depth_counts_to_its_limit_exactly() -> None:
    def nested(levels: int) -> str:
        return "a: " + "[" * (levels - 1) + "]" * (levels - 1)

    assert text.read(nested(yaml_reader.DEEPEST), file="s.yaml").data
    assert "inside one another" in problems_of(nested(yaml_reader.DEEPEST + 1))[0].got


def test_a_byte_order_mark_and_other_line_ends_are_fine() -> None:
    document = text.read("\ufeffa: 1\r\nb: 2\rc: 3\n", file="s.yaml")
    assert document.data == {"a": 1, "b": 2, "c": 3}
    assert document.place(("c",)) == (3, 4)
    assert document.lines[1] == "b: 2"


def test_the_reader_without_the_compiled_parser_agrees(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(yaml_reader, "_LOADER", yaml.SafeLoader)
    document = text.read(STUDY, file="s.yaml")
    assert document.data["robot"]["air"] == "no"
    assert document.place(("objectives", 1, "größe")) == (8, 12)
    assert "inside one another" in problems_of("[" * 1000)[0].got


@pytest.mark.parametrize("loader", [yaml_reader._LOADER, yaml.SafeLoader])
def test_a_value_left_out_is_at_the_end_of_the_text(
    monkeypatch: pytest.MonkeyPatch, loader: type
) -> None:
    monkeypatch.setattr(yaml_reader, "_LOADER", loader)
    document = text.read("? A", file="s.yaml")
    assert document.data == {"A": None}
    assert (document.place(("A",)), document.place(("A",), key=True)) == ((1, 4), (1, 3))


def refusal(source: str) -> StudyError | None:
    try:
        text.read(source, file="s.yaml")
    except StudyError as error:
        return error
    return None


YAML_LIKE = st.text(alphabet="ab:-?[]{},&*!|>'\"%@`# \t\n\r~1.0\\<é\u2028\x85", max_size=80)


@given(st.one_of(st.text(max_size=200), YAML_LIKE))
def test_any_text_is_read_or_refused_with_a_place(source: str) -> None:
    error = refusal(source)
    if error is None:
        assert_places_in_range(text.read(source, file="s.yaml"))
        return
    assert error.problems
    assert str(error).encode()
    for problem in error.problems:
        assert 1 <= (problem.line or 0) <= len(re.split(r"\r\n|\r|\n", source))
        assert (problem.column or 0) >= 1


def assert_places_in_range(document: text.Document) -> None:
    for path in [*document.values, *document.names, ("nowhere", 3)]:
        line, column = document.place(path)
        assert 1 <= line <= len(document.lines)
        assert 1 <= column <= len(document.lines[line - 1]) + 1


PLAIN = st.recursive(
    st.one_of(
        st.none(), st.booleans(), st.integers(-(10**17), 10**17), st.text("abc é", max_size=8)
    ),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text("xyz", min_size=1), inner),
    max_leaves=12,
)


@given(st.dictionaries(st.text("xyz", min_size=1, max_size=5), PLAIN, min_size=1, max_size=5))
def test_json_means_the_same_as_to_a_json_reader(data: dict[str, object]) -> None:
    """Twin: JSON is YAML 1.2, so the standard library's writer is our oracle."""
    source = json.dumps(data, ensure_ascii=False)
    assert text.read(source, file="s.yaml").data == data


def read_file(path: Path) -> text.Document:
    """Read a study file the way a study is loaded."""
    source = text.load_text(path, largest=text.LARGEST_FILE, want="a study file")
    return text.read(source, file=str(path))


def test_a_file_is_read_under_its_own_name(tmp_path: Path) -> None:
    path = tmp_path / "study.yaml"
    path.write_bytes(b"\xef\xbb\xbfname: a\n")
    document = read_file(path)
    assert (document.data, document.file) == ({"name": "a"}, str(path))


def test_a_huge_file_is_refused_without_being_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "huge.yaml"
    with path.open("wb") as stream:
        stream.truncate(50_000_000)

    def refuse(*_: object) -> None:
        pytest.fail("the file was opened")

    monkeypatch.setattr(Path, "open", refuse)
    with pytest.raises(
        StudyError, match="got 50000000 bytes, want a study file of at most 262144"
    ):
        read_file(path)


def test_a_file_that_grows_while_it_is_read_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "growing.csv"
    path.write_text("x" * 20)
    monkeypatch.setattr(text, "_size", lambda *_: 5)
    with pytest.raises(StudyError, match="a file that is growing, want a table of at most 10"):
        text.load_text(path, largest=10, want="a table")


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"a: 1\nb: \xff\n", "no UTF-8 text on line 2, want a study file saved as UTF-8"),
        ("name: x".encode("utf-16"), "no UTF-8 text on line 1"),
        (b"", "an empty file"),
        (b"a: \x00", r"U\+0000"),
    ],
)
def test_a_file_of_other_content_is_refused(tmp_path: Path, content: bytes, message: str) -> None:
    path = tmp_path / "study.yaml"
    path.write_bytes(content)
    with pytest.raises(StudyError, match=message):
        read_file(path)


def test_what_is_no_file_is_refused(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    for path, message in [
        (tmp_path, "got a directory, want a study file"),
        (tmp_path / "none.yaml", "got no file of that name"),
        (pipe, "got a device or pipe"),
        (Path("a\0b"), "cannot be read|no file of that name"),
        (tmp_path / ("x" * 300), "cannot be read"),
    ]:
        with pytest.raises(StudyError, match=message):
            read_file(path)


def test_a_file_without_permission_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "secret.yaml"
    path.write_text("a: 1")

    def deny(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", deny)
    with pytest.raises(StudyError, match=r"cannot be read \(Permission denied\)"):
        read_file(path)


@pytest.mark.parametrize(
    ("name", "nearest"),
    [
        ("totl_mass", "total_mass"),
        ("RANGE", "range"),
        ("colour", None),
        ("x" * 100_000, None),
        ("", None),
    ],
)
def test_the_nearest_known_name(name: str, nearest: str | None) -> None:
    assert text.near(name, ["range", "total_mass", "endurance"]) == nearest
