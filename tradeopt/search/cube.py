"""Designs on unit scales, so that operators need not know what a variable means."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from tradeopt.arrays import Array, Codes
from tradeopt.search.space import by_size
from tradeopt.study.problem import Variable


@dataclass(frozen=True)
class Cube:
    """The space of all designs, an axis a variable.

    A design is a row of *genes*: a number, or the place in a list that is ordered by size, runs
    from 0 to 1 (on the logarithm, where the variable is searched so); a word is its place in the
    list.

    Attributes
    ----------
    variables : tuple of Variable
        What may be chosen.
    """

    variables: tuple[Variable, ...]

    @cached_property
    def words(self) -> Codes:
        """Shape (word,): columns that are the place of a word, which has no neighbours."""
        return self._columns([one.has_words for one in self.variables])

    @cached_property
    def numbers(self) -> Codes:
        """Shape (number,): columns with a scale; the others are words."""
        return self._columns([not one.has_words for one in self.variables])

    @cached_property
    def smooth(self) -> Codes:
        """Shape (smooth,): columns in which a step may be as small as one likes."""
        return self._columns([not (one.whole or one.choices) for one in self.variables])

    @cached_property
    def choices(self) -> Codes:
        """Shape (word,): length of the list of each word."""
        return np.array([len(self.variables[n].choices) for n in self.words], dtype=np.int64)

    @cached_property
    def step(self) -> Array:
        """Shape (number,): smallest step, on the unit scale; 0 where any step can be made."""
        return np.array([_step(self.variables[n]) for n in self.numbers])

    @staticmethod
    def _columns(flags: Sequence[bool]) -> Codes:
        return np.flatnonzero(np.array(flags, dtype=np.bool_)).astype(np.int64)

    @cached_property
    def _scale(self) -> tuple[Array, Array, Codes]:
        """Lower and upper end of each axis, shape (variable,), and which are logarithmic."""
        ends = np.array([_ends(one) for one in self.variables], dtype=np.float64).reshape(-1, 2)
        log = self._columns([one.log for one in self.variables])
        ends[log] = np.log(ends[log])
        return ends[:, 0], ends[:, 1], log

    @cached_property
    def _widths(self) -> Array:
        """Shape (number,): greatest gene of each, 0 where there is a single value."""
        lower, upper, _ = self._scale
        return (upper > lower)[self.numbers].astype(np.float64)

    @cached_property
    def _bounds(self) -> tuple[Array, Array]:
        """Least and greatest value, or place in a list, of each variable; shape (variable,)."""
        bounds = [_bounds(one) for one in self.variables]
        lower, upper = np.array(bounds, dtype=np.float64).reshape(-1, 2).T
        return lower, upper

    @cached_property
    def _whole(self) -> Codes:
        """Columns of whole numbers, places in a list among them."""
        return self._columns([bool(one.whole or one.choices) for one in self.variables])

    @cached_property
    def _sized(self) -> tuple[tuple[int, Codes], ...]:
        """Columns of lists that are ordered by size, each with its places in that order."""
        return tuple(
            (column, by_size(one)) for column, one in enumerate(self.variables) if one.sizes
        )

    def to_values(self, genes: Array) -> Array:
        """
        Turn genes into values that the study understands.

        Parameters
        ----------
        genes : Array
            Shape (design, variable).

        Returns
        -------
        Array
            Shape (design, variable), SI; inside the bounds, whole where they have to be.
        """
        lower, upper, log = self._scale
        values = lower + genes * (upper - lower)
        values[:, log] = np.exp(values[:, log])
        values[:, self.words] = genes[:, self.words]
        values[:, self._whole] = np.rint(values[:, self._whole])
        values = np.clip(values, *self._bounds)
        for column, order in self._sized:
            values[:, column] = order[values[:, column].astype(np.int64)]
        return values

    def to_genes(self, values: Array) -> Array:
        """
        Turn values into genes; the way back of `to_values`.

        Parameters
        ----------
        values : Array
            Shape (design, variable), SI.

        Returns
        -------
        Array
            Shape (design, variable); what lies outside the bounds is moved onto them.
        """
        lower, upper, log = self._scale
        genes = np.clip(values, *self._bounds)
        for column, order in self._sized:
            genes[:, column] = np.argsort(order)[genes[:, column].astype(np.int64)]
        genes[:, log] = np.log(genes[:, log])
        on_scale = (genes - lower) / np.where(upper > lower, upper - lower, 1.0)
        genes[:, self.numbers] = np.clip(on_scale[:, self.numbers], 0.0, 1.0)
        return genes

    def snapped(self, genes: Array) -> Array:
        """
        Move genes to the nearest ones that a design can have.

        Parameters
        ----------
        genes : Array
            Shape (design, variable).

        Returns
        -------
        Array
            The same within 0 and 1, whole numbers and places in a list on their steps.
        """
        inside = genes.copy()
        inside[:, self.numbers] = np.clip(genes[:, self.numbers], 0.0, self._widths)
        stepped = self.numbers[self.step > 0.0]
        if len(stepped):
            inside[:, stepped] = self.to_genes(self.to_values(inside))[:, stepped]
        return inside

    def anywhere(self, rng: np.random.Generator, count: int) -> Array:
        """Draw designs evenly from the whole cube, shape (design, variable)."""
        genes = rng.random((count, len(self.variables)))
        genes[:, self.words] = rng.integers(0, self.choices, (count, len(self.words)))
        return self.snapped(genes)


def _bounds(variable: Variable) -> tuple[float, float]:
    if variable.choices:
        return 0.0, len(variable.choices) - 1.0
    if variable.whole:
        return float(np.ceil(variable.lower)), float(np.floor(variable.upper))
    return variable.lower, variable.upper


def _ends(variable: Variable) -> tuple[float, float]:
    if variable.sizes:
        return 0.0, len(variable.sizes) - 1.0
    return (0.0, 1.0) if variable.choices else (variable.lower, variable.upper)


def _step(variable: Variable) -> float:
    lower, upper = _ends(variable)
    return 1.0 / (upper - lower) if (variable.whole or variable.sizes) and upper > lower else 0.0
