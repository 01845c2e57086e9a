"""Strides found in logs, cut out of them and averaged."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tradeopt.physics.walking.recording import (
    cut,
    foot_strikes,
    leg_forward,
    leg_swings,
    load_share,
    mean_stride,
    most_forward,
    regular,
)

TIME = np.arange(0.0, 12.0, 0.01)


def test_strides_of_an_odd_length_are_left_out() -> None:
    lengths = [1.0, 1.0, 1.3, 1.1, 0.7, 1.0, 0.95]
    kept = regular(np.concatenate(([0.0], np.cumsum(lengths))))
    np.testing.assert_allclose(kept[:, 1] - kept[:, 0], [1.0, 1.0, 1.1, 1.0, 0.95])


@pytest.mark.parametrize("starts", [[], [1.0]])
def test_fewer_than_two_starts_make_no_stride(starts: list[float]) -> None:
    assert regular(np.array(starts)).shape == (0, 2)


def test_cut_strides_are_the_wave_whatever_their_lengths() -> None:
    ends = np.array([0.3, 1.3, 2.5, 3.4])
    phase = np.interp(TIME, ends, np.arange(4.0))
    samples = np.stack((np.cos(2 * np.pi * phase), phase))
    strides = cut(TIME, samples, np.stack((ends[:-1], ends[1:]), axis=1), 20)
    turn = 2 * np.pi * np.arange(21) / 20
    assert strides.shape == (3, 2, 21)
    # the clock's rate jumps from stride to stride, which a spline rounds off
    np.testing.assert_allclose(strides[:, 0], np.tile(np.cos(turn), (3, 1)), atol=3e-3)


@given(st.floats(-5.0, 5.0), st.floats(-5.0, 5.0))
def test_a_drift_is_taken_off_and_told(drift: float, level: float) -> None:
    place = np.linspace(0.0, 1.0, 101)
    wave = level + np.sin(2 * np.pi * place)
    strides = np.stack([wave + drift * (place - 0.5)] * 3)[:, np.newaxis]
    mean, spread, found = mean_stride(strides)
    np.testing.assert_allclose(mean[0], wave[:-1], atol=1e-12)
    assert spread[0] < 1e-12
    assert found[0] == pytest.approx(drift, abs=1e-12)


def test_the_spread_is_that_of_the_strides() -> None:
    noise = 0.3 * np.random.default_rng(4).normal(size=(400, 2, 51))
    _, spread, _ = mean_stride(noise)
    np.testing.assert_allclose(spread, 0.3, rtol=0.02)


def test_a_leg_that_is_stretched_ahead_points_where_its_ankle_is() -> None:
    """Plane geometry: thigh and shank of one length, hip backward and knee straightening count."""
    hip, knee = -0.5, -0.4
    ahead = -np.sin(hip) - np.sin(hip - knee)
    below = np.cos(hip) + np.cos(hip - knee)
    found = leg_forward(np.array(hip), np.array(knee))
    assert found == pytest.approx(np.arctan2(ahead, below))


def test_swings_come_once_a_stride_in_spite_of_noise() -> None:
    forward = 0.4 * np.sin(2 * np.pi * TIME) + 0.1 * np.sin(4 * np.pi * TIME)
    noisy = forward + 0.03 * np.random.default_rng(5).normal(size=len(TIME))
    found = leg_swings(TIME, noisy, 1.0)
    np.testing.assert_allclose(np.diff(found), 1.0, atol=0.02)


def test_strikes_come_once_a_stride_and_ignore_a_bounce() -> None:
    load = 800.0 * np.maximum(np.sin(2 * np.pi * TIME), 0.0)
    load += 20.0 * np.cos(2 * np.pi * 17 * TIME)
    found = foot_strikes(TIME, load)
    np.testing.assert_allclose(np.diff(found), 1.0, atol=0.01)


def test_loads_of_both_feet_share_the_whole_and_an_unloaded_sensor_counts_nothing() -> None:
    load = np.array([0.0, 300.0, 700.0, 650.0, 700.0, 300.0, 15.0, 10.0])
    share = load_share(load)
    np.testing.assert_allclose(share + np.roll(share, 4), 1.0)
    assert share[[0, 6, 7]].tolist() == [0.0, 0.0, 0.0]


def test_both_feet_in_the_air_have_no_share() -> None:
    share = load_share(np.array([0.0, 500.0, 0.0, 0.0]))
    assert np.isnan(share).tolist() == [True, False, True, False]


def test_the_most_forward_phase_is_not_moved_by_noise() -> None:
    turn = 2 * np.pi * np.arange(100) / 100
    noisy = np.cos(turn - 1.0) + 0.1 * np.random.default_rng(6).normal(size=100)
    assert most_forward(noisy) == pytest.approx(100 / (2 * np.pi), abs=3)
