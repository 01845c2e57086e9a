"""How a run searches: the settings that its result repeats by."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from tradeopt.errors import NotFoundError, near
from tradeopt.search.samplers import SAMPLERS, is_sampler

BURSTS, TRIALS = "bursts", "trials"

SHORT = 12
"""Epochs of bursts, from the first one, that are short."""

QUARTER = 4
"""How many times shorter their slices are."""

SIZES: Mapping[str, tuple[int, int]] = {BURSTS: (50, 2048), TRIALS: (40, 128)}
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
        Designs a slice; in the first `SHORT` epochs a quarter of them, since what one island finds
        then helps the others most.
    proposals : int
        Designs that the sampler proposes for each epoch of bursts.
    """

    seed: int
    method: str = BURSTS
    sampler: str = "nsga2"
    population: int = 50
    islands: int = 4
    evaluations: int = 2048
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
        """Designs of an epoch after the short ones."""
        return self.islands * self.evaluations

    @property
    def _short(self) -> int:
        """Designs of a slice of the first epochs."""
        return -(-self.evaluations // QUARTER) if self.method == BURSTS else self.evaluations

    def slice_size(self, epoch: int) -> int:
        """Return how many designs each slice of an epoch tries."""
        return self._short if epoch < SHORT else self.evaluations

    def first_number(self, epoch: int, island: int) -> int:
        """Return the number of the first design of a slice."""
        short = min(epoch, SHORT) * self._short + max(0, epoch - SHORT) * self.evaluations
        return short * self.islands + island * self.slice_size(epoch)

    def place(self, number: int) -> tuple[int, int]:
        """Return the epoch and island that a design was tried in."""
        later = number - SHORT * self.islands * self._short
        if later < 0:
            return divmod(number // self._short, self.islands)
        epoch, island = divmod(later // self.evaluations, self.islands)
        return SHORT + epoch, island

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
