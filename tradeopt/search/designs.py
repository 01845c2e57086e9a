"""Scored designs in bulk, numbered so that each can be named for as long as its run is kept."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from tradeopt.arrays import AnyArray, Array, Codes, Flags
from tradeopt.study.problem import Limit, Objective, Problem, Scores, Variable


class Outline(Protocol):
    """What there is to choose, to want and to keep, without the means to score it."""

    @property
    def variables(self) -> tuple[Variable, ...]:
        """What may be chosen."""

    @property
    def objectives(self) -> tuple[Objective, ...]:
        """What is wanted."""

    @property
    def limits(self) -> tuple[Limit, ...]:
        """What must hold."""


@dataclass(frozen=True)
class Designs:
    """Designs and how they do, a row each.

    Attributes
    ----------
    numbers : Codes
        Shape (design,): the number of each design in its run.
    values : Array
        Shape (design, variable): what was chosen, SI; a choice is its place in the list.
    objectives : Array
        Shape (design, objective), SI, not turned round; NaN where a law does not hold.
    violations : Array
        Shape (design, limit): share of its scale by which a limit is missed; 0 or less keeps it.
    """

    numbers: Codes
    values: Array
    objectives: Array
    violations: Array

    def __len__(self) -> int:
        return len(self.numbers)

    @property
    def feasible(self) -> Flags:
        """Shape (design,): True where every limit is kept and every objective has a value."""
        return Scores(self.objectives, self.violations).feasible

    def take(self, rows: AnyArray) -> "Designs":
        """Pick rows, by place or by mask, shape (design,)."""
        return Designs(
            numbers=self.numbers[rows],
            values=self.values[rows],
            objectives=self.objectives[rows],
            violations=self.violations[rows],
        )


def no_designs(outline: Outline) -> Designs:
    """Make a table without rows, as wide as the study asks."""
    return Designs(
        numbers=np.empty(0, dtype=np.int64),
        values=np.empty((0, len(outline.variables))),
        objectives=np.empty((0, len(outline.objectives))),
        violations=np.empty((0, len(outline.limits))),
    )


def score(problem: Problem, values: Array, first_number: int) -> Designs:
    """
    Score designs as one batch and number them in a row.

    Parameters
    ----------
    problem : Problem
        What scores them.
    values : Array
        Shape (design, variable), SI.
    first_number : int
        Number of the first one.

    Returns
    -------
    Designs
        The same designs, in the same order.
    """
    scores = problem.score(values)
    numbers = np.arange(first_number, first_number + len(values), dtype=np.int64)
    return Designs(numbers, values, scores.objectives, scores.violations)


def join(parts: Sequence[Designs]) -> Designs:
    """
    Put tables under each other.

    Parameters
    ----------
    parts : sequence of Designs
        One or more, of the same width.

    Returns
    -------
    Designs
        All their rows, in order.
    """
    return Designs(
        numbers=np.concatenate([part.numbers for part in parts]),
        values=np.concatenate([part.values for part in parts]),
        objectives=np.concatenate([part.objectives for part in parts]),
        violations=np.concatenate([part.violations for part in parts]),
    )
