"""Study files in: every problem of a file is found before the first one is told."""

from collections.abc import Iterable, Mapping
from functools import cache
from importlib.resources import files as package_files
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from tradeopt.arrays import Array
from tradeopt.chain.kind import File, Kind, Row
from tradeopt.errors import Problem, StudyError, near
from tradeopt.stages.registry import known_kinds
from tradeopt.study.checks import check_entries, read_limits, read_objectives
from tradeopt.study.compiled import CompiledStudy
from tradeopt.study.files import READERS, told_beside
from tradeopt.study.forms import FORMS, PARTS
from tradeopt.study.given import Value
from tradeopt.study.layout import layout_of, value_at
from tradeopt.study.mistakes import report_refusals
from tradeopt.study.model import model_of, tables_of
from tradeopt.study.named_files import NamedFiles
from tradeopt.study.parts import read_parts
from tradeopt.study.reading import Reading
from tradeopt.study.search_table import Search
from tradeopt.study.sizes import with_sizes
from tradeopt.study.study import Study
from tradeopt.study.table import Table
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
        Content of the files that it names, tables of parts included.
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
    layout = layout_of(document.data, kinds)
    reading = Reading(document, layout, {})
    named = NamedFiles(reading, files or {}, folder)
    tables = _tables(reading, kinds, named)
    reading.rows = {name: table.labels for name, table in tables.items()} | dict(layout.entries)
    check_entries(reading)
    search, dumped = _checked(reading, kinds)
    variables = with_sizes(read_variables(reading), layout.leaves, tables)
    objectives = read_objectives(reading)
    limits = read_limits(reading)
    contents = _contents(reading, named)
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
        files=named.used,
        search=search,
        problem=compiled,
    )


@cache
def _part_table(name: str, row: Row) -> Table:
    path = package_files("tradeopt.data") / f"{name}.csv"
    return read_parts(path.read_text(encoding="utf-8"), row, file=f"{name}.csv")


def _tables(reading: Reading, kinds: Mapping[str, Kind], named: NamedFiles) -> dict[str, Table]:
    """Return the shipped tables of parts, or the study's own in their place.

    One that cannot be read is left out, so that its rows are not missed as well.
    """
    tables = part_tables(kinds)
    for name, row in tables_of(kinds).items():
        path = f"tables.{name}"
        if value_at(reading.document.data, path) is None:
            continue
        del tables[name]
        content = named.content(path, PARTS)
        if content is not None:
            try:
                file = str(value_at(reading.document.data, path))
                tables[name] = read_parts(content, row, file=file)
            except StudyError as error:
                reading.problems.extend(error.problems)
    return tables


def part_tables(kinds: Mapping[str, Kind]) -> dict[str, Table]:
    """Return the shipped tables of parts that some kind picks rows from."""
    return {name: _part_table(name, row) for name, row in tables_of(kinds).items()}


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
    model = model_of(reading.layout, kinds, reading.rows)
    try:
        checked = model.model_validate(reading.document.data)
    except ValidationError as error:
        report_refusals(reading, error, model, kinds)
        return None, {}
    parts = {field.alias: getattr(checked, name) for name, field in model.model_fields.items()}
    return parts["search"], checked.model_dump(by_alias=True)


def _contents(reading: Reading, named: NamedFiles) -> dict[str, dict[str, Array]]:
    """Read every file that some kind asks for; their problems bear their own file."""
    found: dict[str, dict[str, Array]] = {}
    for place in reading.layout.places.values():
        parameters = (one for kind in place.kinds for one in kind.parameters)
        for leaf in (one for one in parameters if isinstance(one, File)):
            path = f"{place.path}.{leaf.name}"
            content = named.content(path, FORMS[leaf.form])
            if content is None:
                continue
            name = str(value_at(reading.document.data, path))
            try:
                told = told_beside(reading, place)
                found[path] = READERS[leaf.form](content, name, leaf, told)
            except StudyError as error:
                reading.problems.extend(error.problems)
    return found


def _in_order(problems: Iterable[Problem], file: str) -> tuple[Problem, ...]:
    """Sort problems by place, those of the study file first, each told once."""

    def place(problem: Problem) -> tuple[bool, str, int, int]:
        is_other = problem.file != file
        return (is_other, problem.file or "", problem.line or 0, problem.column or 0)

    return tuple(sorted(dict.fromkeys(problems), key=place))
