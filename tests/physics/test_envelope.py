"""Laws of the room that drives take up."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from tradeopt.arrays import Array
from tradeopt.physics import envelope

law = settings(deadline=None, max_examples=80)
places = arrays(np.float64, 3, elements=st.floats(-0.5, 0.5))
sides = arrays(np.float64, 3, elements=st.floats(0.02, 0.3))


@law
@given(offset=places, first=sides, second=sides)
def test_a_gap_is_no_more_than_the_distance_of_the_boxes(
    offset: Array, first: Array, second: Array
) -> None:
    gap = envelope.box_gap(offset, first, second)
    between = np.maximum(np.abs(offset) - (first + second) / 2.0, 0.0)
    assert gap <= np.linalg.norm(between) + 1e-12
    assert (gap > 0.0) == bool(between.any()), "clear exactly where some axis keeps them apart"
    assert envelope.box_gap(-offset, second, first) == gap


@law
@given(offset=places, first=sides, second=sides)
def test_moving_apart_by_what_is_missing_makes_them_touch(
    offset: Array, first: Array, second: Array
) -> None:
    gap = envelope.box_gap(offset, first, second)
    best = int(np.argmax(np.abs(offset) - (first + second) / 2.0))
    moved = offset.copy()
    moved[best] -= gap * np.copysign(1.0, offset[best])
    reached = np.abs(moved[best]) - (first[best] + second[best]) / 2.0
    assert abs(reached) < 1e-12


def test_a_cylinder_lies_along_its_axis() -> None:
    box = envelope.cylinder_box(np.full(3, 0.1), np.full(3, 0.06), np.arange(3.0))
    np.testing.assert_array_equal(box, np.where(np.eye(3) > 0, 0.06, 0.1))


def test_reach_of_something_moved_outward_falls_by_as_much() -> None:
    reach = envelope.inward_reach(np.array([0.0, 0.03]), np.array(0.08))
    np.testing.assert_allclose(reach, [0.04, 0.01])
