"""From a log of many strides to one stride: finding the strides, cutting, averaging."""

from typing import Final

import numpy as np

from tradeopt.arrays import Array
from tradeopt.physics.walking.periodic import low_pass
from tradeopt.physics.walking.rhythm import rises, running_mean

SMOOTHING_SHARE: Final = 0.1
"""Width, over the stride, of the running mean that takes the noise off the signal that strides are
cut by [1]; a choice of this model."""

HYSTERESIS_SHARE: Final = 0.25
"""How far, over its range, the signal has to go below and above the level to cross it [1]; a
choice of this model."""

ODD_STRIDE: Final = 0.2
"""Strides that last longer or shorter than the median by more than this share are left out [1]:
starts, stops and turns; a choice of this model."""

STRIKE_SHARE: Final = 0.1
"""Load, over its usual peak, from which a foot has struck the ground [1]; a choice of this
model."""

TOUCH_SHARE: Final = 0.05
"""Load, over its peak, up to which a foot counts as lifted [1]; a choice of this model."""

LIMB_HARMONICS: Final = 3
"""Harmonics that tell where a leg is most forward [1]; a choice of this model."""


def regular(starts: Array) -> Array:
    """Strides between successive starts, without those of an odd length.

    Parameters
    ----------
    starts : Array, shape (start,)
        Times at which strides start [s].

    Returns
    -------
    Array, shape (stride, 2)
        Start and end of each stride that is kept [s].

    Notes
    -----
    Kept are strides whose time is within a fifth of the median.

    Examples
    --------
    >>> regular(np.array([0.0, 1.0, 2.0, 3.1, 6.0])).tolist()
    [[0.0, 1.0], [1.0, 2.0], [2.0, 3.1]]
    """
    strides = np.stack((starts[:-1], starts[1:]), axis=1)
    lengths = np.diff(starts)
    if not lengths.size:
        return strides
    middle = np.median(lengths)
    return strides[np.abs(lengths - middle) <= ODD_STRIDE * middle]


def cut(time: Array, samples: Array, strides: Array, phases: int) -> Array:
    """Cut a log into strides at evenly spaced phases.

    Parameters
    ----------
    time : Array, shape (sample,)
        Times of the samples, rising [s].
    samples : Array, shape (channel, sample)
        The log [any unit].
    strides : Array, shape (stride, 2)
        Start and end of each stride [s].
    phases : int
        Phases a stride is cut into [1].

    Returns
    -------
    Array, shape (stride, channel, phases + 1)
        Each stride from its start up to and with its end [unit of samples].

    Notes
    -----
    Cubic spline through the samples.

    References
    ----------
    C. de Boor, *A Practical Guide to Splines*, Springer, 1978, chapter 4.

    Examples
    --------
    >>> time = np.linspace(0.0, 2.0, 41)
    >>> log = np.sin(2 * np.pi * time)[np.newaxis]
    >>> cut(time, log, np.array([[0.0, 1.0]]), 4)[0, 0].round(4).tolist()
    [0.0, 1.0, 0.0, -1.0, -0.0]
    """
    from scipy.interpolate import CubicSpline  # noqa: PLC0415 - a fifth of every start, for few

    share = np.arange(phases + 1) / phases
    places = strides[:, :1] + share * (strides[:, 1:] - strides[:, :1])
    return np.moveaxis(CubicSpline(time, samples, axis=1)(places), 0, 1)


def mean_stride(strides: Array) -> tuple[Array, Array, Array]:
    """Mean of several strides, closed to a period.

    Parameters
    ----------
    strides : Array, shape (stride, channel, phases + 1)
        Strides from start to end, as `cut` gives them; two or more [any unit].

    Returns
    -------
    tuple of Array, shapes (channel, phases), (channel,) and (channel,)
        Mean stride without its end point, standard deviation over the strides (root mean square
        over the phases), and drift: what the mean stride's end has over its start [unit of
        strides].

    Notes
    -----
    The drift is taken off along the stride, about its middle, so that the mean stays and the end
    meets the start. The deviation is that of a sample (n - 1).

    Examples
    --------
    >>> one, two = np.array([[0.0, 1.0, 2.0]]), np.array([[2.0, 3.0, 4.0]])
    >>> mean, spread, drift = mean_stride(np.stack((one, two)))
    >>> mean.tolist(), spread.round(4).tolist(), drift.tolist()
    ([[2.0, 2.0]], [1.4142], [2.0])
    """
    mean = strides.mean(axis=0)
    drift = mean[:, -1] - mean[:, 0]
    share = np.linspace(-0.5, 0.5, mean.shape[-1])
    closed = mean - drift[:, np.newaxis] * share
    variance = strides[..., :-1].var(axis=0, ddof=1).mean(axis=-1)
    return closed[:, :-1], np.sqrt(variance), drift


def leg_forward(hip_pitch: Array, knee: Array) -> Array:
    """How far the line from hip to ankle points ahead of the torso.

    Parameters
    ----------
    hip_pitch : Array, shape (...)
        Angle of the hip, positive backward [rad].
    knee : Array, shape (...)
        Angle of the knee, negative where bent [rad].

    Returns
    -------
    Array, shape (...)
        Angle, positive ahead [rad].

    Notes
    -----
    ``knee / 2 - hip_pitch``: exact for a thigh and a shank of one length.

    Examples
    --------
    >>> leg_forward(np.array([-0.4]), np.array([-0.2])).round(4).tolist()
    [0.3]
    """
    return np.asarray(knee / 2 - hip_pitch)


def most_forward(forward: Array) -> int:
    """Phase at which a leg is stretched ahead, just before its heel strikes.

    Parameters
    ----------
    forward : Array, shape (phase,)
        How far the leg points ahead, over one stride [rad].

    Returns
    -------
    int
        Place of the phase [1].

    Notes
    -----
    Where the first three harmonics are highest.

    References
    ----------
    J. A. Zeni, J. G. Richards, J. S. Higginson, "Two simple methods for determining gait events
    during treadmill and overground walking using kinematic data", Gait & Posture 27(4):710-714,
    2008 (heel strike where the heel is furthest ahead of the pelvis; from memory).

    Examples
    --------
    >>> most_forward(np.cos(2 * np.pi * (np.arange(20) - 3) / 20))
    3
    """
    return int(np.argmax(low_pass(forward, LIMB_HARMONICS)))


def leg_swings(time: Array, forward: Array, period: float) -> Array:
    """Find the times at which a leg swings forward past the middle of its range.

    Parameters
    ----------
    time : Array, shape (sample,)
        Times of the samples, rising [s].
    forward : Array, shape (sample,)
        How far the leg points ahead [rad].
    period : float
        Time of a stride, roughly [s].

    Returns
    -------
    Array, shape (swing,)
        One time a stride [s].

    Notes
    -----
    The leg moves fastest there, so that noise moves the time least. Noise is taken off by a
    running mean over a tenth of the stride; the middle is that of the 5th and 95th percentile.

    Examples
    --------
    >>> time = np.arange(0.0, 3.0, 0.01)
    >>> leg_swings(time, 0.4 * np.sin(2 * np.pi * (time - 0.3)), 1.0).round(2).tolist()
    [0.3, 1.3, 2.3]
    """
    interval = (time[-1] - time[0]) / (len(time) - 1)
    smooth = running_mean(forward, max(1, round(SMOOTHING_SHARE * period / interval)))
    low, high = np.percentile(smooth, (5, 95))
    return rises(time, smooth, (low + high) / 2, HYSTERESIS_SHARE * (high - low))


def foot_strikes(time: Array, load: Array) -> Array:
    """Find the times at which a foot takes up load.

    Parameters
    ----------
    time : Array, shape (sample,)
        Times of the samples, rising [s].
    load : Array, shape (sample,)
        Force of the ground on the foot [N].

    Returns
    -------
    Array, shape (strike,)
        One time a stride [s].

    Notes
    -----
    Where the load rises through a tenth of its usual peak (the 95th percentile), from under a
    twentieth.

    Examples
    --------
    >>> time = np.arange(0.0, 3.0, 0.01)
    >>> load = 800 * np.maximum(np.sin(2 * np.pi * (time - 0.3)), 0.0)
    >>> foot_strikes(time, load).round(2).tolist()
    [0.32, 1.32, 2.32]
    """
    usual = np.percentile(load, 95)
    return rises(time, load, STRIKE_SHARE * usual, STRIKE_SHARE * usual / 2)


def load_share(load: Array) -> Array:
    """Part of the ground's load that the left foot carries.

    Parameters
    ----------
    load : Array, shape (phase,)
        Normal force on the left foot over one stride [N].

    Returns
    -------
    Array, shape (phase,)
        Load share [1]; NaN where neither foot touches the ground.

    Notes
    -----
    The right foot's load is that of the left half a stride later. Less than a twentieth of the
    peak is taken for the drift of an unloaded sensor, and is taken off.

    Examples
    --------
    >>> load_share(np.array([0.0, 600.0, 800.0, 600.0, 600.0, 20.0])).round(4).tolist()
    [0.0, 0.5, 1.0, 1.0, 0.5, 0.0]
    """
    left = np.maximum(load - TOUCH_SHARE * load.max(), 0.0)
    both = left + np.roll(left, len(left) // 2)
    missing = np.full_like(left, np.nan)
    return np.asarray(np.divide(left, both, out=missing, where=both > 0.0))
