"""The shipped example with something changed in it, for tests of what a study may say.

A new text may hold the mark `§`: it is taken out, and its places are where problems are expected.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files
from typing import Any, TypeAlias

from tradeopt.errors import Problem, StudyError
from tradeopt.study.read import loads
from tradeopt.study.study import Study
from tradeopt.study.text import read

FILE = "levee.yaml"
STRIDE = "levee_brisk.csv"
EXAMPLE = (files("tradeopt.examples") / "levee_rounds.yaml").read_text(encoding="utf-8")
CSV = (files("tradeopt.examples") / STRIDE).read_text(encoding="utf-8")

MARK = "§"

Case: TypeAlias = tuple[str, str, tuple[str, str, str, str | None]]
"""Name of a mistake, the study with it, and how it is told: where, got, want, near.

A `want` that ends with three dots goes on.
"""
_PLAIN = re.compile(r"(?:(?! #)[^,}\]\n])*")


def edited(path: str, new: str, source: str = EXAMPLE, *, key: bool = False) -> str:
    """Put a new text in place of the value at a path, or of its name with `key`."""
    start = _start(path, source, key=key)
    return source[:start] + new + source[start + _length(source[start:], key=key) :]


def dropped(path: str, source: str) -> str:
    """Leave out a name with its value, one that is not the first in braces."""
    name, value = (_start(path, source, key=key) for key in (True, False))
    end = value + _length(source[value:], key=False)
    return source[:name].rstrip(", ") + source[end:]


def settled(source: str = EXAMPLE) -> str:
    """Search nothing: leave out the variables, and the parameters of kinds they would choose."""
    source = without("variables", source) + "variables: {}\n"
    while True:
        try:
            study_of(source)
        except StudyError as error:
            source = dropped(error.problems[0].where, source)
        else:
            return source


def _start(path: str, source: str, *, key: bool) -> int:
    bare = source.replace(MARK, "")
    document = read(bare, file=FILE)
    line, column = document.place(_parts(path, document.data), key=key)
    start = sum(len(text) + 1 for text in bare.split("\n")[: line - 1]) + column - 1
    for place, sign in enumerate(source):  # marks before the place move it
        if place >= start:
            break
        start += sign == MARK
    return start


def _parts(path: str, data: Mapping[str, Any]) -> tuple[str | int, ...]:
    """Split a path; what stands under variables or limits has dots in its name."""
    first, _, rest = path.partition(".")
    if first not in ("variables", "limits") or not rest:
        return tuple(path.split("."))
    name = next(name for name in data[first] if f"{rest}.".startswith(f"{name}."))
    return (first, name, *filter(None, rest.removeprefix(name).split(".")))


def _length(text: str, *, key: bool) -> int:
    if key:
        return text.index(":")
    if text[0] in "{[":
        depth = 0
        for place, sign in enumerate(text):
            depth += (sign in "{[") - (sign in "}]")
            if depth == 0:
                return place + 1
    if text[0] in "'\"":
        return text.index(text[0], 1) + 1
    match = _PLAIN.match(text)
    assert match is not None
    return len(match[0].rstrip())


def without(section: str, source: str = EXAMPLE, *, depth: int = 0) -> str:
    """Leave out a block of lines: a name at some depth with all that stands under it."""
    indent = " " * depth
    block = re.compile(rf"^{indent}{section}:.*\n(?:{indent} .*\n|\n)*", re.MULTILINE)
    shorter, count = block.subn("", source)
    assert count == 1, section
    return shorter


def added(path: str, line: str) -> str:
    """Add a line to the example below the last value of a block."""
    lines = edited(path, "@@").split("\n")
    number = next(number for number, text in enumerate(lines, 1) if "@@" in text)
    whole = EXAMPLE.split("\n")
    return "\n".join([*whole[:number], line, *whole[number:]])


@dataclass(frozen=True)
class Marked:
    """A text without its marks, and where they stood: line and column, from 1."""

    text: str
    places: list[tuple[int, int]]


def marked(text: str) -> Marked:
    places = []
    for number, line in enumerate(text.split("\n"), 1):
        found = [match.start() for match in re.finditer(MARK, line)]
        places += [(number, start - before + 1) for before, start in enumerate(found)]
    return Marked(text.replace(MARK, ""), places)


def study_of(text: str, csv: str = CSV) -> Study:
    return loads(text, {STRIDE: csv}, file=FILE)


def problems_of(text: str, files_given: Mapping[str, str] | None = None) -> tuple[Problem, ...]:
    """Return what is wrong with a study, and fail where nothing is."""
    try:
        loads(text, {STRIDE: CSV} if files_given is None else files_given, file=FILE)
    except StudyError as error:
        return error.problems
    raise AssertionError("the study was read without a problem")
