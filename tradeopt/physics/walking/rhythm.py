"""Finding what repeats in a signal: how long one round takes, and when each one starts."""

from typing import Final

import numpy as np

from tradeopt.arrays import Array

LEAST_REPEAT: Final = 0.5
"""Correlation of a signal with itself one stride later, below which it does not repeat [1]; a
choice of this model."""

PEAK_SHARE: Final = 0.8
"""A peak of the correlation counts from this share of the highest one [1], so that the first of
several strides is taken and not a multiple of it; a choice of this model."""


def repetition_time(signal: Array, interval: float) -> float:
    """Time after which a signal repeats itself.

    Parameters
    ----------
    signal : Array, shape (sample,)
        Evenly spaced samples of several repetitions [any unit].
    interval : float
        Time from sample to sample [s].

    Returns
    -------
    float
        Time of one repetition [s]; NaN where the signal does not repeat within half its length.

    Notes
    -----
    First peak, after the first zero, of the autocorrelation of the signal less its mean (unbiased,
    so that later peaks do not shrink) that reaches 0.8 of the highest peak, which has to be 0.5 or
    more. Good to a sample or two.

    References
    ----------
    A. V. Oppenheim, R. W. Schafer, *Discrete-Time Signal Processing*, 3rd ed., Pearson, 2010,
    chapter 10 (estimates of the autocorrelation, by FFT).

    Examples
    --------
    >>> time = np.arange(0.0, 6.0, 0.01)
    >>> abs(repetition_time(np.sin(2 * np.pi * time / 1.2), 0.01) - 1.2) < 0.015
    True
    """
    count = len(signal)
    moved = signal - signal.mean()
    spectrum = np.fft.rfft(moved, 2 * count)
    sums = np.fft.irfft(np.abs(spectrum) ** 2, 2 * count)[: count // 2 + 1]
    unbiased = sums / (count - np.arange(len(sums)))
    correlation = unbiased / max(unbiased[0], np.finfo(np.float64).tiny)
    below = np.flatnonzero(correlation < 0.0)
    if not below.size:
        return float("nan")
    later = correlation[below[0] :]
    inner = later[1:-1]
    peaks = 1 + np.flatnonzero((inner >= later[:-2]) & (inner >= later[2:]))
    if not peaks.size or later[peaks].max() < LEAST_REPEAT:
        return float("nan")
    high = peaks[later[peaks] >= PEAK_SHARE * later[peaks].max()]
    return float((below[0] + high[0]) * interval)


def running_mean(signal: Array, width: int) -> Array:
    """Mean of the samples around each sample.

    Parameters
    ----------
    signal : Array, shape (sample,)
        Evenly spaced samples [any unit].
    width : int
        Samples a mean is taken of; an even number counts as the next odd one [1].

    Returns
    -------
    Array, shape (sample,)
        Means, without delay [unit of signal].

    Notes
    -----
    At the ends the window is cut off on both sides alike, so that a ramp stays a ramp.

    Examples
    --------
    >>> running_mean(np.array([0.0, 0.0, 3.0, 0.0, 0.0]), 3).tolist()
    [0.0, 1.0, 1.0, 1.0, 0.0]
    """
    place = np.arange(len(signal))
    reach = np.minimum(width // 2, np.minimum(place, place[::-1]))
    sums = np.concatenate(([0.0], np.cumsum(signal)))
    return np.asarray((sums[place + reach + 1] - sums[place - reach]) / (2 * reach + 1))


def rises(time: Array, signal: Array, level: float, hysteresis: float) -> Array:
    """Find the times at which a signal rises through a level.

    Parameters
    ----------
    time : Array, shape (sample,)
        Times of the samples, rising [s].
    signal : Array, shape (sample,)
        The signal [any unit].
    level : float
        What it rises through [unit of signal].
    hysteresis : float
        How far below the level it has to come from, and how far above it has to go [unit of
        signal].

    Returns
    -------
    Array, shape (rise,)
        Times, linear between samples [s].

    Notes
    -----
    A switch with two thresholds: noise smaller than the hysteresis makes no rise of its own. The
    time is that of the last passage of the level on the way up.

    Examples
    --------
    >>> time = np.arange(8.0)
    >>> rises(time, np.array([0.0, 1.0, 4.0, 1.0, 0.0, 1.0, 3.0, 4.0]), 2.0, 1.0).round(4).tolist()
    [1.3333, 5.5]
    """
    state = np.where(signal > level + hysteresis, 1, np.where(signal < level - hysteresis, -1, 0))
    ends = np.flatnonzero(state)
    turns = np.flatnonzero((state[ends[:-1]] == -1) & (state[ends[1:]] == 1))
    low = np.flatnonzero(signal <= level)
    found = []
    for end in ends[turns + 1]:
        last = low[np.searchsorted(low, end) - 1]
        step = (level - signal[last]) / (signal[last + 1] - signal[last])
        found.append(time[last] + step * (time[last + 1] - time[last]))
    return np.array(found)
