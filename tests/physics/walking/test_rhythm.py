"""Signals that repeat, and signals that only seem to."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tradeopt.physics.walking.rhythm import repetition_time, rises, running_mean

TIME = np.arange(0.0, 12.0, 0.01)


@pytest.mark.parametrize("period", [0.6, 1.13, 2.4])
@pytest.mark.parametrize("second", [0.0, 0.8])
def test_the_repetition_time_is_that_of_the_whole_wave(period: float, second: float) -> None:
    """A strong second harmonic makes two bumps a stride; the stride is still the whole."""
    turn = 2 * np.pi * TIME / period
    wave = np.sin(turn) + second * np.cos(2 * turn + 0.4)
    assert repetition_time(wave, 0.01) == pytest.approx(period, abs=0.021)


@pytest.mark.parametrize(
    "signal",
    [TIME, np.zeros_like(TIME), np.sin(2 * np.pi * TIME / 20.0)],
    ids=["ramp", "rest", "less than one wave"],
)
def test_what_does_not_repeat_has_no_repetition_time(signal: np.ndarray) -> None:
    assert np.isnan(repetition_time(signal, 0.01))


def test_noise_alone_does_not_repeat() -> None:
    assert np.isnan(repetition_time(np.random.default_rng(1).normal(size=4000), 0.01))


@given(st.integers(1, 30))
def test_a_running_mean_leaves_a_ramp_alone(width: int) -> None:
    ramp = np.linspace(-3.0, 5.0, 40)
    np.testing.assert_allclose(running_mean(ramp, width), ramp, atol=1e-12)


def test_a_running_mean_takes_noise_off() -> None:
    noise = np.random.default_rng(2).normal(size=10_000)
    # independent samples: the deviation of a mean of n falls with the root of n
    assert running_mean(noise, 25)[50:-50].std() == pytest.approx(1 / 5, rel=0.1)


def test_noise_smaller_than_the_hysteresis_makes_no_rise() -> None:
    noise = 0.2 * np.random.default_rng(3).normal(size=len(TIME))
    found = rises(TIME, np.sin(2 * np.pi * TIME - 1.0) + noise, 0.0, 0.7)
    assert len(found) == 12
    assert np.abs((found - 1.0 / (2 * np.pi) + 0.5) % 1.0 - 0.5).max() < 0.1


def test_a_signal_that_starts_above_the_level_has_not_risen() -> None:
    assert rises(np.arange(4.0), np.array([3.0, 3.0, 0.0, 0.0]), 1.0, 0.5).size == 0
