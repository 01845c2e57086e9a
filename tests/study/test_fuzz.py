"""Whatever stands in a study file, it is read or refused with places; nothing else happens."""

import time
from copy import deepcopy
from typing import Any

import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.study.edits import CSV, EXAMPLE, FILE, STRIDE
from tradeopt.errors import StudyError
from tradeopt.study.read import loads
from tradeopt.study.study import Study
from tradeopt.study.text import read

DATA = read(EXAMPLE, file=FILE).data


def paths(value: object, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    inside: list[tuple[Any, ...]] = [path] if path else []
    steps = value.items() if isinstance(value, dict) else ()
    return inside + [one for name, part in steps for one in paths(part, (*path, name))]


PATHS = paths(DATA)
NAMES = sorted({path[-1] for path in PATHS})
SCALARS = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(10**20), 10**20),
    st.floats(),
    st.text(max_size=20),
    st.sampled_from(NAMES),
    st.sampled_from(
        ["none", "fan", "two_way", "recorded", "stand", "limb", "log", "1e308 m", "-0 kg", "1 mm"]
    ),
    st.builds(
        "{} {}".format,
        st.sampled_from(["0", "-1", "1e-300", "1e300", "400", ".5", "7"]),
        st.sampled_from(["m", "mm", "kg", "s", "min", "%", "rad", "N*m/rad", "m/s", "K", "degC"]),
    ),
)
VALUES = st.one_of(
    SCALARS,
    st.lists(SCALARS, max_size=3),
    st.dictionaries(st.sampled_from(NAMES) | st.text(max_size=8), SCALARS, max_size=3),
)
CHANGES = st.lists(
    st.tuples(
        st.sampled_from(("replace", "insert", "delete")),
        st.sampled_from(PATHS),
        st.sampled_from(NAMES) | st.text(max_size=8),
        VALUES,
    ),
    min_size=1,
    max_size=4,
)


def changed(changes: list[tuple[str, tuple[Any, ...], str, object]]) -> str:
    data = deepcopy(DATA)
    for what, path, name, value in changes:
        *branches, last = path
        table: Any = data
        for branch in branches:
            table = table.get(branch) if isinstance(table, dict) else None
        if isinstance(table, dict):
            if what == "delete":
                table.pop(last, None)
            else:
                table[last if what == "replace" else name] = value
    return str(yaml.safe_dump(data, sort_keys=False, allow_unicode=True, width=1000))


def outcome(text: str) -> Study | StudyError:
    start = time.process_time()
    try:
        return loads(text, {STRIDE: CSV}, file=FILE)
    except StudyError as error:
        return error
    finally:
        assert time.process_time() - start < 2.0


@given(CHANGES)
@settings(max_examples=120, deadline=None, derandomize=True)
def test_a_changed_study_is_read_or_refused_with_places(
    changes: list[tuple[str, tuple[Any, ...], str, object]],
) -> None:
    text = changed(changes)
    found = outcome(text)
    if isinstance(found, StudyError):
        assert found.problems
        lines = text.split("\n")
        for problem in found.problems:
            assert problem.got
            assert problem.want
            assert problem.line is not None
            assert problem.column is not None
            if problem.file == FILE:
                assert 1 <= problem.line <= len(lines)
                assert 1 <= problem.column <= len(lines[problem.line - 1]) + 1
        places = [(one.file != FILE, one.line, one.column) for one in found.problems]
        assert places == sorted(places)
