"""Scored designs as the operators of a burst see them."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tradeopt.arrays import AnyArray, Array, Codes, Flags

FAR = 1e30
"""Cost of a design whose objective has no value; finite, so that arithmetic goes on."""

UNDEFINED = 1e9
"""What is added to the misses of such a design: it comes after all that only miss limits."""


@dataclass(frozen=True)
class Points:
    """Designs and how they do, a row each.

    Attributes
    ----------
    genes : Array
        Shape (design, variable), see `Cube`.
    costs : Array
        Shape (design, objective); less is better; finite.
    violations : Array
        Shape (design, limit): above 0 misses the limit.
    misses : Array
        Shape (design,): sum of what is missed; 0 for a feasible design.
    numbers : Codes
        Shape (design,): which design of the run each is.
    """

    genes: Array
    costs: Array
    violations: Array
    misses: Array
    numbers: Codes

    def __len__(self) -> int:
        return len(self.numbers)

    @property
    def feasible(self) -> Flags:
        """Shape (design,): True where every limit is kept and every objective has a value."""
        return self.misses <= 0.0

    @property
    def defined(self) -> Flags:
        """Shape (design,): True where every objective has a value."""
        return self.misses < UNDEFINED

    def take(self, rows: AnyArray) -> "Points":
        """Pick rows, by place or by mask."""
        return Points(
            self.genes[rows],
            self.costs[rows],
            self.violations[rows],
            self.misses[rows],
            self.numbers[rows],
        )


def points(genes: Array, costs: Array, violations: Array, numbers: Codes) -> Points:
    """
    Put scored designs in a table.

    Parameters
    ----------
    genes : Array
        Shape (design, variable).
    costs : Array
        Shape (design, objective); NaN or infinite where a law does not hold.
    violations : Array
        Shape (design, limit).
    numbers : Codes
        Shape (design,).

    Returns
    -------
    Points
        With finite costs.
    """
    undefined = ~np.all(np.isfinite(costs), axis=1)
    missed = np.sum(np.maximum(violations, 0.0), axis=1)
    return Points(
        genes,
        np.where(undefined[:, None], FAR, costs),
        violations,
        missed + np.where(undefined, UNDEFINED, 0.0),
        numbers,
    )


def joined(parts: Sequence[Points]) -> Points:
    """Put tables of the same width under each other; one or more."""
    return Points(
        np.concatenate([part.genes for part in parts]),
        np.concatenate([part.costs for part in parts]),
        np.concatenate([part.violations for part in parts]),
        np.concatenate([part.misses for part in parts]),
        np.concatenate([part.numbers for part in parts]),
    )
