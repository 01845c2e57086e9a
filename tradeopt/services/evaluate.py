"""What if: a study with some of its values said otherwise."""

import json
from collections.abc import Iterable, Mapping
from copy import deepcopy
from dataclasses import replace
from typing import Any

from tradeopt.arrays import Array
from tradeopt.chain.fit import KIND
from tradeopt.chain.kind import File, Number
from tradeopt.errors import Problem, StudyError, UnitError, near
from tradeopt.report.amount import size_of
from tradeopt.stages.registry import known_kinds
from tradeopt.study.fields import number_of
from tradeopt.study.layout import layout_of, value_at
from tradeopt.study.problem import Variable
from tradeopt.study.read import loads
from tradeopt.study.study import Study
from tradeopt.study.text import read

_LIMITS = "limits."


def changed(study: Study, changes: Mapping[str, str]) -> tuple[Study, Array]:
    """
    Say some values of a study otherwise.

    Parameters
    ----------
    study : Study
        The study.
    changes : mapping of str to str
        New values with their units, as the study file would say them, by path; `limits.NAME` moves
        a limit.

    Returns
    -------
    tuple of Study and Array
        The study that results, and its design, shape (variable,).

    Raises
    ------
    StudyError
        With every value that cannot be used, as if the study file said it.

    Notes
    -----
    A variable of the study makes another design of the same study, so that the gaits stay balanced
    for the baseline and a search that tries this design finds the same numbers. Any other value
    makes another study, whose gaits are balanced anew.

    Examples
    --------
    >>> from tradeopt.study.read import load
    >>> _, design = changed(load("levee_rounds"), {"robot.battery.parallel": "14"})
    >>> design[1]
    np.float64(14.0)
    """
    variables = {one.path: one for one in study.problem.variables}
    others = {path: text for path, text in changes.items() if path not in variables}
    problems: list[Problem] = []
    design = study.problem.baseline.copy()
    for column, (path, variable) in enumerate(variables.items()):
        if path in changes:
            try:
                design[column] = _chosen(study, variable, changes[path])
            except UnitError as error:
                problems.append(Problem(path, error.got, error.want, error.near))
    try:
        made = _another(study, others) if others else study
    except StudyError as error:
        problems += [_without_place(problem) for problem in error.problems]
    if problems:
        raise StudyError(tuple(problems))
    return made, design


def _chosen(study: Study, variable: Variable, text: str) -> float:
    """Read the value of a variable and hold it to its bounds."""
    if variable.choices:
        if text not in variable.choices:
            want = f"one of: {', '.join(variable.choices)}"
            raise UnitError(repr(text), want, near(text, variable.choices))
        return float(variable.choices.index(text))
    leaf = study.problem.layout.leaves[variable.path]
    if not isinstance(leaf, Number):  # a variable without choices is a number
        raise TypeError(f"{variable.path} is no number")
    value = number_of(text, leaf)
    if not variable.lower <= value <= variable.upper:
        bounds = [size_of(bound, variable.unit) for bound in (variable.lower, variable.upper)]
        raise UnitError(repr(text), f"{bounds[0]} to {bounds[1]}, the bounds of this variable")
    return value


def _another(study: Study, changes: Mapping[str, str]) -> Study:
    data = deepcopy(read(study.text, file=study.name).data)
    places = study.problem.layout.places
    paths = {f"{path}.{KIND}" if path in places else path: text for path, text in changes.items()}
    for path, text in paths.items():
        _put(data, path, text)
    leaves = layout_of(data, known_kinds()).leaves
    known = [path for path, leaf in leaves.items() if not isinstance(leaf, File)]
    unknown = [
        Problem(path, "a path that no value has", "the path of a value", near(path, known))
        for path in paths
        if path not in known and not path.startswith(_LIMITS)
    ]
    if unknown:
        raise StudyError(tuple(unknown))
    for path in paths:
        place, _, name = path.rpartition(".")
        if name == KIND:
            _prune(data, place, leaves)
    return loads(json.dumps(data, indent=1), study.files, file=study.name)


def _put(data: dict[str, Any], path: str, text: str) -> None:
    """Put a value in its place; a word that stands for a whole table becomes that table."""
    # the name of a limit may have a dot of its own
    *branches, last = path.split(".", 1 if path.startswith(_LIMITS) else -1)
    table = data
    for name in branches:
        inner = table.get(name)
        if not isinstance(inner, dict):
            inner = {KIND: inner} if isinstance(inner, str) else {}
            table[name] = inner
        table = inner
    table[last] = text


def _prune(data: Mapping[str, Any], place: str, leaves: Iterable[str]) -> None:
    """Take out what only the kind before knew."""
    table = value_at(data, place)
    if isinstance(table, dict):
        kept = {
            path.removeprefix(f"{place}.").partition(".")[0]
            for path in leaves
            if path.startswith(f"{place}.")
        }
        for name in set(table) - kept:
            del table[name]


def _without_place(problem: Problem) -> Problem:
    """Leave out the place: the value does not stand in any file."""
    return replace(problem, file=None, line=None, column=None, text=None)
