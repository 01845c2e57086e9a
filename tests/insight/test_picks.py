"""Which designs of a front to look at, on fronts worked by hand."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from tradeopt.insight.picks import best_in_each, knee, merit

BENT = np.array([[0.0, 40.0], [1.0, 30.0], [2.0, 8.0], [9.0, 3.0], [10.0, 0.0]])


def test_the_knee_lies_farthest_from_the_line_through_the_ends() -> None:
    a, b = BENT[0], BENT[-1]
    across = np.array([b[1] - a[1], a[0] - b[0]])
    away = (BENT - a) @ across / np.hypot(*across)
    assert knee(BENT) == int(away.argmax()) == 2


def test_the_best_of_each_objective_are_the_ends() -> None:
    assert best_in_each(BENT).tolist() == [0, 4]


@given(
    st.lists(st.floats(0.01, 100.0), min_size=2, max_size=2),
    st.lists(st.floats(-50.0, 50.0), min_size=2, max_size=2),
)
def test_units_and_origins_do_not_move_the_knee(factor: list[float], start: list[float]) -> None:
    moved = BENT * factor + start
    assert knee(moved) == 2
    assert_allclose(merit(moved, moved), merit(BENT, BENT), atol=1e-6)


def test_ends_of_a_straight_front_are_worth_the_same() -> None:
    x = np.linspace(0.0, 1.0, 7)
    straight = np.column_stack([3.0 * x, 5.0 - 2.0 * x])
    assert_allclose(merit(straight, straight), 0.5)


@pytest.mark.parametrize("front", [np.array([[3.0, 4.0]]), np.array([[3.0, 4.0], [3.0, 5.0]])])
def test_an_objective_that_all_share_decides_nothing(front: np.ndarray) -> None:
    assert knee(front) == 0
