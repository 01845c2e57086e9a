"""Springs beside the motor: torque, stored energy, and the best one for a set of gaits."""

from typing import Final, NamedTuple

import numpy as np

from tradeopt.arrays import Array

LEAST_SWING: Final = 1e-6
"""Rms swing below which a joint stands still and its angles are rounding noise [rad]."""


class OneSidedSpring(NamedTuple):
    """A spring that is touched on one side of an angle only.

    Attributes
    ----------
    stiffness : Array, shape (...)
        Stiffness, never negative [N*m/rad].
    engagement_angle : Array, shape (...)
        Joint angle at which it is first touched [rad].
    """

    stiffness: Array
    engagement_angle: Array


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
    total = weight.sum(axis=axis, keepdims=True)
    share = weight / np.where(total > 0.0, total, 1.0)
    mean_angle = (share * angle).sum(axis=axis, keepdims=True)
    mean_torque = (share * torque).sum(axis=axis)
    turn = share * (angle - mean_angle)
    variance = (turn * (angle - mean_angle)).sum(axis=axis)
    covariance = (turn * torque).sum(axis=axis)
    helps = (covariance < 0.0) & (variance > LEAST_SWING**2)
    stiffness = np.where(helps, -covariance, 0.0) / np.where(helps, variance, 1.0)
    preload = np.where(helps, mean_torque, 0.0) / np.where(helps, stiffness, 1.0)
    return TwoWaySpring(stiffness[()], mean_angle.reshape(mean_torque.shape) + preload)


def best_one_sided(torque: Array, angle: Array, weight: Array, direction: Array) -> OneSidedSpring:
    """Find the one-sided spring that leaves the motor the least mean-square torque.

    Parameters
    ----------
    torque : Array, shape (..., gait, phase)
        Torque the joint needs [N*m].
    angle : Array, shape (..., gait, phase)
        Joint angle [rad].
    weight : Array, shape (..., gait, phase)
        Weight of each sample, such as the gait's share of the time; any positive scale [1].
    direction : Array, shape (...)
        +1 if it is wound by angles above the engagement, -1 by angles below [1].

    Returns
    -------
    OneSidedSpring
        Stiffness [N*m/rad] and engagement angle [rad]. Where no spring helps the stiffness is 0
        and the engagement the far end of the range.

    Notes
    -----
    For a given engagement least squares give k = -sum(w tau d)/sum(w d^2) and spare (sum(w tau
    d))^2/sum(w d^2), d the deflection. With the samples in order of their angle, the same samples
    are touched between two neighbours, and there both sums are polynomials of the engagement: its
    best place is found in closed form in each such piece, and the best piece is taken. Engagements
    up to one range before the first sample are tried, where the spring never lets go.

    References
    ----------
    Derived; the least squares are those of `best_two_way`.

    Examples
    --------
    >>> angle = np.array([[-0.5, -0.25, 0.0, 0.25]])
    >>> torque = one_sided_torque(angle, np.array(80.0), np.array(-0.3), np.array(1.0))
    >>> best = best_one_sided(torque, angle, np.ones((1, 4)), np.array(1.0))
    >>> [float(part.round(4)) for part in best]
    [80.0, -0.3]
    """
    shape = (*torque.shape[:-2], -1)
    sign = np.asarray(direction)[..., None]
    place = sign * angle.reshape(shape)
    end = place.max(axis=-1, keepdims=True)
    order = np.argsort(-place, axis=-1)
    place = np.take_along_axis(place - end, order, axis=-1)
    share = np.broadcast_to(weight, torque.shape).reshape(shape)
    total = share.sum(axis=-1, keepdims=True)
    share = np.take_along_axis(share / np.where(total > 0.0, total, 1.0), order, axis=-1)
    load = np.take_along_axis(sign * torque.reshape(shape), order, axis=-1)
    stiffness, spared, engagement = _best_engagements(place, load, share)
    best = np.argmax(spared, axis=-1)[..., None]
    found = (np.take_along_axis(one, best, axis=-1)[..., 0] for one in (stiffness, engagement))
    rate, touched = found
    return OneSidedSpring(rate, sign[..., 0] * (end[..., 0] + touched))


def _best_engagements(place: Array, load: Array, share: Array) -> tuple[Array, Array, Array]:
    """Best engagements of each piece: stiffness, square of torque spared, and place.

    Samples fall from place 0; up to and with each of them, all are touched. What is spared has one
    peak; where that lies outside of the piece, or is on the side where the spring would have to
    pull, an end of the piece is the best.
    """
    sums = (share * one for one in (1.0, place, place * place, load, load * place))
    touched, along, square, lifted, turned = (one.cumsum(axis=-1) for one in sums)
    # the sums are turned - e lifted and square - 2 e along + e^2 touched
    bend = lifted * along - turned * touched
    free = (lifted * square - turned * along) / np.where(bend == 0.0, 1.0, bend)
    next_place = np.concatenate((place[..., 1:], 2.0 * place[..., -1:]), axis=-1)
    peak = np.clip(np.where(bend == 0.0, place, free), next_place, place)
    engagement = np.stack((peak, next_place))
    work = turned - engagement * lifted
    room = square - engagement * (2.0 * along - engagement * touched)
    helps = (work < 0.0) & (room > LEAST_SWING**2)
    useful = np.where(helps, -work, 0.0)
    stiffness = useful / np.where(helps, room, 1.0)
    candidates = stiffness, stiffness * useful, np.where(helps, engagement, 0.0)
    rate, spared, touch = (np.concatenate(tuple(one), axis=-1) for one in candidates)
    return rate, spared, touch


def clutched_deflection(angle: Array, engaged_at: Array, held_for: Array) -> Array:
    """How far a spring behind a clutch is wound.

    Parameters
    ----------
    angle : Array, shape (..., phase)
        Joint angle at even phases of a stride [rad].
    engaged_at : Array, shape (...)
        Part of the stride at which the clutch takes hold [1].
    held_for : Array, shape (...)
        Part of the stride that it holds for [1], up to 1.

    Returns
    -------
    Array, shape (..., phase)
        Turn since it took hold; zero while the clutch is open [rad].

    Notes
    -----
    The spring is slack when the clutch takes hold, whatever the joint's angle. What is wound when
    it lets go is lost. The angle between two phases is taken as straight.

    Examples
    --------
    >>> angle = np.array([0.0, 0.25, 0.5, 0.25])
    >>> clutched_deflection(angle, np.array(0.25), np.array(0.5))
    array([0.  , 0.  , 0.25, 0.  ])
    """
    count = angle.shape[-1]
    phase = np.arange(count) / count
    since = (phase - engaged_at[..., None]) % 1.0
    start = (engaged_at[..., None] % 1.0) * count
    before = start.astype(np.int64) % count
    ends = (np.take_along_axis(angle, (before + side) % count, axis=-1) for side in (0, 1))
    first, last = ends
    held_angle = first + (last - first) * (start - np.floor(start))
    return np.where(since < held_for[..., None], angle - held_angle, 0.0)
