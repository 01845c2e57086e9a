"""Sine and cosine in machine code are right to the last digits, for every angle."""

import numpy as np
import pytest

from tests.kernel.test_functions import by_machine
from tradeopt.kernel.waves import LARGEST_ANGLE

DIGIT = np.finfo(np.float64).eps
PLACES = 30
QUARTER_KNOWN = 1e-29
"""How far a hundred quarters of a turn are off, of which 32 digits are known."""


def angles(largest: float, *, scale: str = "even") -> np.ndarray:
    rng = np.random.default_rng(7)
    if scale == "even":
        even: np.ndarray = rng.uniform(-largest, largest, (500, PLACES))
        return even
    size: np.ndarray = 10.0 ** rng.uniform(-300.0, np.log10(largest), (500, PLACES))
    found: np.ndarray = size * rng.choice([-1.0, 1.0], size.shape)
    return found


@pytest.mark.parametrize("function", [np.sin, np.cos])
@pytest.mark.parametrize(
    "given",
    [
        pytest.param(angles(np.pi), id="one turn"),
        pytest.param(angles(1e3), id="many turns"),
        pytest.param(angles(1e12), id="a machine's life"),
        pytest.param(angles(1.0, scale="log"), id="tiny"),
        pytest.param(np.pi / 4.0 * np.arange(-300.0, 300.0).reshape(-1, PLACES), id="eighths"),
    ],
)
def test_waves_are_those_of_numpy(function: np.ufunc, given: np.ndarray) -> None:
    found, wanted = by_machine(function, given), function(given)
    np.testing.assert_allclose(found, wanted, rtol=2.0 * DIGIT, atol=QUARTER_KNOWN)


def test_squares_of_sine_and_cosine_sum_to_one() -> None:
    found = by_machine(lambda x: np.sin(x) ** 2 + np.cos(x) ** 2, angles(1e6))
    np.testing.assert_allclose(found, 1.0, rtol=3.0 * DIGIT)


def test_sine_is_odd_and_keeps_the_sign_of_zero() -> None:
    given = np.concatenate([angles(10.0), np.zeros((1, PLACES))])
    found, other = by_machine(np.sin, given), by_machine(np.sin, -given)
    np.testing.assert_array_equal(found, -other)
    np.testing.assert_array_equal(np.signbit(found), ~np.signbit(other))


@pytest.mark.parametrize("function", [np.sin, np.cos])
@pytest.mark.parametrize("angle", [2.0 * LARGEST_ANGLE, -1e300, np.inf, np.nan])
def test_what_is_no_angle_is_nan(function: np.ufunc, angle: float) -> None:
    assert np.isnan(by_machine(function, np.full((2, PLACES), angle))).all()
