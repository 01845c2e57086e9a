import numpy as np
import pytest

from tradeopt.arrays import Array
from tradeopt.physics.walking.periodic import derivatives, low_pass


def wave(phases: int, harmonics: tuple[int, ...]) -> Array:
    """Sum of cosines of unlike phase, each of height 1."""
    angle = 2 * np.pi * np.arange(phases) / phases
    return np.asarray(sum(np.cos(n * angle + 0.3 * n) for n in harmonics))


@pytest.mark.parametrize("phases", [15, 16])
def test_derivatives_of_a_wave_are_exact(phases: int) -> None:
    period, harmonic = 0.8, 3
    rate, acceleration = derivatives(wave(phases, (harmonic,)), period)
    pace = 2 * np.pi * harmonic / period
    angle = 2 * np.pi * harmonic * np.arange(phases) / phases + 0.3 * harmonic
    np.testing.assert_allclose(rate, -pace * np.sin(angle), atol=1e-10)
    np.testing.assert_allclose(acceleration, -(pace**2) * np.cos(angle), atol=1e-9)


def test_the_highest_bin_gives_no_rate_but_an_acceleration() -> None:
    zigzag = np.array([1.0, -1.0, 1.0, -1.0])
    rate, acceleration = derivatives(zigzag, 1.0)
    np.testing.assert_allclose(rate, 0.0, atol=1e-12)
    np.testing.assert_allclose(acceleration, -((4 * np.pi) ** 2) * zigzag)


def test_what_keeps_still_has_no_rate_at_all() -> None:
    """Not even rounding, whose sign would decide which way friction works."""
    still = np.repeat(np.array([[0.1], [-0.26179938779914946], [1.0 / 3.0]]), 100, axis=1)
    for rate in derivatives(still, 1.32):
        np.testing.assert_array_equal(rate, 0.0)
    np.testing.assert_array_equal(low_pass(still, 12), still)


def test_low_pass_keeps_the_harmonic_it_is_told_to_keep() -> None:
    kept, lost = wave(40, (1, 4)), wave(40, (5, 9))
    np.testing.assert_allclose(low_pass(kept + lost, 4), kept, atol=1e-12)
