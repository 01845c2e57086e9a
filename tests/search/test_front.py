"""Fronts against a brute-force oracle, areas by hand, and laws for any set of designs."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from numpy.testing import assert_array_equal

from tradeopt.arrays import Array, Flags
from tradeopt.search import front
from tradeopt.study.problem import Objective

# few distinct values, so that ties and doubles are common
COSTS = st.integers(1, 4).flatmap(
    lambda width: arrays(
        np.float64,
        st.tuples(st.integers(1, 40), st.just(width)),
        elements=st.integers(0, 6).map(float),
    )
)


def beaten_by_any(costs: Array) -> Flags:
    """For every design ask every other one."""
    return np.array(
        [any(np.all(other <= one) and np.any(other < one) for other in costs) for one in costs]
    )


@given(COSTS)
@settings(max_examples=150, deadline=None)
def test_non_dominated_are_those_that_no_other_beats(costs: Array) -> None:
    standing = front.non_dominated(costs)
    assert not np.any(standing & beaten_by_any(costs))
    # whatever does not stand is beaten, or equal to one before it that stands
    for row in np.flatnonzero(~standing & ~beaten_by_any(costs)):
        assert any(standing[k] and np.array_equal(costs[k], costs[row]) for k in range(row))


def test_no_designs_have_no_front_and_no_volume() -> None:
    nothing = np.empty((0, 3))
    assert front.non_dominated(nothing).shape == (0,)
    assert front.hypervolume(nothing, np.ones(3)) == 0.0
    assert front.spread_out(nothing, 5).shape == (0,)
    assert front.survivors(nothing, np.empty((0, 2)), 5).shape == (0,)


def test_minimised_turns_only_what_is_wanted_high() -> None:
    wanted = [Objective("range", "m", highest=True), Objective("mass", "kg", highest=False)]
    turned = front.minimised(np.array([[3.0, 4.0], [5.0, 6.0]]), wanted)
    assert_array_equal(turned, [[-3.0, 4.0], [-5.0, 6.0]])


@given(COSTS)
@settings(max_examples=50, deadline=None)
def test_hypervolume_counts_unit_cells(costs: Array) -> None:
    """Costs are whole: the volume is the number of unit cells with a design at or below them."""
    width = costs.shape[1]
    cells = np.stack(np.meshgrid(*[np.arange(7)] * width, indexing="ij"), axis=-1)
    corners = cells.reshape(-1, width)
    covered = np.any(np.all(costs[:, None] <= corners[None], axis=2), axis=0)
    assert front.hypervolume(costs, np.full(width, 7.0)) == pytest.approx(float(covered.sum()))


def test_reference_lies_behind_every_design_even_where_they_do_not_spread() -> None:
    corner = front.reference_corner(np.array([[0.0, -5.0, 2.0], [0.0, -5.0, 4.0]]))
    assert_array_equal(corner, [1.0, -4.5, 4.2])


def test_crowding_of_evenly_spaced_designs_is_equal_inside_and_infinite_at_the_ends() -> None:
    step = np.arange(5.0)
    # each inner design has neighbours two steps of four apart, in both objectives: 2/4 + 2/4
    assert_array_equal(front.crowding(np.column_stack([step, -step])), [np.inf, 1, 1, 1, np.inf])


def test_spread_out_keeps_the_ends_and_drops_the_huddle() -> None:
    place = np.array([0.0, 0.01, 0.02, 0.03, 0.5, 1.0])
    kept = front.spread_out(np.column_stack([place, 1.0 - place]), 3)
    assert_array_equal(kept, [0, 4, 5])


@given(COSTS, st.integers(1, 12))
@settings(max_examples=60, deadline=None)
def test_spread_out_keeps_as_many_as_asked_each_once(costs: Array, most: int) -> None:
    kept = front.spread_out(costs, most)
    assert len(kept) == min(most, len(costs))
    assert np.all(np.diff(kept) > 0)


def test_survivors_come_by_rank_then_spread_then_violation() -> None:
    costs = np.array(
        [
            [4.0, 4.0],  # second rank
            [0.0, 3.0],  # first rank, an end
            [3.0, 0.0],  # first rank, an end
            [1.0, 2.0],  # first rank, inside
            [0.0, 0.0],  # misses limits by 0.5
            [9.0, 9.0],  # misses limits by 0.2 + 0.1
            [np.nan, 0.0],  # no value
        ]
    )
    violations = np.zeros((7, 2))
    violations[4] = [0.5, -9.0]
    violations[5] = [0.2, 0.1]
    assert_array_equal(front.survivors(costs, violations, 7), [1, 2, 3, 0, 5, 4])
    assert_array_equal(front.survivors(costs, violations, 3), [1, 2, 3])
