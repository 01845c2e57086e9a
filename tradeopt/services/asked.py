"""What a study asks, or everything that is wrong with it, as plain data."""

from collections.abc import Mapping, Sequence

from tradeopt.errors import Problem, ProblemsError, StudyError
from tradeopt.report.amount import amount, size_of
from tradeopt.report.section import Plain
from tradeopt.report.table import amount_named
from tradeopt.search.designs import Outline
from tradeopt.store import runs as store
from tradeopt.store.database import Database
from tradeopt.study.problem import Limit, Objective, Variable
from tradeopt.study.read import loads
from tradeopt.study.study import Study
from tradeopt.study.text import read

STUDY = "study"
"""What a study that came as text is called in messages."""


def asked_by(database: Database, run_id: str) -> Plain:
    """Tell the study of a run: its text, the files that it names, and what it asks."""
    run = store.get(database, run_id)
    files = {"study": run.text, "files": dict(run.files)}
    return {"name": run.study, "study_sha256": run.digest} | files | told_outline(run)


def check(text: str, files: Mapping[str, str]) -> Plain:
    """
    Say what a study asks, or everything that is wrong with it.

    Parameters
    ----------
    text : str
        The study file.
    files : mapping of str to str
        Files that it names, by name.

    Returns
    -------
    dict
        `valid`, and either what is `asked` or the problems in `errors`.
    """
    try:
        study = loads(text, files)
    except ProblemsError as error:
        return {"valid": False, "asked": None, "errors": told_problems(error.problems, text)}
    return {"valid": True, "asked": _told(study), "errors": []}


def _told(study: Study) -> Plain:
    named = {"name": study.name, "note": study.note, "study_sha256": study.digest}
    search = {"time": study.search.time, "designs": study.search.designs}
    gaits = {"gaits": list(study.problem.layout.gaits), "files": list(study.files)}
    return named | search | gaits | told_outline(study.problem)


def told_outline(outline: Outline) -> Plain:
    """Tell variables, objectives and limits: numbers in SI, beside them as they are read."""
    return {
        "variables": [_variable(one) for one in outline.variables],
        "objectives": [_objective(one) for one in outline.objectives],
        "limits": [_limit(one) for one in outline.limits],
    }


def _variable(one: Variable) -> Plain:
    low, high = (size_of(bound, one.unit) for bound in (one.lower, one.upper))
    return {
        "path": one.path,
        "unit": one.unit,
        "lower": None if one.choices else one.lower,
        "upper": None if one.choices else one.upper,
        "log": one.log,
        "whole": one.whole,
        "choices": list(one.choices),
        "shown": ", ".join(one.choices) if one.choices else f"{low.number} to {high}",
    }


def _objective(one: Objective) -> Plain:
    shown_in = amount_named(one.name, 0.0, one.unit).shown_in
    return {"name": one.name, "unit": one.unit, "highest": one.highest, "shown_in": shown_in}


def _limit(one: Limit) -> Plain:
    return {
        "name": one.name,
        "unit": one.unit,
        "bound": one.value,
        "at_most": one.at_most,
        "shown": f"{'at most' if one.at_most else 'at least'} {_bound(one)}",
    }


def _bound(one: Limit) -> str:
    return str(
        amount(one.value, one.unit)
        if one.unit == "K"
        else amount_named(one.name, one.value, one.unit)
    )


def told_problems(problems: Sequence[Problem], text: str | None = None) -> list[Plain]:
    """
    Tell problems with their places, for programs that show them there.

    Parameters
    ----------
    problems : sequence of Problem
        What is wrong.
    text : str, optional
        The study file that they are about; none where they are about something else.

    Returns
    -------
    list of dict
        `detail` in one line, `pointer` (RFC 6901) into the study, file, line and column from 1,
        and what the message is made of.
    """
    data = {} if text is None else _data(text)
    return [_problem(one, data, about_study=text is not None) for one in problems]


def _problem(one: Problem, data: Mapping[str, object], *, about_study: bool) -> Plain:
    hint = f" (near: {one.near!r})" if one.near else ""
    here = about_study and one.file in {None, STUDY}
    return {
        "detail": f"{one.where}: got {one.got}, want {one.want}{hint}",
        "pointer": pointer(one.where, data) if here else None,
        "file": one.file,
        "line": one.line,
        "column": one.column,
        "where": one.where,
        "got": one.got,
        "want": one.want,
        "near": one.near,
        "text": one.text,
    }


def _data(text: str) -> Mapping[str, object]:
    try:
        return read(text, file=STUDY).data
    except StudyError:
        return {}  # its own problems say what is wrong with it


def pointer(where: str, data: object) -> str:
    """
    Turn the path of a value into a JSON pointer.

    Parameters
    ----------
    where : str
        Names joined by dots; ``study`` for the whole.
    data : object
        What it leads into; a name in there may have dots of its own.

    Returns
    -------
    str
        As RFC 6901 has it.

    Examples
    --------
    >>> pointer("variables.robot.mass.low", {"variables": {"robot.mass": {"low": "1 kg"}}})
    '/variables/robot.mass/low'
    >>> pointer("robot.frame", {})
    '/robot/frame'
    """
    rest, found = ([] if where == STUDY else where.split(".")), ""
    while rest:
        known = data if isinstance(data, Mapping) else {}
        length = next(
            (n for n in range(len(rest), 0, -1) if ".".join(rest[:n]) in known),
            1,
        )
        name, rest = ".".join(rest[:length]), rest[length:]
        data = known.get(name)
        found += "/" + name.replace("~", "~0").replace("/", "~1")
    return found
