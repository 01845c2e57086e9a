"""Spreads, on responses whose answers are known in closed form."""

import numpy as np
import pytest
from numpy.testing import assert_allclose, assert_array_equal

from tradeopt.arrays import Array
from tradeopt.insight.spreads import drawn, smallest_flips, tornado, variance_shares

SLOPES = np.array([[3.0, 0.0], [-1.0, 2.0], [0.5, 0.0]])


def plane(shifts: Array) -> Array:
    return np.asarray(shifts @ SLOPES + np.array([10.0, -4.0]), dtype=np.float64)


def test_a_tornado_of_a_plane_is_its_slopes() -> None:
    found = tornado(plane, 3)
    assert_allclose(found.nominal, [10.0, -4.0])
    assert_allclose(found.high - found.nominal, SLOPES)
    assert_allclose(found.low - found.nominal, -SLOPES)
    assert_allclose(found.swing(), np.abs(SLOPES))


def test_a_tornado_shifts_one_at_a_time() -> None:
    seen: list[Array] = []

    def watching(shifts: Array) -> Array:
        seen.append(shifts)
        return plane(shifts)

    tornado(watching, 3)
    assert_array_equal(np.abs(seen[0]).sum(axis=1), [0, 1, 1, 1, 1, 1, 1])


def test_draws_are_even_independent_and_repeatable() -> None:
    identity = drawn(lambda shifts: shifts, 3, 512, seed=5)
    assert_allclose(identity.mean(axis=0), 0.0, atol=0.01)
    assert_allclose(np.cov(identity.T), np.eye(3) / 3.0, atol=0.02)
    assert np.abs(identity).max() <= 1.0
    assert_array_equal(identity, drawn(lambda shifts: shifts, 3, 512, seed=5))
    assert not np.array_equal(identity, drawn(lambda shifts: shifts, 3, 512, seed=6))


def test_the_variance_of_a_plane_is_shared_by_the_squares_of_its_slopes() -> None:
    found = variance_shares(plane, 3, 1024, seed=3)
    shares = np.square(SLOPES) / np.square(SLOPES).sum(axis=0)
    assert_allclose(found.first, shares, atol=0.03)
    assert_allclose(found.total, shares, atol=0.03)


@pytest.mark.parametrize("at", [0.03, 0.4, 1.0, 1.7, 2.99])
def test_a_flip_is_found_where_a_decision_turns(at: float) -> None:
    found = smallest_flips(lambda shifts: at - shifts[:, 1], 2, most=3.0)
    assert found[1, 1] == pytest.approx(at, abs=0.002)
    assert np.isnan(found[[0, 0, 1], [0, 1, 0]]).all()


def test_a_flip_downward_is_negative() -> None:
    found = smallest_flips(lambda shifts: 0.5 + shifts[:, 0], 1, most=3.0)
    assert found[0, 0] == pytest.approx(-0.5, abs=0.002)


def test_what_loses_its_value_does_not_hold() -> None:
    def gap(shifts: Array) -> Array:
        return np.where(shifts[:, 0] > 1.2, np.nan, 1.0)

    assert smallest_flips(gap, 1, most=3.0)[0, 1] == pytest.approx(1.2, abs=0.002)


def test_a_decision_that_nothing_turns_has_no_flips() -> None:
    assert np.isnan(smallest_flips(lambda shifts: np.ones(len(shifts)), 4, most=3.0)).all()
