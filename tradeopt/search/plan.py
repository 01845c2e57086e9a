"""How a run searches: the settings that its result repeats by."""

from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate

import numpy as np

from tradeopt.errors import NotFoundError, near
from tradeopt.search.samplers import SAMPLERS, is_sampler

BURSTS, TRIALS = "bursts", "trials"

DOUBLINGS = 7
"""How often the slices of bursts double, from the first epochs until they are full."""

BETWEEN = 4
"""Epochs of equal slices before they double."""

SIZES: Mapping[str, tuple[int, int]] = {BURSTS: (50, 16384), TRIALS: (40, 64)}
"""The methods, with the size of their populations and the designs of their slices."""


@dataclass(frozen=True)
class SearchPlan:
    """All that decides which designs a run tries, beside the study.

    Attributes
    ----------
    seed : int
        Where all chance in the run comes from.
    method : str
        `bursts`: operators of our own, with a sampler that proposes a few designs between epochs;
        `trials`: every design is a trial that the sampler proposes.
    sampler : str
        Name of the proposer, see `SAMPLERS`.
    population : int
        Designs that live on and are bred from; also the size of a generation.
    islands : int
        Slices an epoch. They do not see each other until it ends, so that any number of workers,
        in any order, tries the same designs.
    evaluations : int
        Designs a slice of bursts comes to; the first slices are far shorter, since what one island
        finds then helps the others most, and double every `BETWEEN` epochs.
    proposals : int
        Designs that the sampler proposes for each epoch of bursts.
    """

    seed: int
    method: str = BURSTS
    sampler: str = "nsga2"
    population: int = 50
    islands: int = 8
    evaluations: int = 16384
    proposals: int = 8

    def __post_init__(self) -> None:
        _check_word("method", self.method, SIZES)
        if not is_sampler(self.sampler):
            _check_word("sampler", self.sampler, SAMPLERS)
        least = {"seed": 0, "population": 4, "islands": 1, "evaluations": 1, "proposals": 0}
        for name, lowest in least.items():
            value = getattr(self, name)
            if value < lowest:
                raise ValueError(f"search.{name}: got {value}, want {lowest} or more")

    @property
    def epoch_size(self) -> int:
        """Designs of an epoch once slices are full."""
        return self.islands * self.evaluations

    @cached_property
    def _growing(self) -> tuple[int, ...]:
        """Designs of each slice of the epochs before slices are full."""
        if self.method != BURSTS:
            return ()
        parts = (2**doubling for doubling in range(DOUBLINGS, 0, -1))
        return tuple(-(-self.evaluations // part) for part in parts for _ in range(BETWEEN))

    @cached_property
    def _starts(self) -> tuple[int, ...]:
        """Number of the first design of each of these epochs, and of the next one."""
        return (0, *accumulate(size * self.islands for size in self._growing))

    def slice_size(self, epoch: int) -> int:
        """Return how many designs each slice of an epoch tries."""
        return self._growing[epoch] if epoch < len(self._growing) else self.evaluations

    def first_number(self, epoch: int, island: int) -> int:
        """Return the number of the first design of a slice."""
        full = max(0, epoch - len(self._growing))
        start = self._starts[epoch - full] + full * self.epoch_size
        return start + island * self.slice_size(epoch)

    def place(self, number: int) -> tuple[int, int]:
        """Return the epoch and island that a design was tried in; below 0 where none can be."""
        epoch = max(0, bisect_right(self._starts, number) - 1)
        if epoch == len(self._growing):
            epoch += max(0, number - self._starts[-1]) // self.epoch_size
        return epoch, (number - self.first_number(epoch, 0)) // self.slice_size(epoch)

    def chance(self, epoch: int, island: int) -> int:
        """Return the seed of one slice, whatever ran before it."""
        return int(np.random.SeedSequence([self.seed, epoch, island]).generate_state(1)[0])


def _check_word(name: str, word: str, known: Mapping[str, object]) -> None:
    if word not in known:
        hint = near(word, known)
        raise NotFoundError(
            f"search.{name}: got {word!r}, want one of {', '.join(known)}"
            + (f" (near: {hint!r})" if hint else "")
        )
