"""What the services need of a study, and of what reads one."""

from collections.abc import Callable, Mapping
from typing import Protocol, TypeAlias

from tradeopt.settings import read_settings
from tradeopt.store.runs import Run
from tradeopt.study.fused import quickened
from tradeopt.study.problem import Problem


class SearchWish(Protocol):
    """What a study says of its search."""

    @property
    def time(self) -> float | None:
        """Seconds to search."""

    @property
    def designs(self) -> int | None:
        """Designs to try."""

    @property
    def seed(self) -> int:
        """Where all chance comes from."""

    @property
    def method(self) -> str:
        """How designs are found, a key of `SIZES`."""

    @property
    def sampler(self) -> str:
        """Name of the proposer."""

    @property
    def islands(self) -> int:
        """Slices an epoch."""

    @property
    def stop(self) -> str:
        """When to stop: `settled` or `budget`."""


class StudyLike(Protocol):
    """A study that has been read."""

    @property
    def name(self) -> str:
        """Its short name."""

    @property
    def text(self) -> str:
        """The study file."""

    @property
    def files(self) -> Mapping[str, str]:
        """The files it refers to, by name."""

    @property
    def digest(self) -> str:
        """SHA-256 of all that."""

    @property
    def search(self) -> SearchWish:
        """How it wants to be searched."""

    @property
    def problem(self) -> Problem:
        """What scores its designs."""


StudyReader: TypeAlias = Callable[[str, Mapping[str, str]], StudyLike]
"""Reads a study from its text and the files it refers to; a function at the top of a module."""


def problem_of(run: Run, read_study: StudyReader) -> Problem:
    """Return what scores the designs of a run, as fast as this machine can."""
    return quickened(read_study(run.text, run.files).problem, read_settings().cache_folder)
