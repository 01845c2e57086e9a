"""Laws of ratios that change with the angle."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.interpolate import CubicHermiteSpline

from tradeopt.physics import ratio

law = settings(deadline=None, max_examples=60)


@law
@given(seed=st.integers(0, 10_000), lowest=st.floats(-2.0, -0.5), length=st.floats(0.5, 3.0))
def test_a_curve_is_made_of_cubic_pieces(seed: int, lowest: float, length: float) -> None:
    rng = np.random.default_rng(seed)
    curve, slope = rng.uniform(10.0, 30.0, (2, 11)), rng.uniform(-20.0, 20.0, (2, 11))
    places = np.linspace(lowest, lowest + length, 11)
    angle = rng.uniform(lowest, lowest + length, (2, 3, 20))
    ends = np.full(2, lowest), np.full(2, lowest + length)
    value, change = ratio.curve_at(curve, slope, angle, *ends)
    for row in range(2):
        expected = CubicHermiteSpline(places, curve[row], slope[row])
        np.testing.assert_allclose(value[row], expected(angle[row]), rtol=1e-9)
        np.testing.assert_allclose(change[row], expected(angle[row], 1), rtol=1e-6, atol=1e-6)


def test_beyond_its_ends_a_curve_stays() -> None:
    curve, slope = np.array([[20.0, 24.0, 26.0]]), np.array([[5.0, 3.0, 1.0]])
    value, _ = ratio.curve_at(
        curve, slope, np.array([[-9.0, 9.0]]), np.array([-1.0]), np.array([1.0])
    )
    np.testing.assert_allclose(value, [[20.0, 26.0]])


@law
@given(stance=st.floats(1.0, 50.0), swing=st.floats(1.0, 50.0), turned=st.sampled_from([-1, 1]))
def test_stance_and_swing_are_told_apart_by_the_load(
    stance: float, swing: float, turned: int
) -> None:
    load = np.array([700.0, 600.0, 800.0, 30.0, 0.0])
    ratios = turned * np.array([stance, stance, stance, swing, swing])
    found = ratio.stance_and_swing_ratio(ratios, load)
    assert found == pytest.approx((stance, swing))


def test_a_foot_that_never_lifts_has_no_swing_and_an_unknown_load_nothing() -> None:
    loads = np.array([[400.0, 410.0], [0.0, 0.0]])
    stance, swing = ratio.stance_and_swing_ratio(np.full((2, 2), 20.0), loads)
    assert stance[0] == 20.0
    assert np.isnan([swing[0], stance[1], swing[1]]).all()


@pytest.mark.parametrize(
    ("lowest", "highest", "expected"),
    [(-1.0, 1.0, 0.25), (-0.4, 1.6, -0.05), (-1.5, 0.25, -0.25 / 1.75), (0.5, 0.5, -1.0)],
)
def test_range_is_left_at_the_nearer_end(lowest: float, highest: float, expected: float) -> None:
    angle = np.array([[[-0.5, 0.1], [0.0, 0.5]]])
    margin = ratio.range_margin(angle, np.array([lowest]), np.array([highest]))
    assert margin[0] == pytest.approx(expected)


def test_places_go_from_end_to_end() -> None:
    places = ratio.places_between(np.array([-1.0, 0.0]), np.array([1.0, 0.5]))
    np.testing.assert_allclose(places[:, [0, -1]], [[-1.0, 1.0], [0.0, 0.5]])
    np.testing.assert_allclose(np.diff(places[0]), 2.0 / (ratio.PLACES - 1))
