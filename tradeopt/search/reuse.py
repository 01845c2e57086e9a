"""Designs of one question brought into another: by path and by word, never by place."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from tradeopt.arrays import Array
from tradeopt.search.designs import Designs, Outline
from tradeopt.study.problem import Problem, Variable

Said = Mapping[str, float | int | str]
"""A design in words: path of each variable -> number (SI) or word."""


@dataclass(frozen=True)
class Carried:
    """Designs as another study understands them.

    Attributes
    ----------
    values : Array
        Shape (design, variable); each design once.
    notes : tuple of str
        What had to be changed.
    """

    values: Array
    notes: tuple[str, ...]


def said(outline: Outline, designs: Designs) -> list[Said]:
    """Say designs in words."""
    return [
        {one.path: one.label(value) for one, value in zip(outline.variables, row, strict=True)}
        for row in designs.values.tolist()
    ]


def carried(problem: Problem, designs: Sequence[Said]) -> Carried:
    """
    Bring designs into a study.

    Parameters
    ----------
    problem : Problem
        The study.
    designs : sequence of mapping
        Designs in words.

    Returns
    -------
    Carried
        What a design does not say, or says with a word that the study does not know, is as in the
        baseline; numbers outside their bounds are moved onto them.
    """
    changed: Counter[str] = Counter()
    rows = [_row(problem, design, changed) for design in designs]
    width = len(problem.variables)
    values = np.array(rows, dtype=np.float64).reshape(-1, width)
    _, once = np.unique(values, axis=0, return_index=True)
    known = {one.path for one in problem.variables}
    gone = sorted({path for design in designs for path in design if path not in known})
    notes = [f"{what} in {count} of {len(rows)}" for what, count in changed.items()]
    notes += [f"{path} is not searched any more" for path in gone]
    return Carried(values[np.sort(once)], tuple(notes))


def _row(problem: Problem, design: Said, changed: Counter[str]) -> Sequence[float]:
    row = []
    for variable, own in zip(problem.variables, problem.baseline.tolist(), strict=True):
        if variable.path not in design:
            changed[f"{variable.path} as in the baseline"] += 1
            row.append(own)
        else:
            row.append(_value(variable, design[variable.path], own, changed))
    return row


def _value(variable: Variable, value: float | str, own: float, changed: Counter[str]) -> float:
    if variable.choices:
        if value in variable.choices:
            return float(variable.choices.index(str(value)))
    elif not isinstance(value, str):
        inside = min(max(float(value), variable.lower), variable.upper)
        inside = float(round(inside)) if variable.whole else inside
        if inside != value:
            changed[f"{variable.path} moved into its bounds"] += 1
        return inside
    changed[f"{variable.path} as in the baseline"] += 1
    return own
