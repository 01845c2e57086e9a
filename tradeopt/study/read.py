"""Study files in: every problem of a file is found before the first one is told."""

from collections.abc import Iterable, Mapping
from functools import cache
from importlib.resources import files as package_files
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from tradeopt.arrays import Array
from tradeopt.chain.kind import Column, File, Kind, Row
from tradeopt.errors import Problem, StudyError, near
from tradeopt.stages.registry import known_kinds
from tradeopt.study.checks import check_gaits, check_shares, read_limits, read_objectives
from tradeopt.study.compiled import CompiledStudy, Value
from tradeopt.study.fields import spoken
from tradeopt.study.files import FORMS, Form, told_beside
from tradeopt.study.layout import layout_of, value_at
from tradeopt.study.mistakes import report_refusals
from tradeopt.study.model import Search, model_of
from tradeopt.study.reading import Reading
from tradeopt.study.study import Study
from tradeopt.study.table import TEXT, Table, parse_table
from tradeopt.study.text import LARGEST_FILE, load_text, read
from tradeopt.study.variables import read_variables

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
    check_gaits(reading)
    search, dumped = _checked(reading, kinds)
    variables = read_variables(reading)
    objectives = read_objectives(reading)
    limits = read_limits(reading)
    check_shares(reading)
    used, contents = _files(reading, files or {}, folder)
    if reading.problems or search is None:
        raise StudyError(_in_order(reading.problems, file))
    leaves = {path: value_at(dumped, path) for path in layout.leaves}
    values = {path: value for path, value in leaves.items() if isinstance(value, Value)}
    compiled = CompiledStudy(layout, values, tables, contents, variables, objectives, limits)
    _ = compiled.chain  # stages that do not fit together are reported before anything runs
    return Study(
        name=dumped["name"],
        note=dumped["note"],
        text=text,
        files=used,
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
    if path.suffix or _is_there(path):
        return path
    if str(source) in examples():
        return Path(str(package_files(EXAMPLES) / f"{source}.yaml"))
    want = f"a study file, or an example: {', '.join(examples())}"
    nearest = near(str(source), examples())
    raise StudyError((Problem("STUDY", f"no file {str(source)!r}", want, nearest),))


def _is_there(path: Path) -> bool:
    try:
        return path.exists()
    except OSError:  # no name of a file; the attempt to open it says why
        return True


def _checked(reading: Reading, kinds: Mapping[str, Kind]) -> tuple[Search | None, dict[str, Any]]:
    """Hold the file against its model; return what it says of the search, and all of it in SI."""
    model = model_of(reading.layout, reading.rows)
    try:
        checked = model.model_validate(reading.document.data)
    except ValidationError as error:
        report_refusals(reading, error, model, kinds)
        return None, {}
    parts = {field.alias: getattr(checked, name) for name, field in model.model_fields.items()}
    return parts["search"], checked.model_dump(by_alias=True)


def _files(
    reading: Reading, given: Mapping[str, str], folder: Path | None
) -> tuple[dict[str, str], dict[str, dict[str, Array]]]:
    """Read every file that the study names; their problems bear their own file."""
    used: dict[str, str] = {}
    found: dict[str, dict[str, Array]] = {}
    for place in reading.layout.places.values():
        parameters = (one for kind in place.kinds for one in kind.parameters)
        for leaf in (one for one in parameters if isinstance(one, File)):
            path = f"{place.path}.{leaf.name}"
            name = value_at(reading.document.data, path)
            if not isinstance(name, str) or not name:
                continue  # the model reports the name itself
            content = used.get(name) or _content(reading, path, leaf, given, folder)
            if content is None:
                continue
            try:
                told = told_beside(reading, place)
                found[path] = FORMS[leaf.form].read(content, name, leaf, told)
            except StudyError as error:
                reading.problems.extend(error.problems)
            else:
                used[name] = content
    return used, found


def _content(
    reading: Reading, path: str, leaf: File, given: Mapping[str, str], folder: Path | None
) -> str | None:
    """Return the text of a file, or None where there is none, which is reported."""
    at, form = tuple(path.split(".")), FORMS[leaf.form]
    name = str(value_at(reading.document.data, path))
    if name in given and len(given[name]) <= form.largest:
        return given[name]
    if name in given:
        got = f"{spoken(name)} of {len(given[name])} characters"
        reading.report(at, got, f"{form.want} of at most {form.largest}")
    elif folder is None:
        want = f"a file that was given: {', '.join(given) or 'none was'}"
        reading.report_word(at, name, given, want=want)
    elif Path(name).name != name:
        reading.report(at, spoken(name), reading.expected(leaf))
    else:
        return _loaded(reading, at, folder / name, form)
    return None


def _loaded(reading: Reading, at: tuple[str, ...], path: Path, form: Form) -> str | None:
    try:
        return load_text(path, largest=form.largest, want=form.want)
    except StudyError as error:
        for problem in error.problems:
            reading.report(at, f"{spoken(path.name)}: {problem.got}", problem.want)
        return None


def _in_order(problems: Iterable[Problem], file: str) -> tuple[Problem, ...]:
    """Sort problems by place, those of the study file first, each told once."""

    def place(problem: Problem) -> tuple[bool, str, int, int]:
        is_other = problem.file != file
        return (is_other, problem.file or "", problem.line or 0, problem.column or 0)

    return tuple(sorted(dict.fromkeys(problems), key=place))
