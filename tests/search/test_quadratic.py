"""Small quadratic programs, against a solver of another kind."""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.optimize import Bounds, LinearConstraint, minimize

from tradeopt.arrays import Array
from tradeopt.search.quadratic import QuadraticPrograms, solve


def programs(rows: int, unknowns: int, sides: int, seed: int) -> QuadraticPrograms:
    """Draw programs that have a solution: nought keeps every side."""
    chance = np.random.default_rng(seed)
    root = chance.normal(size=(rows, unknowns, unknowns))
    return QuadraticPrograms(
        root @ np.swapaxes(root, 1, 2) + 0.1 * np.eye(unknowns),
        chance.normal(size=(rows, unknowns)),
        chance.normal(size=(rows, sides, unknowns)),
        chance.uniform(0.0, 1.0, (rows, sides)),
        chance.uniform(0.0, 0.5, (rows, unknowns)),
        chance.uniform(0.0, 0.5, (rows, unknowns // 2)),
    )


def by_scipy(one: QuadraticPrograms, row: int) -> Array:
    curvature, slope = one.curvature[row], one.slope[row]
    above = np.full(len(slope), np.inf)
    above[: one.above.shape[1]] = one.above[row]
    found = minimize(  # type: ignore[call-overload]  # the stubs want exact shapes
        lambda x: float(0.5 * x @ curvature @ x + slope @ x),
        np.zeros(len(slope)),
        jac=lambda x: curvature @ x + slope,
        method="SLSQP",
        constraints=[LinearConstraint(one.sides[row], ub=one.bounds[row])],
        bounds=Bounds(-one.below[row], above),
        options={"ftol": 1e-11, "maxiter": 500},
    )
    assert found.success
    return np.asarray(found.x)


@pytest.mark.parametrize(("unknowns", "sides"), [(2, 3), (6, 10), (12, 40)])
def test_solutions_are_those_of_scipy(unknowns: int, sides: int) -> None:
    drawn = programs(8, unknowns, sides, seed=unknowns)
    found, _ = solve(drawn)
    for row in range(8):
        assert_allclose(found[row], by_scipy(drawn, row), atol=2e-5)


def test_prices_balance_the_slopes_and_belong_to_sides_that_hold() -> None:
    """Karush, Kuhn, Tucker: Hx + g + A'z = 0, z >= 0, z (b - Ax) = 0."""
    one = programs(8, 6, 10, seed=3)
    x, prices = solve(one)
    every = sides_of_all(one)
    balance = np.einsum("rij,rj->ri", one.curvature, x) + one.slope
    balance += np.einsum("rsi,rs->ri", every, prices)
    bounds = np.concatenate([one.bounds, one.below, one.above], axis=1)
    slack = bounds - np.einsum("rsi,ri->rs", every, x)
    assert_allclose(balance, 0.0, atol=1e-5)
    assert np.all(prices >= 0.0)
    assert np.all(slack >= -1e-7)
    assert_allclose(prices * slack, 0.0, atol=1e-6)
    for some in np.split(prices, [10, 16], axis=1):
        assert np.any(some > 0.1)


def sides_of_all(one: QuadraticPrograms) -> Array:
    """Write the bounds of unknowns as sides too."""
    rows, unknowns = one.slope.shape
    eye = np.broadcast_to(np.eye(unknowns), (rows, unknowns, unknowns))
    below, above = one.below.shape[1], one.above.shape[1]
    return np.concatenate([one.sides, -eye[:, :below], eye[:, :above]], axis=1)


@pytest.mark.parametrize("rows", [2, 5, 33])
def test_a_program_is_solved_alike_alone_and_among_others(rows: int) -> None:
    many = programs(rows, 6, 10, seed=4)
    found, prices = solve(many)
    for row in range(rows):
        one = QuadraticPrograms(*(array[[row]] for array in vars(many).values()))
        alone, price = solve(one)
        assert_allclose(found[row], alone[0], atol=1e-6)
        assert_allclose(prices[row], price[0], atol=1e-5)


def test_a_program_that_is_not_a_number_spoils_no_other() -> None:
    one = programs(3, 4, 5, seed=1)
    alone, _ = solve(one)
    one.slope[1, 0] = np.nan
    found, prices = solve(one)
    assert np.all(np.isnan(found[1]))
    assert np.all(np.isnan(prices[1]))
    assert_allclose(found[[0, 2]], alone[[0, 2]], rtol=1e-12)
