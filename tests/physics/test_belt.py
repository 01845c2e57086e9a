"""Laws of a toothed belt on two pulleys."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial import ConvexHull

from tradeopt.physics import belt

law = settings(deadline=None, max_examples=40)


@law
@given(small=st.floats(0.02, 0.05), more=st.floats(0.0, 0.15), apart=st.floats(0.01, 0.3))
def test_belt_is_as_long_as_a_string_around_both_pulleys(
    small: float, more: float, apart: float
) -> None:
    """The hull of two circles, drawn with many corners."""
    large = small + more
    distance = (large - small) / 2.0 + apart
    turn = 2 * np.pi * np.arange(2000) / 2000
    circle = np.stack((np.cos(turn), np.sin(turn)), axis=1)
    corners = np.concatenate((circle * small / 2.0, circle * large / 2.0 + [distance, 0.0]))
    hull = ConvexHull(corners)
    run = belt.belt_run(np.array(small), np.array(large), np.array(distance))
    assert run.length == pytest.approx(hull.area, rel=1e-5)  # area of a plane hull: its outline
    assert run.strand <= distance
    assert run.wrap <= np.pi


def test_equal_pulleys_are_wrapped_by_half() -> None:
    run = belt.belt_run(np.array(0.05), np.array(0.05), np.array(0.2))
    assert run.wrap == pytest.approx(np.pi)
    assert run.strand == pytest.approx(0.2)


def test_a_large_pulley_near_a_small_one_leaves_few_teeth() -> None:
    margins = [
        float(
            belt.teeth_margin(
                np.array(15.0),
                belt.belt_run(np.array(0.03), np.array(0.18), np.array(distance)).wrap,
                np.array(6.0),
            )
        )
        for distance in (0.5, 0.15, 0.1, 0.05)
    ]
    assert margins[0] > 0.0 > margins[1] > margins[2] > margins[3]
    assert np.isfinite(margins).all()


def test_teeth_in_mesh_are_counted_along_the_wrap() -> None:
    """On 24 teeth a wrap of 90 deg holds 6."""
    margin = belt.teeth_margin(np.array(24.0), np.array(np.pi / 2), np.array([6.0, 3.0]))
    np.testing.assert_allclose(margin, [0.0, 0.5], atol=1e-12)
