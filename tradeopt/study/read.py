"""Study files in: every problem of a file is found before the first one is told."""

from collections.abc import Mapping
from functools import cache
from importlib.resources import files as package_files
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from tradeopt.arrays import Array
from tradeopt.chain.kind import Column, File, Kind, Row
from tradeopt.errors import Problem, StudyError, near
from tradeopt.stages.registry import known_kinds
from tradeopt.study.checks import (
    Reading,
    check_shares,
    read_limits,
    read_objectives,
    read_variables,
)
from tradeopt.study.compiled import CompiledStudy, Value
from tradeopt.study.fields import REFUSED, spoken
from tradeopt.study.files import FORMS, Form, told_beside
from tradeopt.study.layout import layout_of, value_at
from tradeopt.study.model import Search, model_of
from tradeopt.study.study import Study
from tradeopt.study.table import TEXT, Table, parse_table
from tradeopt.study.text import LARGEST_FILE, load_text, read

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
        Content of the files that it names.
    file : str
        What to call it in messages.
    folder : Path, optional
        Where to look for files that are not in `files`; without it none are looked for.

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
    tables = part_tables(kinds)
    layout = layout_of(document.data, kinds)
    reading = Reading(document, layout, {name: table.labels for name, table in tables.items()})
    search, dumped = _checked(reading, kinds)
    variables = read_variables(reading)
    objectives = read_objectives(reading)
    limits = read_limits(reading)
    check_shares(reading)
    named, contents = _contents(reading, dict(files or {}), folder)
    if reading.problems or search is None:
        raise StudyError(tuple(sorted(reading.problems, key=_place)))
    leaves = {path: value_at(dumped, path) for path in layout.leaves}
    values = {path: value for path, value in leaves.items() if isinstance(value, Value)}
    compiled = CompiledStudy(layout, values, tables, contents, variables, objectives, limits)
    _ = compiled.chain  # stages that do not fit together are reported before anything runs
    return Study(
        name=dumped["name"],
        note=dumped["note"],
        text=text,
        files=named,
        search=search,
        problem=compiled,
    )


@cache
def _part_table(name: str, columns: tuple[Column, ...]) -> Table:
    path = package_files("tradeopt.data") / f"{name}.csv"
    wanted = {column.name: column.unit for column in columns}
    text_columns = {"name": TEXT, "source": TEXT}
    return parse_table(
        path.read_text(encoding="utf-8"), text_columns | wanted, file=f"{name}.csv", key="name"
    )


def part_tables(kinds: Mapping[str, Kind]) -> dict[str, Table]:
    """Return the tables of parts that some kind picks rows from."""
    rows = [one for kind in kinds.values() for one in kind.parameters if isinstance(one, Row)]
    return {row.table: _part_table(row.table, row.columns) for row in rows}


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


def _contents(
    reading: Reading, contents: dict[str, str], folder: Path | None
) -> tuple[dict[str, str], dict[str, dict[str, Array]]]:
    """Read every file that the study names; their problems bear their own file."""
    found: dict[str, dict[str, Array]] = {}
    used: dict[str, str] = {}
    for place in reading.layout.places.values():
        for leaf in (one for kind in place.kinds for one in kind.parameters):
            path = f"{place.path}.{leaf.name}"
            name = value_at(reading.document.data, path)
            if not isinstance(leaf, File) or not isinstance(name, str):
                continue
            try:
                if name not in contents:
                    contents[name] = _content(reading, path, name, FORMS[leaf.form], folder)
                told = told_beside(reading, place)
                found[path] = FORMS[leaf.form].read(contents[name], name, leaf, told)
            except StudyError as error:
                reading.problems.extend(error.problems)
            else:
                used[name] = contents[name]
    return used, found


def _content(reading: Reading, path: str, name: str, form: Form, folder: Path | None) -> str:
    if folder is None or Path(name).name != name:
        at, want = tuple(path.split(".")), f"the name of {form.want} beside the study file"
        raise StudyError((reading.document.problem(at, repr(name), want),))
    return load_text(folder / name, largest=form.largest, want=form.want)


def _place(problem: Problem) -> tuple[str, int, int]:
    return (problem.file or "", problem.line or 0, problem.column or 0)
