"""Springs beside the motor: torque, stored energy, and the best one for a set of gaits."""

from typing import Final, NamedTuple

import numpy as np

from tradeopt.arrays import Array

LEAST_SWING: Final = 1e-6
"""Rms swing below which a joint stands still and its angles are rounding noise [rad]."""


class TwoWaySpring(NamedTuple):
    """A spring that pulls towards its rest angle from both sides.

    Attributes
    ----------
    stiffness : Array, shape (...)
        Stiffness, never negative [N*m/rad].
    rest_angle : Array, shape (...)
        Joint angle at which it gives no torque [rad].
    """

    stiffness: Array
    rest_angle: Array


def two_way_torque(angle: Array, stiffness: Array, rest_angle: Array) -> Array:
    """Torque a spring gives the joint when it pulls towards its rest angle from both sides.

    Parameters
    ----------
    angle : Array, shape (..., phase)
        Joint angle [rad].
    stiffness : Array, shape (..., phase)
        Stiffness [N*m/rad].
    rest_angle : Array, shape (..., phase)
        Joint angle at which it gives no torque [rad].

    Returns
    -------
    Array, shape (..., phase)
        Torque of the spring on the joint [N*m].

    Notes
    -----
    tau = -k (q - q0). The motor gives what is left of the joint torque.

    Examples
    --------
    >>> two_way_torque(np.array([0.0, 0.5]), np.array(40.0), np.array(0.25))
    array([ 10., -10.])
    """
    return -stiffness * (angle - rest_angle)


def one_sided_deflection(angle: Array, engagement_angle: Array, direction: Array) -> Array:
    """How far a one-sided spring is wound.

    Parameters
    ----------
    angle : Array, shape (..., phase)
        Joint angle [rad].
    engagement_angle : Array, shape (..., phase)
        Joint angle at which the spring is first touched [rad].
    direction : Array, shape (..., phase)
        +1 if it is wound by angles above the engagement, -1 by angles below [1].

    Returns
    -------
    Array, shape (..., phase)
        Deflection with the sign of the direction; zero while the spring is not touched [rad].

    Notes
    -----
    s max(s (q - qe), 0), with s the direction.

    Examples
    --------
    >>> one_sided_deflection(np.array([-0.25, 0.25]), np.array(0.0), np.array(-1.0))
    array([-0.25, -0.  ])
    """
    wound: Array = np.maximum(direction * (angle - engagement_angle), 0.0)
    return direction * wound


def one_sided_torque(
    angle: Array, stiffness: Array, engagement_angle: Array, direction: Array
) -> Array:
    """Torque a spring gives the joint when it is touched on one side only.

    Parameters
    ----------
    angle : Array, shape (..., phase)
        Joint angle [rad].
    stiffness : Array, shape (..., phase)
        Stiffness [N*m/rad].
    engagement_angle : Array, shape (..., phase)
        Joint angle at which the spring is first touched [rad].
    direction : Array, shape (..., phase)
        +1 if it is wound by angles above the engagement, -1 by angles below [1].

    Returns
    -------
    Array, shape (..., phase)
        Torque of the spring on the joint, always back towards the engagement angle [N*m].

    Notes
    -----
    tau = -k times `one_sided_deflection`. The stop is taken as massless and without bounce.

    Examples
    --------
    >>> one_sided_torque(np.array([-0.25, 0.25]), np.array(80.0), np.array(0.0), np.array(-1.0))
    array([20.,  0.])
    """
    return -stiffness * one_sided_deflection(angle, engagement_angle, direction)


def stored_energy(stiffness: Array, deflection: Array) -> Array:
    """Energy in a wound spring.

    Parameters
    ----------
    stiffness : Array, shape (...)
        Stiffness [N*m/rad].
    deflection : Array, shape (...)
        Angle away from rest [rad].

    Returns
    -------
    Array, shape (...)
        Stored energy [J].

    Notes
    -----
    k d^2/2, linear spring.

    Examples
    --------
    >>> stored_energy(np.array(80.0), np.array([0.5, -0.5]))
    array([10., 10.])
    """
    return stiffness * np.square(deflection) / 2.0


def best_two_way(
    torque: Array, angle: Array, weight: Array, *, axis: tuple[int, ...] = (-2, -1)
) -> TwoWaySpring:
    """Find the two-way spring that leaves the motor the least mean-square torque.

    Parameters
    ----------
    torque : Array, shape (..., gait, phase)
        Torque the joint needs [N*m].
    angle : Array, shape (..., gait, phase)
        Joint angle [rad].
    weight : Array, shape (..., gait, phase)
        Weight of each sample, such as the gait's share of the time; any positive scale [1].
    axis : tuple of int
        Axes over which one spring serves [1].

    Returns
    -------
    TwoWaySpring
        Stiffness [N*m/rad] and rest angle [rad], without the axes it serves. Where no spring helps
        (the torque does not fall with the angle, or the joint stands still) the stiffness is 0 and
        the rest angle the mean angle.

    Notes
    -----
    Ordinary least squares of tau on -k (q - q0): k = -cov(tau, q)/var(q), q0 = mean(q) +
    mean(tau)/k. The share 1 - corr(tau, q)^2 of the torque's variance is left, and a mean torque
    is carried by the spring. Torque is counted, not mass: a soft spring wound far can ask for more
    mass than it saves.

    References
    ----------
    Normal equations of linear regression; for springs beside motors: Mettin, La Hera, Freidovich,
    Shiriaev, Int. J. Robotics Research 29(9):1186-1198 (2010) (from memory).

    Examples
    --------
    >>> angle = np.array([[-0.5, 0.0, 0.5]])
    >>> best_two_way(-40.0 * (angle - 0.25), angle, np.ones((1, 3)))
    TwoWaySpring(stiffness=np.float64(40.0), rest_angle=np.float64(0.25))
    """
    torque, angle, weight = np.broadcast_arrays(torque, angle, weight)
    share = weight / weight.sum(axis=axis, keepdims=True)
    mean_angle = (share * angle).sum(axis=axis, keepdims=True)
    mean_torque = (share * torque).sum(axis=axis)
    turn = share * (angle - mean_angle)
    variance = (turn * (angle - mean_angle)).sum(axis=axis)
    covariance = (turn * torque).sum(axis=axis)
    helps = (covariance < 0.0) & (variance > LEAST_SWING**2)
    stiffness = np.where(helps, -covariance, 0.0) / np.where(helps, variance, 1.0)
    preload = np.where(helps, mean_torque, 0.0) / np.where(helps, stiffness, 1.0)
    return TwoWaySpring(stiffness[()], mean_angle.reshape(mean_torque.shape) + preload)
