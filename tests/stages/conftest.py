"""The example study, and batches of its designs."""

from collections.abc import Callable

import numpy as np
import pytest

from tradeopt.study.compiled import CompiledStudy, Evaluation
from tradeopt.study.read import load


@pytest.fixture(scope="session")
def problem() -> CompiledStudy:
    return load("levee_rounds").problem


@pytest.fixture(scope="session")
def designs(problem: CompiledStudy) -> np.ndarray:
    """Designs all over the space of the example, every choice and whole number among them."""
    rng = np.random.default_rng(5)
    lower = np.array([one.lower for one in problem.variables])
    upper = np.array([one.upper for one in problem.variables])
    drawn = lower + (upper - lower) * rng.random((40, len(lower)))
    whole = np.array([one.whole for one in problem.variables])
    designs: np.ndarray = np.where(whole, np.rint(drawn), drawn)
    return designs


@pytest.fixture(scope="session")
def evaluation(problem: CompiledStudy, designs: np.ndarray) -> Evaluation:
    return problem.evaluate(designs)


@pytest.fixture
def vary(problem: CompiledStudy) -> Callable[[str, list[float]], Evaluation]:
    """Evaluate the baseline with one variable at several values."""

    def evaluated(path: str, values: list[float]) -> Evaluation:
        column = [one.path for one in problem.variables].index(path)
        rows = np.repeat(problem.baseline[None], len(values), axis=0)
        rows[:, column] = values
        return problem.evaluate(rows)

    return evaluated
