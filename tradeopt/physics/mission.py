"""How far and how long: cost of transport, range, and service on the way."""

import numpy as np

from tradeopt.arrays import Array, as_array


def mean_over_shares(value: Array, share: Array) -> Array:
    """Mean over the gaits of a mission.

    Parameters
    ----------
    value : Array, shape (..., gait)
        Value in each gait, in any unit [unit of the result].
    share : Array, shape (..., gait)
        Share of the time of each gait, adding up to 1 [1].

    Returns
    -------
    Array, shape (...)
        Mean over time [unit of the value].

    Notes
    -----
    Sum of share times value.

    Examples
    --------
    >>> mean_over_shares(np.array([0.6, 1.0, 0.0]), np.array([0.5, 0.25, 0.25])).round(4)
    np.float64(0.55)
    """
    mean: Array = np.einsum("...g,...g->...", value, share)
    return mean


def cost_of_transport(power: Array, mass: Array, *, gravity: Array, speed: Array) -> Array:
    """Energy per weight and distance.

    Parameters
    ----------
    power : Array, shape (...)
        Mean power: electric for the total cost, positive joint power for the mechanical cost [W].
    mass : Array, shape (...)
        Mass of the whole robot [kg].
    gravity : Array, shape (...)
        Acceleration of free fall [m/s^2].
    speed : Array, shape (...)
        Mean speed [m/s].

    Returns
    -------
    Array, shape (...)
        Cost of transport [1]; NaN at speed zero, where nothing is transported.

    Notes
    -----
    c = P/(m g v).

    References
    ----------
    Collins, Ruina, Tedrake, Wisse, "Efficient bipedal robots based on passive-dynamic walkers",
    Science 307:1082-1085 (2005), for total and mechanical cost (from memory).

    Examples
    --------
    >>> cost_of_transport(200.0, 50.0, gravity=10.0, speed=np.array([0.5, 1.0]))
    array([0.8, 0.4])
    """
    moving = np.where(as_array(speed) == 0.0, np.nan, speed)
    return power / (mass * gravity * moving)


def range_on_charge(time: Array, speed: Array) -> Array:
    """Distance walked on one charge.

    Parameters
    ----------
    time : Array, shape (..., leg)
        Time in each leg of the mission on one charge [s].
    speed : Array, shape (..., leg)
        Mean speed in each leg, zero while standing [m/s].

    Returns
    -------
    Array, shape (...)
        Distance [m].

    Notes
    -----
    Sum of time times speed. A leg without speed adds nothing, however long it is.

    Examples
    --------
    >>> range_on_charge(np.array([15000.0, 5000.0]), np.array([0.5, 0.0]))
    np.float64(7500.0)
    """
    still = as_array(speed) == 0.0
    distance: Array = np.where(still, 0.0, np.where(still, 0.0, time) * speed).sum(axis=-1)
    return distance


def completed_rounds(time: Array, leg_time: Array) -> Array:
    """Count the whole rounds of a mission.

    Parameters
    ----------
    time : Array, shape (..., leg)
        Time in each leg on one charge [s].
    leg_time : Array, shape (..., leg)
        Time of each leg in one round, above zero [s].

    Returns
    -------
    Array, shape (...)
        Rounds of which the last leg was walked to its end [1].

    Notes
    -----
    The whole part of the last leg's time over its time in one round; a round that lacks less than
    a millionth of its last leg counts as whole.

    Examples
    --------
    >>> completed_rounds(np.array([500.0, 150.0]), np.array([200.0, 50.0]))
    np.float64(3.0)
    """
    rounds: Array = np.floor(time[..., -1] / leg_time[..., -1] + 1e-6)
    return rounds


def service_time(each: Array, every: Array, distance: Array) -> Array:
    """Time one task takes over a distance.

    Parameters
    ----------
    each : Array, shape (...)
        Time it takes each time [s].
    every : Array, shape (...)
        Distance after which it is due again [m].
    distance : Array, shape (...)
        Distance walked [m].

    Returns
    -------
    Array, shape (...)
        Time [s].

    Notes
    -----
    t d/d_0, a mean over many such distances: a task is not rounded up to whole ones. Infinite
    where it is due without any distance at all.

    Examples
    --------
    >>> service_time(np.array(900.0), np.array(2e5), np.array(1e5))
    np.float64(450.0)
    """
    still = as_array(every) == 0.0
    time: Array = np.where(still, np.inf, each * distance / np.where(still, 1.0, every))
    return time[()]


def service_time_by_use(each: Array, use: Array, every: Array, distance: Array) -> Array:
    """Time one task takes over a distance where it is due by use.

    Parameters
    ----------
    each : Array, shape (...)
        Time it takes each time [s].
    use : Array, shape (...)
        Uses by distance, such as bends of a rope [1/m].
    every : Array, shape (...)
        Uses after which it is due again [1], above 0.
    distance : Array, shape (...)
        Distance walked [m].

    Returns
    -------
    Array, shape (...)
        Time [s].

    Notes
    -----
    t u d/n, a mean over many such distances; nothing where nothing is used.

    Examples
    --------
    >>> service_time_by_use(np.array(300.0), np.array(2.0), np.array(1e6), np.array(1e5))
    np.float64(60.0)
    """
    time: Array = each * use * distance / every
    return time[()]
