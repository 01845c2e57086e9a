"""The unit of work: a slice of a run, a pure function of its arguments."""

from dataclasses import dataclass

import numpy as np

from tradeopt.arrays import Array, Codes
from tradeopt.search.designs import Designs, Outline, no_designs


@dataclass(frozen=True)
class Seeds:
    """Designs to be tried first.

    Attributes
    ----------
    values : Array
        Shape (design, variable), SI.
    origins : tuple of str
        Where each comes from: `baseline`, `picked`, `reused`, `elsewhere` or `sampler`.
    """

    values: Array
    origins: tuple[str, ...]

    def __len__(self) -> int:
        return len(self.origins)

    def of_island(self, island: int, islands: int) -> "Seeds":
        """Return the part that one of so many islands tries."""
        return Seeds(self.values[island::islands], self.origins[island::islands])


@dataclass(frozen=True)
class SliceTask:
    """What a worker is asked to do.

    Attributes
    ----------
    epoch, island : int
        Which slice of the run.
    parents : Designs
        The designs that live at the end of the epoch before, its front among them; without rows in
        epoch 0.
    seeds : Seeds
        What this slice tries first.
    gains : Array
        Shape (operator,): hypervolume gained by each evaluation; NaN where not known.
    """

    epoch: int
    island: int
    parents: Designs
    seeds: Seeds
    gains: Array


@dataclass(frozen=True)
class Found:
    """What a slice found.

    Attributes
    ----------
    designs : Designs
        The designs that are kept, in order of their numbers: all seeds, those that no other
        design known to the slice beats, and some of the others.
    seeds : int
        How many of them, the first ones, were seeds.
    tried, feasible : int
        Designs tried, and how many of them keep every limit.
    missed : Codes
        Shape (limit,): how many designs miss each limit.
    gains : Array
        Shape (operator,): what the operators gain now.
    """

    designs: Designs
    seeds: int
    tried: int
    feasible: int
    missed: Codes
    gains: Array


def no_seeds(outline: Outline) -> Seeds:
    """Make a list without designs, as wide as the study asks."""
    return Seeds(np.empty((0, len(outline.variables))), ())


def nothing_found(outline: Outline) -> Found:
    """Say that a slice was not done."""
    return Found(
        no_designs(outline), 0, 0, 0, np.zeros(len(outline.limits), dtype=np.int64), np.zeros(0)
    )


def counted(tried: Designs, kept: Designs, seeds: int, gains: Array) -> Found:
    """
    Count what a slice tried.

    Parameters
    ----------
    tried : Designs
        All of it, in order.
    kept : Designs
        What is kept of it.
    seeds : int
        How many were seeds.
    gains : Array
        Shape (operator,).

    Returns
    -------
    Found
        With its counts.
    """
    missed = np.sum(tried.violations > 0.0, axis=0).astype(np.int64)
    return Found(kept, seeds, len(tried), int(tried.feasible.sum()), missed, gains)
