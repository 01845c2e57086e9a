"""Tight limits and prices, against a trade-off that is searched again with its limit relaxed."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from numpy.testing import assert_allclose, assert_array_equal
from scipy.optimize import LinearConstraint, NonlinearConstraint, minimize

from tests.search.test_stationary import LIFTED, TwoHills, line
from tradeopt.insight.tightness import Prices, exchange, prices, tightness
from tradeopt.search.stationary import certify

FRONT = line(LIFTED, 0.2)
"""The best line, held up by the limit y >= 0.2."""


def found_prices() -> Prices:
    return prices(LIFTED, FRONT, certify(LIFTED, FRONT, (0, 1), len(FRONT)))


@pytest.mark.parametrize("number", [3, 5, 7])
def test_a_price_is_what_a_search_with_the_limit_relaxed_wins(number: int) -> None:
    """Both objectives are told as the study means them: near as low, far as high as can be."""
    row = int(np.flatnonzero(FRONT.numbers == number)[0])
    near, far = FRONT.objectives[row]
    step = 1e-4

    def near_of(at: Any) -> float:
        return float(at[0] ** 2 + at[1] ** 2)

    def far_of(at: Any) -> list[float]:
        return [float(-((at[0] - 1.0) ** 2) - at[1] ** 2)]

    def best_near(least_y: float) -> float:
        held: list[LinearConstraint | NonlinearConstraint] = [
            NonlinearConstraint(far_of, far, np.inf),
            LinearConstraint(np.array([[0.0, 1.0]]), least_y, np.inf),
        ]
        start = FRONT.values[row, :2]
        return float(minimize(near_of, start, method="SLSQP", constraints=held, tol=1e-14).fun)

    assert best_near(0.2) == pytest.approx(near, rel=1e-6)
    won = (near - best_near(0.2 - step)) / step
    assert found_prices().of(number)[0, 0] == pytest.approx(won, rel=5e-3)


def test_a_limit_that_holds_nothing_back_costs_nothing() -> None:
    loose = line(LIFTED, 0.4)
    found = prices(LIFTED, loose, certify(LIFTED, loose, (0, 1), len(loose)))
    assert_array_equal(found.usual, 0.0)


def test_the_usual_price_is_the_middle_of_those_that_pay() -> None:
    limits = np.array([[[1.0]], [[np.nan]], [[0.0]], [[3.0]], [[8.0]]])
    assert_allclose(Prices(np.arange(5), np.zeros(5), limits).usual, [[3.0]])


def test_a_design_without_a_certificate_has_no_prices() -> None:
    assert np.all(np.isnan(found_prices().of(999)))


def test_an_objective_without_weight_has_no_price() -> None:
    """At the end of the line only the one objective counts whose best it is."""
    assert np.isnan(found_prices().of(0)[0, 1])
    assert np.isfinite(found_prices().of(0)[0, 0])


def test_an_objective_that_is_flat_alone_tells_no_prices() -> None:
    """On a step all the weight falls on the flat objective, and no limit has a multiplier."""
    whole = certify(LIFTED, FRONT, (0, 1), len(FRONT))
    weights = np.tile([1.0, 0.0], (len(whole.numbers), 1))
    flat = replace(whole, weights=weights, prices=np.zeros_like(whole.prices))
    assert np.isnan(prices(LIFTED, FRONT, flat).limits).all()


def test_the_trade_along_a_front_is_its_slope() -> None:
    """Costs x^2 and (x - 1)^2 have the slope 1 in the middle, where they bend but a little."""
    front = line(TwoHills(), 0.0, count=41)
    costs = front.objectives * [1.0, -1.0]
    assert exchange(costs, 20) == pytest.approx(1.0, rel=0.02)


def test_limits_are_told_by_how_many_designs_they_hold() -> None:
    found = tightness(np.array([[-0.001, -0.3], [-0.5, -0.2], [0.0, -0.1]]), active=0.02)
    assert_allclose(found.active, [2 / 3, 0.0])
    assert_allclose(found.least, [0.0, 0.1])
    assert_allclose(found.median, [0.001, 0.2])
