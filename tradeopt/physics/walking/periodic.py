"""Derivatives and smoothing of a motion that repeats itself every stride."""

import numpy as np

from tradeopt.arrays import Array


def derivatives(samples: Array, period: float) -> tuple[Array, Array]:
    """First and second time derivative of periodic samples.

    Parameters
    ----------
    samples : Array, shape (..., phase)
        One period, evenly spaced, without its end point [any unit].
    period : float
        Time the period takes [s].

    Returns
    -------
    tuple of Array, shape (..., phase)
        Rate [unit of samples / s] and acceleration [unit of samples / s2].

    Notes
    -----
    Spectral: harmonic n is multiplied by i n W and -(n W)^2, W = 2 pi / period. For an even count
    the highest bin is dropped from the rate, where its sign is undefined. Exact for motions
    with fewer than phase/2 harmonics; a corner in the motion rings. What keeps still has rates of
    exactly 0: the sign of a rate decides which way friction works, so that none may be left to
    rounding.

    References
    ----------
    L. N. Trefethen, *Spectral Methods in MATLAB*, SIAM, 2000, chapter 3.

    Examples
    --------
    >>> import numpy as np
    >>> time = np.arange(8) / 8
    >>> rate, acceleration = derivatives(np.sin(2 * np.pi * time), 1.0)
    >>> rate[:2].round(4).tolist(), acceleration[1:3].round(4).tolist()
    ([6.2832, 4.4429], [-27.9155, -39.4784])
    """
    count = samples.shape[-1]
    spectrum = np.fft.rfft(samples - samples[..., :1], axis=-1)
    frequency = 2 * np.pi / period * np.arange(spectrum.shape[-1])
    # the rate of the highest bin comes out imaginary, and the inverse transform drops it
    rate = np.fft.irfft(1j * frequency * spectrum, n=count, axis=-1)
    acceleration = np.fft.irfft(-spectrum * frequency**2, n=count, axis=-1)
    return rate, acceleration


def low_pass(samples: Array, harmonics: int) -> Array:
    """Periodic samples without the harmonics above a given one.

    Parameters
    ----------
    samples : Array, shape (..., phase)
        One period, evenly spaced, without its end point [any unit].
    harmonics : int
        Highest harmonic that is kept [1].

    Returns
    -------
    Array, shape (..., phase)
        The smooth part [unit of samples].

    Notes
    -----
    A sharp cut in the frequency domain: nothing is delayed, and what repeats faster than the
    last harmonic kept is lost. Meant for measured motions; a generated one needs no smoothing.
    What keeps still comes out as it is, without rounding.

    References
    ----------
    L. N. Trefethen, *Spectral Methods in MATLAB*, SIAM, 2000, chapter 3.

    Examples
    --------
    >>> import numpy as np
    >>> angle = 2 * np.pi * np.arange(12) / 12
    >>> low_pass(np.sin(angle) + np.sin(5 * angle), 2)[:4].round(4).tolist()
    [0.0, 0.5, 0.866, 1.0]
    """
    first = samples[..., :1]
    spectrum = np.fft.rfft(samples - first, axis=-1)
    spectrum[..., harmonics + 1 :] = 0.0
    return first + np.fft.irfft(spectrum, n=samples.shape[-1], axis=-1)
