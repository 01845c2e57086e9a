"""A small analytic problem with every kind of variable, and a study that holds it.

Children of the tests import this file by name.
"""

import hashlib
import os
import signal
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

import numpy as np

from tradeopt.arrays import Array
from tradeopt.search.plan import SearchPlan
from tradeopt.study.problem import Limit, Objective, Scores, Variable


@dataclass(frozen=True)
class ToyProblem:
    """Range against mass; a few gear ratios have no range."""

    pause: float = 0.0
    variables: tuple[Variable, ...] = (
        Variable("gear.ratio", "1", 1.0, 100.0, log=True),
        Variable("share", "1", 0.0, 1.0),
        Variable("cells", "1", 1.0, 9.0, whole=True),
        Variable("fan", "", 0.0, 1.0, choices=("no", "yes")),
    )
    objectives: tuple[Objective, ...] = (
        Objective("range", "m", highest=True),
        Objective("mass", "kg", highest=False),
    )
    limits: tuple[Limit, ...] = (
        Limit("heat", "K", 80.0, at_most=True, scale=80.0),
        Limit("speed", "m/s", 1.0, at_most=False, scale=1.0),
    )

    @property
    def baseline(self) -> Array:
        return np.array([10.0, 0.5, 4.0, 0.0])

    def score(self, designs: Array) -> Scores:
        time.sleep(self.pause)
        ratio, share, cells, fan = designs.T
        reach = cells * (1.0 - (share - 0.3) ** 2) * np.exp(-(np.log(ratio / 20.0) ** 2))
        reach = np.where(ratio > 60.0, np.nan, reach)
        mass = 2.0 + 0.5 * cells + 0.3 * fan + share
        heat = 60.0 + 8.0 * cells - 30.0 * fan - 10.0 * share
        speed = 15.0 / ratio
        violations = np.column_stack([heat / 80.0 - 1.0, 1.0 - speed])
        return Scores(np.column_stack([reach, mass]), violations)


@dataclass(frozen=True)
class ToySearch:
    time: float | None = None
    designs: int | None = 512
    seed: int = 7
    method: str = "bursts"
    sampler: str = "nsga2"
    islands: int = 4
    stop: str = "settled"


@dataclass(frozen=True)
class ToyStudy:
    text: str = "toy"
    name: str = "toy"
    files: Mapping[str, str] = field(default_factory=dict)
    search: ToySearch = ToySearch()
    problem: ToyProblem = ToyProblem()

    @property
    def digest(self) -> str:
        return hashlib.sha256(self.text.encode()).hexdigest()


SMALL = SearchPlan(seed=7, method="trials", population=16, islands=4, evaluations=32)
"""A plan by trials whose epochs are 128 designs."""

BURSTS = SearchPlan(seed=7, population=16, islands=4, evaluations=8192, proposals=4)
"""A plan by bursts whose first epochs are 256 designs."""


@dataclass(frozen=True)
class _Trap(ToyProblem):
    """Springs on designs near the baseline."""

    spring: Callable[[], None] = os.abort

    def score(self, designs: Array) -> Scores:
        if np.any(np.all(designs == self.baseline, axis=1)):
            self.spring()
        return super().score(designs)


def _kill() -> None:
    os.kill(os.getpid(), signal.SIGKILL)


def _hang() -> None:
    while True:
        time.sleep(0.01)


def read_toy(text: str, _files: Mapping[str, str]) -> ToyStudy:
    """Read the study; its text may name a pause for each batch [s], or what its baseline does."""
    if text in {"deadly", "endless"}:
        return ToyStudy(text, problem=_Trap(spring=_kill if text == "deadly" else _hang))
    pause = float(text.removeprefix("pause ")) if text.startswith("pause ") else 0.0
    return ToyStudy(text, problem=ToyProblem(pause))


class _Deadly(ToyProblem):
    def score(self, designs: Array) -> Scores:
        os._exit(len(designs))


class _Broken(ToyProblem):
    def score(self, designs: Array) -> Scores:
        raise ArithmeticError(f"the stage of a user, {designs.ndim} axes")


def read_deadly(text: str, _files: Mapping[str, str]) -> ToyStudy:
    return ToyStudy(text, problem=_Deadly())


def read_broken(text: str, _files: Mapping[str, str]) -> ToyStudy:
    return ToyStudy(text, problem=_Broken())
