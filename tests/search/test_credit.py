"""Sharing evaluations between operators."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose, assert_array_equal

from tradeopt.search.credit import FLOOR, choose, credited, merged, shares


@given(st.lists(st.floats(0.0, 1e6), min_size=2, max_size=8))
def test_shares_add_up_and_none_falls_below_the_floor(gains: list[float]) -> None:
    found = shares(np.array(gains))
    assert found.sum() == pytest.approx(1.0)
    assert np.all(found >= FLOOR - 1e-12)


def test_those_not_used_yet_come_first_and_islands_begin_with_others() -> None:
    gains = np.array([np.nan, 2.0, np.nan, 0.0])
    chance = np.random.default_rng(1)
    assert [choose(chance, gains, first) for first in range(4)] == [0, 2, 2, 0]


def test_one_that_gains_ten_times_as_much_is_used_far_more() -> None:
    chance = np.random.default_rng(1)
    used = [choose(chance, np.array([10.0, 1.0, 1.0]), 0) for _ in range(2000)]
    # floor 6 %, and 10/12 of the other 82 %
    assert np.mean(np.array(used) == 0) == pytest.approx(0.06 + 0.82 * 10.0 / 12.0, abs=0.03)


def test_booking_a_gain_weighs_it_and_lets_the_others_fade() -> None:
    after = credited(np.array([1.0, 2.0, np.nan]), 0, 3.0)
    assert_allclose(after, [0.6 * 1.0 + 0.4 * 3.0, 0.97 * 2.0, np.nan])
    assert credited(after, 2, 5.0)[2] == 5.0


def test_islands_that_know_are_averaged() -> None:
    nan = np.nan
    told = merged(
        [np.array([1.0, nan, nan]), np.array([3.0, 4.0, nan])], np.array([9.0, 9.0, 7.0])
    )
    assert_array_equal(told, [2.0, 4.0, 7.0])
    assert_array_equal(merged([], np.array([1.0, nan])), [1.0, nan])
