"""The linear inverted pendulum that carries the centre of mass over the feet."""

import numpy as np

from tradeopt.arrays import Array


def periodic_sway(zero_moment_point: Array, period: float, height: float, gravity: float) -> Array:
    """Periodic path of the centre of mass that gives a wanted zero-moment point.

    Parameters
    ----------
    zero_moment_point : Array, shape (..., phase)
        Wanted place on the ground, one period, in a frame that moves along at the mean
        speed [m].
    period : float
        Time of the period [s].
    height : float
        Height of the centre of mass above the ground, held constant [m].
    gravity : float
        Acceleration of free fall normal to the ground [m/s2].

    Returns
    -------
    Array, shape (..., phase)
        Place of the centre of mass in the same frame [m].

    Notes
    -----
    The pendulum ``x'' = w^2 (x - p)``, ``w^2 = gravity / height``, has one bounded answer to a
    periodic p. In harmonics ``X_n = P_n w^2 / (w^2 + (n W)^2)``, ``W = 2 pi / period``. Exact
    for a point mass at constant height; a body with legs needs a correction on top.

    References
    ----------
    S. Kajita, F. Kanehiro, K. Kaneko, K. Yokoi, H. Hirukawa, "The 3D linear inverted pendulum
    mode", IEEE/RSJ Int. Conf. Intelligent Robots and Systems, 2001, pp. 239-246.

    Examples
    --------
    A slow sway of the zero-moment point is followed, a fast one hardly.

    >>> import numpy as np
    >>> point = 0.1 * np.cos(2 * np.pi * np.arange(8) / 8)
    >>> periodic_sway(point, 10.0, 0.8, 9.81)[0].round(4)
    np.float64(0.0969)
    >>> periodic_sway(point, 1.0, 0.8, 9.81)[0].round(4)
    np.float64(0.0237)
    """
    stiffness = gravity / height
    spectrum = np.fft.rfft(zero_moment_point, axis=-1)
    frequency = 2 * np.pi / period * np.arange(spectrum.shape[-1])
    answer = spectrum * (stiffness / (stiffness + frequency**2))
    return np.fft.irfft(answer, n=zero_moment_point.shape[-1], axis=-1)
