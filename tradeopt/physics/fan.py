"""A fan against the channel it blows through."""

import numpy as np

from tradeopt.arrays import Array


def flow(free_flow: Array, stall_pressure: Array, channel: Array) -> Array:
    """Flow at which the fan's pressure is that of its channel.

    Parameters
    ----------
    free_flow : Array, shape (...)
        Of the fan without any resistance [m^3/s].
    stall_pressure : Array, shape (...)
        Of the fan without any flow [Pa].
    channel : Array, shape (...)
        Pressure that the channel takes per squared flow [Pa*s^2/m^6].

    Returns
    -------
    Array, shape (...)
        Flow [m^3/s].

    Notes
    -----
    The fan's curve is taken as p = p_0 (1 - (Q/Q_0)^2), the channel's as p = k Q^2, so Q = Q_0/
    sqrt(1 + k Q_0^2/p_0). Both pressures follow the density of the air, so the flow does not. With
    the speed n of the fan Q_0 ~ n and p_0 ~ n^2, so Q ~ n and the power ~ n^3.

    References
    ----------
    Fan laws; common practice, no source. The parabola is our own choice for a maker's curve.

    Examples
    --------
    >>> flow(np.array(0.004), np.array(60.0), np.array(1.125e7)).round(6)
    np.float64(0.002)
    """
    return free_flow / np.sqrt(1.0 + channel * np.square(free_flow) / stall_pressure)


def channel_pressure(area: Array, loss_number: Array, density: Array) -> Array:
    """Pressure that a channel takes, per squared flow.

    Parameters
    ----------
    area : Array, shape (...)
        Narrowest cross section [m^2].
    loss_number : Array, shape (...)
        Pressure lost, in dynamic pressures of that section [1].
    density : Array, shape (...)
        Of the air [kg/m^3].

    Returns
    -------
    Array, shape (...)
        k of p = k Q^2 [Pa*s^2/m^6].

    Notes
    -----
    zeta rho/(2 A^2).

    Examples
    --------
    >>> channel_pressure(np.array(0.001), np.array(2.5), np.array(1.2)).round(1)
    np.float64(1500000.0)
    """
    return loss_number * density / (2.0 * np.square(area))


def power(flow: Array, channel: Array, efficiency: Array) -> Array:
    """Electric power of a fan that blows through a channel.

    Parameters
    ----------
    flow : Array, shape (...)
        Of the air [m^3/s].
    channel : Array, shape (...)
        k of p = k Q^2 [Pa*s^2/m^6].
    efficiency : Array, shape (...)
        Air power per electric power, above 0 [1].

    Returns
    -------
    Array, shape (...)
        Power [W].

    Notes
    -----
    p Q/eta = k Q^3/eta.

    Examples
    --------
    >>> power(np.array(0.002), np.array(1.125e7), np.array(0.15)).round(4)
    np.float64(0.6)
    """
    drawn: Array = channel * np.power(flow, 3) / efficiency
    return drawn
