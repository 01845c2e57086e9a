"""Study files in: every problem of a file is found before the first one is told."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files as package_files
from pathlib import Path
from typing import Any

import numpy as np
from pydantic import ValidationError
from scipy.interpolate import CubicSpline

from tradeopt.arrays import Array
from tradeopt.chain.kind import Column, Kind, Recording
from tradeopt.errors import Problem, StudyError, near
from tradeopt.quantities import PHASES
from tradeopt.stages.registry import known_kinds
from tradeopt.study.checks import (
    Reading,
    check_entries,
    read_limits,
    read_objectives,
    read_variables,
)
from tradeopt.study.compiled import CompiledStudy, Value
from tradeopt.study.fields import REFUSED, spoken
from tradeopt.study.layout import layout_of, value_at
from tradeopt.study.model import Search, model_of, tables_of
from tradeopt.study.study import Study
from tradeopt.study.table import (
    LARGEST_TABLE,
    TEXT,
    Table,
    check_angles,
    check_bounds,
    check_phase,
    parse_table,
)
from tradeopt.study.text import LARGEST_FILE, load_text, read

PHASE = "phase"
EXAMPLES = "tradeopt.examples"


def load(source: str | Path) -> Study:
    """
    Read a study from a file, or one of the examples by its name.

    Parameters
    ----------
    source : str or Path
        Path of a study file, or the name of a shipped example.

    Returns
    -------
    Study
        Ready to evaluate and search.

    Raises
    ------
    StudyError
        With every problem of the file and of the files it names.

    Examples
    --------
    >>> load("levee_rounds").name
    'levee-rounds'
    """
    path = _path_of(source)
    text = load_text(path, largest=LARGEST_FILE, want="a study file")
    return loads(text, file=str(source), folder=path.parent)


def loads(
    text: str,
    files: Mapping[str, str] | None = None,
    *,
    file: str = "study",
    folder: Path | None = None,
) -> Study:
    """
    Read a study from its text.

    Parameters
    ----------
    text : str
        The study file.
    files : mapping of str to str, optional
        Content of the files that it names: recorded strides and tables of parts.
    file : str
        What to call it in messages.
    folder : Path, optional
        Where to look for those that are not in `files`; without it none are looked for.

    Returns
    -------
    Study
        Ready to evaluate and search.

    Raises
    ------
    StudyError
        With every problem.
    """
    document = read(text, file=file)
    kinds = known_kinds()
    layout = layout_of(document.data, kinds)
    given = _Files(dict(files or {}), folder)
    reading = Reading(document, layout, {})
    tables = _tables(reading, kinds, given)
    labels = {name: table.labels for name, table in tables.items()}
    reading.rows = {**labels, **layout.entries}
    search, dumped = _checked(reading, kinds)
    variables = read_variables(reading)
    objectives = read_objectives(reading)
    limits = read_limits(reading)
    check_entries(reading)
    recordings = _recordings(reading, given)
    if reading.problems or search is None:
        raise StudyError(tuple(sorted(reading.problems, key=_place)))
    leaves = {path: value_at(dumped, path) for path in layout.leaves}
    values = {path: value for path, value in leaves.items() if isinstance(value, Value)}
    compiled = CompiledStudy(layout, values, tables, recordings, variables, objectives, limits)
    _ = compiled.chain  # stages that do not fit together are reported before anything runs
    return Study(
        name=dumped["name"],
        note=dumped["note"],
        text=text,
        files=given.used,
        search=search,
        problem=compiled,
    )


@cache
def _part_table(name: str, columns: tuple[Column, ...]) -> Table:
    path = package_files("tradeopt.data") / f"{name}.csv"
    return _parts(path.read_text(encoding="utf-8"), columns, f"{name}.csv")


def _parts(content: str, columns: tuple[Column, ...], file: str) -> Table:
    wanted = {column.name: column.unit for column in columns}
    text_columns = {"name": TEXT, "source": TEXT}
    table = parse_table(content, text_columns | wanted, file=file, key="name")
    problems = check_bounds(table, columns)
    if problems:
        raise StudyError(problems)
    return table


def _tables(reading: Reading, kinds: Mapping[str, Kind], given: "_Files") -> dict[str, Table]:
    """Return the shipped tables of parts, or the study's own in their place.

    One that cannot be read is left out, so that its rows are not missed as well.
    """
    tables = part_tables(kinds)
    for name, columns in tables_of(kinds).items():
        path = f"tables.{name}"
        file = value_at(reading.document.data, path)
        if isinstance(file, str):
            try:
                content = given.content(reading, path, file, "a table of parts")
                tables[name] = _parts(content, columns, file)
            except StudyError as error:
                reading.problems.extend(error.problems)
                del tables[name]
    return tables


def part_tables(kinds: Mapping[str, Kind]) -> dict[str, Table]:
    """Return the shipped tables of parts that some kind picks rows from."""
    return {name: _part_table(name, columns) for name, columns in tables_of(kinds).items()}


def examples() -> tuple[str, ...]:
    """Return the names of the shipped studies."""
    folder = package_files(EXAMPLES)
    return tuple(
        sorted(item.name[:-5] for item in folder.iterdir() if item.name.endswith(".yaml"))
    )


def _path_of(source: str | Path) -> Path:
    path = Path(source)
    if path.exists() or path.suffix:
        return path
    if str(source) in examples():
        return Path(str(package_files(EXAMPLES) / f"{source}.yaml"))
    want = f"a study file, or an example: {', '.join(examples())}"
    nearest = near(str(source), examples())
    raise StudyError((Problem("STUDY", f"no file {str(source)!r}", want, nearest),))


def _checked(reading: Reading, kinds: Mapping[str, Kind]) -> tuple[Search | None, dict[str, Any]]:
    """Hold the file against its model; return what it says of the search, and all of it in SI."""
    model = model_of(reading.layout, kinds, reading.rows)
    try:
        checked = model.model_validate(reading.document.data)
    except ValidationError as error:
        for one in error.errors(include_url=False):
            _report(reading, one, model)
        return None, {}
    parts = {field.alias: getattr(checked, name) for name, field in model.model_fields.items()}
    return parts["search"], checked.model_dump(by_alias=True)


def _report(reading: Reading, error: Mapping[str, Any], model: Any) -> None:  # noqa: ANN401
    path = tuple(part for part in error["loc"] if part != "[key]")
    context = error.get("ctx", {})
    match error["type"]:
        case t if t == REFUSED:
            reading.report(path, context["got"], context["want"], near=context["near"])
        case "missing":
            reading.report(path, "nothing", f"a value for {path[-1]!r}")
        case "extra_forbidden":
            known = _known_names(model, path[:-1])
            want = f"one of: {', '.join(known)}"
            got = f"{path[-1]!r}, which is not known here"
            reading.report(path, got, want, near=near(str(path[-1]), known), key=True)
        case _:
            message = str(error["msg"])
            reading.report(path, spoken(error["input"]), message[0].lower() + message[1:])


def _known_names(model: Any, path: tuple[str | int, ...]) -> tuple[str, ...]:  # noqa: ANN401
    """Walk the model down to a table and return the names it knows."""
    for name in path:
        fields = {field.alias: field for field in model.model_fields.values()}
        model = fields[name].annotation if name in fields else model
    return tuple(field.alias for field in getattr(model, "model_fields", {}).values())


@dataclass
class _Files:
    """The files that a study names: given with it, or beside it in its folder.

    Attributes
    ----------
    known : dict
        Content by name.
    folder : Path or None
        Where to look for others.
    used : dict
        Those that the study does name.
    """

    known: dict[str, str]
    folder: Path | None
    used: dict[str, str] = field(default_factory=dict)

    def content(self, reading: Reading, path: str, name: str, want: str) -> str:
        """Return the content of a file that the study names at a path."""
        if name not in self.known:
            if self.folder is None or Path(name).name != name:
                at = tuple(path.split("."))
                beside = "the name of a CSV file beside the study file"
                raise StudyError((reading.document.problem(at, repr(name), beside),))
            self.known[name] = load_text(self.folder / name, largest=LARGEST_TABLE, want=want)
        self.used[name] = self.known[name]
        return self.known[name]


def _recordings(reading: Reading, given: _Files) -> dict[str, dict[str, Array]]:
    """Read every recorded stride that the study names; their problems bear their own file."""
    found: dict[str, dict[str, Array]] = {}
    for path, leaf in reading.layout.leaves.items():
        name = value_at(reading.document.data, path)
        if isinstance(leaf, Recording) and isinstance(name, str):
            try:
                content = given.content(reading, path, name, "a recorded stride")
                found[path] = _stride(content, leaf, name)
            except StudyError as error:
                reading.problems.extend(error.problems)
    return found


def _stride(content: str, leaf: Recording, file: str) -> dict[str, Array]:
    wanted = {PHASE: "1"} | {column.name: column.unit for column in leaf.columns}
    table = parse_table(content, wanted, file=file)
    problems = (*check_phase(table, PHASE), *check_angles(table))
    if problems:
        raise StudyError(problems)
    phase = table.numbers[PHASE]
    once_round = np.append(phase, phase[0] + 1.0)
    places = np.arange(PHASES) / PHASES
    found: dict[str, Array] = {}
    for column in leaf.columns:
        samples = table.numbers[column.name]
        curve = CubicSpline(once_round, np.append(samples, samples[0]), bc_type="periodic")
        found[column.name] = curve(places)
    return found


def _place(problem: Problem) -> tuple[str, int, int]:
    return (problem.file or "", problem.line or 0, problem.column or 0)
