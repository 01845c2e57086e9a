"""What a search sees of a study: variables, objectives, limits, and a way to score designs."""

from dataclasses import dataclass
from typing import Protocol, runtime_checkable

import numpy as np

from tradeopt.arrays import Array, Codes, Flags


@dataclass(frozen=True)
class Variable:
    """One thing the search may choose.

    A design is a row of numbers, one a variable: the value in SI units, a whole number, or for a
    choice its place in `choices`.

    Attributes
    ----------
    path : str
        Path of the value in the study file.
    unit : str
        SI unit of the value; "1" for plain numbers, "" for a choice.
    lower, upper : float
        Bounds, both allowed.
    log : bool
        Search on a logarithmic scale.
    whole : bool
        Whole numbers only.
    choices : tuple of str
        What to choose from; empty for a number.
    sizes : tuple of float
        Size of each choice, where a long list of them can be ordered by size; else empty.
    """

    path: str
    unit: str
    lower: float
    upper: float
    log: bool = False
    whole: bool = False
    choices: tuple[str, ...] = ()
    sizes: tuple[float, ...] = ()

    @property
    def has_words(self) -> bool:
        """Whether it is a choice without any order."""
        return bool(self.choices) and not self.sizes

    def label(self, value: float) -> float | int | str:
        """Return a design's number as the study would say it: a number (SI) or a word."""
        if self.choices:
            return self.choices[round(value)]
        return round(value) if self.whole else float(value)


@dataclass(frozen=True)
class Objective:
    """One quantity to make as high or as low as can be."""

    name: str
    unit: str
    highest: bool


@dataclass(frozen=True)
class Limit:
    """One bound that a design must keep.

    Attributes
    ----------
    name : str
        The quantity.
    unit : str
        Its SI unit.
    value : float
        The bound, SI.
    at_most : bool
        True for an upper bound.
    scale : float
        What one whole violation is, SI, so that limits of different units compare.
    """

    name: str
    unit: str
    value: float
    at_most: bool
    scale: float


@dataclass(frozen=True)
class Scores:
    """How a batch of designs does.

    Attributes
    ----------
    objectives : Array
        Shape (design, objective), SI, as the quantity is (not turned round for `highest`).
    violations : Array
        Shape (design, limit): how far a limit is missed as a share of its scale; 0 or less keeps
        it. Always finite.
    """

    objectives: Array
    violations: Array

    @property
    def feasible(self) -> Flags:
        """Shape (design,): True where every limit is kept and every objective has a value."""
        kept: Flags = np.all(self.violations <= 0.0, axis=1) & np.all(
            np.isfinite(self.objectives), axis=1
        )
        return kept


@dataclass(frozen=True)
class Pieces:
    """The parts of which limits take the worst: one a joint and gait, say.

    A limit has a kink where its worst part changes; each part alone is smooth.

    Attributes
    ----------
    violations : Array
        Shape (design, piece): how far each part misses its limit, as in `Scores`.
    limits : Codes
        Shape (piece,): which limit each is a part of; every limit has one or more.
    """

    violations: Array
    limits: Codes


@runtime_checkable
class HasPieces(Protocol):
    """A problem that can tell the parts of its limits."""

    def score_pieces(self, designs: Array) -> tuple[Scores, Pieces]:
        """Score a batch of designs, shape (design, variable), and tell the parts of its limits."""


class Problem(Protocol):
    """What a search needs of a study."""

    @property
    def variables(self) -> tuple[Variable, ...]:
        """What may be chosen."""

    @property
    def objectives(self) -> tuple[Objective, ...]:
        """What is wanted."""

    @property
    def limits(self) -> tuple[Limit, ...]:
        """What must hold."""

    @property
    def baseline(self) -> Array:
        """Shape (variable,): the design that the study file itself describes."""

    def score(self, designs: Array) -> Scores:
        """Score a batch of designs, shape (design, variable)."""


def score_pieces(problem: Problem, designs: Array) -> tuple[Scores, Pieces]:
    """
    Score designs, and tell the parts of each limit.

    Parameters
    ----------
    problem : Problem
        What scores them.
    designs : Array
        Shape (design, variable).

    Returns
    -------
    tuple of Scores and Pieces
        Where the problem knows no parts, each limit is one.
    """
    if isinstance(problem, HasPieces):
        return problem.score_pieces(designs)
    scores = problem.score(designs)
    return scores, Pieces(scores.violations, np.arange(len(problem.limits), dtype=np.int64))
