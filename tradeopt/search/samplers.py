"""The proposers of designs, by name, and how one starts from parents scored elsewhere."""

import re
import warnings
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from importlib import import_module
from typing import TypeAlias

import optuna
from optuna.distributions import BaseDistribution
from optuna.exceptions import ExperimentalWarning
from optuna.samplers import (
    BaseGASampler,
    BaseSampler,
    GPSampler,
    NSGAIIISampler,
    NSGAIISampler,
    QMCSampler,
    RandomSampler,
    TPESampler,
)
from optuna.samplers.nsgaii import PolynomialMutation
from optuna.trial import FrozenTrial, TrialState

from tradeopt.errors import NotFoundError


@dataclass(frozen=True)
class Breeding:
    """What a proposer is made from.

    Attributes
    ----------
    space : mapping of str to BaseDistribution
        What may be chosen.
    population : int
        Size of a generation.
    seed : int
        Where its chance comes from.
    founders : tuple of FrozenTrial
        Trials of the same study that generation 0 is bred from; the study's first ones. May be
        empty.
    """

    space: Mapping[str, BaseDistribution]
    population: int
    seed: int
    founders: tuple[FrozenTrial, ...]


class _Founded(BaseGASampler):
    """A genetic sampler whose generations are counted by trial number, after the founders.

    The library's own count reads marks that it sets on the trials it has proposed itself, so that
    trials added from elsewhere are never bred from, and looks through all trials for each
    proposal. Here the place in the study says it all. Only public methods are replaced.
    """

    breeding: Breeding
    parents: dict[int, list[FrozenTrial]]

    def found(self, breeding: Breeding) -> None:
        """Begin from these founders."""
        self.breeding = breeding
        self.parents = {0: list(breeding.founders)}

    def infer_relative_search_space(
        self,
        study: optuna.Study,  # noqa: ARG002 - the signature is the library's
        trial: FrozenTrial,  # noqa: ARG002 - the signature is the library's
    ) -> dict[str, BaseDistribution]:
        """Return what is bred: all that has more than one value."""
        return {name: kind for name, kind in self.breeding.space.items() if not kind.single()}

    def get_trial_generation(
        self,
        study: optuna.Study,  # noqa: ARG002 - the signature is the library's
        trial: FrozenTrial,
    ) -> int:
        """Return the generation of a trial; founders stand before 0."""
        return (trial.number - len(self.breeding.founders)) // self.breeding.population

    def get_population(self, study: optuna.Study, generation: int) -> list[FrozenTrial]:
        """Return the trials of a generation that have values."""
        scored = study.get_trials(deepcopy=False, states=(TrialState.COMPLETE,))
        return [t for t in scored if self.get_trial_generation(study, t) == generation]

    def get_parent_population(self, study: optuna.Study, generation: int) -> list[FrozenTrial]:
        """Return the trials that a generation is bred from; none where there are not two."""
        if generation not in self.parents:
            self.parents[generation] = self.select_parent(study, generation)
        parents = self.parents[generation]
        return parents if len(parents) > 1 else []


class _FoundedTwo(_Founded, NSGAIISampler):
    """NSGA-II from founders."""


class _FoundedThree(_Founded, NSGAIIISampler):
    """NSGA-III from founders."""


def _nsga2(breeding: Breeding) -> BaseSampler:
    sampler = _FoundedTwo(
        population_size=breeding.population, seed=breeding.seed, mutation=PolynomialMutation()
    )
    sampler.found(breeding)
    return sampler


def _nsga3(breeding: Breeding) -> BaseSampler:
    sampler = _FoundedThree(population_size=breeding.population, seed=breeding.seed)
    sampler.found(breeding)
    return sampler


def _tpe(breeding: Breeding) -> BaseSampler:
    return TPESampler(seed=breeding.seed, n_startup_trials=breeding.population, multivariate=True)


def _gp(breeding: Breeding) -> BaseSampler:
    return GPSampler(seed=breeding.seed)


def _random(breeding: Breeding) -> BaseSampler:
    return RandomSampler(seed=breeding.seed)


def _qmc(breeding: Breeding) -> BaseSampler:
    return QMCSampler(seed=breeding.seed, scramble=True, warn_independent_sampling=False)


Sampler: TypeAlias = Callable[[Breeding], BaseSampler]

SAMPLERS: Mapping[str, Sampler] = {
    "nsga2": _nsga2,
    "nsga3": _nsga3,
    "tpe": _tpe,
    "gp": _gp,
    "qmc": _qmc,
    "random": _random,
}

_CLASS = re.compile(r"[A-Za-z_][\w.]*:[A-Za-z_]\w*")


def is_sampler(name: str) -> bool:
    """
    Tell whether a name can mean a proposer.

    Parameters
    ----------
    name : str
        A key of `SAMPLERS`, or `module:Class` for any sampler of the library's kind.

    Returns
    -------
    bool
        Whether it is one of these forms; a class is looked for when it is first needed.

    Examples
    --------
    >>> is_sampler("tpe"), is_sampler("optuna.samplers:TPESampler"), is_sampler("best")
    (True, True, False)
    """
    return name in SAMPLERS or _CLASS.fullmatch(name) is not None


def make_sampler(name: str, breeding: Breeding) -> BaseSampler:
    """
    Make a proposer.

    Parameters
    ----------
    name : str
        See `is_sampler`. A class is made with the seed alone.
    breeding : Breeding
        What it starts from.

    Returns
    -------
    BaseSampler
        The library's sampler, fresh.

    Raises
    ------
    NotFoundError
        If there is no such class, or something that it needs is not installed.
    """
    with warnings.catch_warnings():
        # some are marked as experimental; what that may cost us, a changed interface, tests show
        warnings.simplefilter("ignore", ExperimentalWarning)
        try:
            return (SAMPLERS[name] if name in SAMPLERS else _of_class(name))(breeding)
        except ImportError as error:
            raise NotFoundError(
                f"search.sampler: got {name!r}, want one whose needs are met: {error}"
            ) from error


def _of_class(name: str) -> Sampler:
    module, _, word = name.partition(":")
    found = getattr(import_module(module), word, None)
    if not (isinstance(found, type) and issubclass(found, BaseSampler)):
        raise NotFoundError(f"search.sampler: got {name!r}, want the class of a sampler")
    made: Callable[..., BaseSampler] = found
    return lambda breeding: made(seed=breeding.seed)


@contextmanager
def quiet() -> Iterator[None]:
    """Keep the sampler library from telling of every study it makes, within the block."""
    before = optuna.logging.get_verbosity()
    optuna.logging.set_verbosity(optuna.logging.WARNING)
    try:
        yield
    finally:
        optuna.logging.set_verbosity(before)
