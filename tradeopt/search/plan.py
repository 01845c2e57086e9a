"""How a run searches: the settings that its result repeats by."""

from dataclasses import dataclass

import numpy as np

from tradeopt.errors import NotFoundError, near
from tradeopt.search.samplers import SAMPLERS


@dataclass(frozen=True)
class SearchPlan:
    """All that decides which designs a run tries, beside the study.

    Attributes
    ----------
    seed : int
        Where all chance in the run comes from.
    sampler : str
        Name of the proposer, a key of `SAMPLERS`.
    population : int
        Designs that live on and are bred from; also the size of a generation.
    islands : int
        Slices an epoch. They do not see each other until it ends, so that any number of workers,
        in any order, tries the same designs.
    evaluations : int
        Designs a slice.
    """

    seed: int
    sampler: str = "nsga2"
    population: int = 40
    islands: int = 4
    evaluations: int = 512

    def __post_init__(self) -> None:
        if self.sampler not in SAMPLERS:
            hint = near(self.sampler, SAMPLERS)
            raise NotFoundError(
                f"search.sampler: got {self.sampler!r}, want one of {', '.join(SAMPLERS)}"
                + (f" (near: {hint!r})" if hint else "")
            )
        for name, least in (("seed", 0), ("population", 4), ("islands", 1), ("evaluations", 1)):
            value = getattr(self, name)
            if value < least:
                raise ValueError(f"search.{name}: got {value}, want {least} or more")

    @property
    def epoch_size(self) -> int:
        """Designs an epoch."""
        return self.islands * self.evaluations

    def first_number(self, epoch: int, island: int) -> int:
        """Return the number of the first design of a slice."""
        return (epoch * self.islands + island) * self.evaluations

    def place(self, number: int) -> tuple[int, int]:
        """Return the epoch and island that a design was tried in."""
        return divmod(number // self.evaluations, self.islands)

    def chance(self, epoch: int, island: int) -> int:
        """Return the seed of one slice, whatever ran before it."""
        return int(np.random.SeedSequence([self.seed, epoch, island]).generate_state(1)[0])
