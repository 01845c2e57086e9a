"""First-order conditions, against trade-offs worked by hand."""

from dataclasses import dataclass, replace

import numpy as np
import pytest
from numpy.testing import assert_allclose, assert_array_equal

from tradeopt.arrays import Array
from tradeopt.search.designs import Designs, score
from tradeopt.search.stationary import STATIONARY, certify, limit_prices
from tradeopt.study.problem import Limit, Objective, Problem, Scores, Variable


@dataclass(frozen=True)
class TwoHills:
    """Squares of the distances to (0, 0) and (1, 0) in a plane; the line between them is best.

    With the limit y >= 0.2 the best line is lifted to y = 0.2.
    """

    limits: tuple[Limit, ...] = ()
    variables: tuple[Variable, ...] = (
        Variable("x", "m", 0.0, 1.0),
        Variable("y", "m", -1.0, 1.0),
        Variable("kind", "", 0.0, 1.0, choices=("a", "b")),
    )
    objectives: tuple[Objective, ...] = (
        Objective("near", "m^2", highest=False),
        Objective("far", "m^2", highest=True),
    )

    @property
    def baseline(self) -> Array:
        return np.array([0.5, 0.5, 0.0])

    def score(self, designs: Array) -> Scores:
        x, y, _ = designs.T
        costs = np.column_stack([x**2 + y**2, -((x - 1.0) ** 2) - y**2])
        return Scores(costs, (0.2 - y)[:, None] / 0.5 if self.limits else np.empty((len(x), 0)))


LIFTED = TwoHills(limits=(Limit("y", "m", 0.2, at_most=False, scale=0.5),))


def line(problem: Problem, y: float, count: int = 11) -> Designs:
    x = np.linspace(0.0, 1.0, count)
    return score(problem, np.column_stack([x, np.full(count, y), np.zeros(count)]), 0)


def test_designs_on_the_best_line_are_stationary() -> None:
    found = certify(TwoHills(), line(TwoHills(), 0.0), (0, 1), 100)
    assert_array_equal(found.numbers, np.arange(11))
    assert np.all(found.stationary)
    # x (1 - x) of both slopes balance with the weights 1 - x and x
    assert_allclose(found.weights[1:-1, 0], 1.0 - np.linspace(0.1, 0.9, 9), atol=1e-3)


def test_designs_off_the_line_are_not() -> None:
    """What is left of the slopes is 2 y in y, by the range of 2 m; both spreads are 1 m^2."""
    found = certify(TwoHills(), line(TwoHills(), 0.3), (0, 1), 100)
    assert not np.any(found.stationary)
    assert_allclose(found.residual[3:8], 2.0 * 0.3 * 2.0, rtol=1e-3)


def test_a_limit_that_holds_designs_back_has_its_price() -> None:
    front = line(LIFTED, 0.2)
    found = certify(LIFTED, front, (0, 1), 100)
    assert np.all(found.stationary)
    # relaxing y by 1 m lowers both squares by 2 y = 0.4 m^2; all of it may go to either objective
    # where the other one is held: by its share of the weight
    worth = limit_prices(LIFTED, front, found)
    x = 0.3
    assert_allclose(found.weights[3], [1.0 - x, x], atol=2e-3)
    assert_allclose(worth[3, 0], [0.4 / (1.0 - x), 0.4 / x], rtol=0.01)


def test_prices_are_what_relaxing_the_limit_is_worth() -> None:
    """Move the limit by 1 mm and walk along the other objective: the first gains what was said."""
    front = line(LIFTED, 0.2)
    worth = limit_prices(LIFTED, front, certify(LIFTED, front, (0, 1), 100))[3, 0, 0]
    x, y, step = 0.3, 0.2, 1e-3
    held = (x - 1.0) ** 2 + y**2
    moved = 1.0 - np.sqrt(held - (y - step) ** 2)
    gained = (x**2 + y**2) - (moved**2 + (y - step) ** 2)
    assert gained / step == pytest.approx(worth, rel=0.01)


def test_parts_make_up_the_whole() -> None:
    front = line(LIFTED, 0.2)
    whole = certify(LIFTED, front, (0, 1), 100)
    parts = [certify(LIFTED, front, (part, 3), 100) for part in range(3)]
    assert sorted(np.concatenate([one.numbers for one in parts])) == list(range(11))
    # programs solved side by side end together, some with less left over than they would alone
    assert_allclose(parts[1].residual, whole.residual[1::3], atol=1e-4)
    assert np.all(whole.residual <= STATIONARY)


def test_where_all_is_a_choice_there_is_nothing_to_certify() -> None:
    chosen = TwoHills(variables=tuple(replace(one, whole=True) for one in TwoHills.variables))
    assert not len(certify(chosen, line(chosen, 0.0), (0, 1), 100).numbers)
