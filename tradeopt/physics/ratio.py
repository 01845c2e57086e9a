"""Ratios that change with the joint's angle: how high in stance and in swing, where they reach."""

from typing import Final

import numpy as np

from tradeopt.arrays import Array

UNLOADED: Final = 0.05
"""Share of its largest load in a stride up to which a foot counts as off the ground."""

PLACES: Final = 25
"""Angles of a joint's range at which a linkage is looked at; from one to the next its transmission
angle changes by a few degrees."""


def stance_and_swing_ratio(ratio: Array, foot_load: Array) -> tuple[Array, Array]:
    """Mean ratio while the foot carries, and while it does not.

    Parameters
    ----------
    ratio : Array, shape (..., phase)
        Motor turn per joint turn [1].
    foot_load : Array, shape (..., phase)
        Force of the ground on the foot [N].

    Returns
    -------
    tuple of Array, shape (...)
        Mean size of the ratio in stance and in swing [1]; NaN where a stride has no such phase, or
        a load of 0 throughout.

    Notes
    -----
    Means over time. A foot with up to `UNLOADED` of its largest load in the stride is in swing.

    Examples
    --------
    >>> load = np.array([300.0, 500.0, 2.0, 0.0])
    >>> stance_and_swing_ratio(np.array([30.0, 28.0, 20.0, 18.0]), load)
    (np.float64(29.0), np.float64(19.0))
    """
    peak = foot_load.max(axis=-1, keepdims=True)
    carries = foot_load > UNLOADED * peak
    return _mean_where(carries, ratio), _mean_where(~carries & (peak > 0.0), ratio)


def _mean_where(counted: Array, ratio: Array) -> Array:
    count = counted.sum(axis=-1)
    total = np.where(counted, np.abs(ratio), 0.0).sum(axis=-1)
    mean: Array = total / np.where(count > 0, count, np.nan)
    return mean


def range_margin(angle: Array, lowest: Array, highest: Array) -> Array:
    """How far all angles keep inside a range.

    Parameters
    ----------
    angle : Array, shape (..., gait, phase)
        Joint angle [rad].
    lowest, highest : Array, shape (...)
        Ends of the range [rad].

    Returns
    -------
    Array, shape (...)
        Least distance to an end over the length of the range, negative outside [1]; -1 for a range
        without length.

    Notes
    -----
    min(q - lowest, highest - q)/(highest - lowest).

    Examples
    --------
    >>> angle = np.array([[-0.5, 0.25]])
    >>> range_margin(angle, np.array(-1.0), np.array(1.0)).round(4)
    np.float64(0.25)
    """
    length = highest - lowest
    room = np.minimum(angle.min(axis=(-2, -1)) - lowest, highest - angle.max(axis=(-2, -1)))
    margin: Array = np.where(length > 0.0, room / np.where(length > 0.0, length, 1.0), -1.0)
    return margin


def places_between(lowest: Array, highest: Array) -> Array:
    """Evenly spaced angles of a range, its ends included.

    Parameters
    ----------
    lowest, highest : Array, shape (...)
        Ends [rad].

    Returns
    -------
    Array, shape (..., place)
        Angles, `PLACES` of them [rad].

    Notes
    -----
    Linear from end to end.

    Examples
    --------
    >>> places_between(np.array([-1.0]), np.array([1.0]))[0, ::12].round(4).tolist()
    [-1.0, 0.0, 1.0]
    """
    return lowest[..., None] + (highest - lowest)[..., None] * np.linspace(0.0, 1.0, PLACES)


def turn_margin(angle: Array, ratio: Array, turns: Array) -> Array:
    """How many of the turns that a drum holds a joint's range leaves.

    Parameters
    ----------
    angle : Array, shape (..., gait, phase)
        Joint angle [rad].
    ratio : Array, shape (...)
        Drum turn per joint turn [1].
    turns : Array, shape (...)
        Turns on the drum [1].

    Returns
    -------
    Array, shape (...)
        Share left [1].

    Notes
    -----
    1 - r (max q - min q)/(2 pi turns), over all gaits.

    Examples
    --------
    >>> turn_margin(np.array([[-1.0, 0.2]]), np.array(20.0), np.array(6.0)).round(4)
    np.float64(0.3634)
    """
    covered = angle.max(axis=(-2, -1)) - angle.min(axis=(-2, -1))
    margin: Array = 1.0 - ratio * covered / (2.0 * np.pi * turns)
    return margin


def curve_at(
    curve: Array, slope: Array, angle: Array, lowest: Array, highest: Array
) -> tuple[Array, Array]:
    """Value and slope of a curve that is known at evenly spaced angles.

    Parameters
    ----------
    curve : Array, shape (row, place)
        Values at even steps from the lowest to the highest angle [any unit].
    slope : Array, shape (row, place)
        Derivatives there by the angle [unit/rad].
    angle : Array, shape (row, ...)
        Where to look [rad]; beyond an end the curve stays as it is there.
    lowest, highest : Array, shape (row,)
        Ends of the range [rad].

    Returns
    -------
    tuple of Array, shape (row, ...)
        Value [unit] and its derivative by the angle [unit/rad].

    Notes
    -----
    Cubic Hermite pieces: value and slope are continuous.

    Examples
    --------
    >>> curve, slope = np.array([[20.0, 24.0, 26.0]]), np.array([[5.0, 3.0, 1.0]])
    >>> ends = np.array([-1.0]), np.array([1.0])
    >>> [part.round(4).tolist() for part in curve_at(curve, slope, np.array([[-0.5, 1.0]]), *ends)]
    [[[22.25, 26.0]], [[4.0, 1.0]]]
    """
    rows, places = curve.shape
    step = ((highest - lowest) / (places - 1)).reshape(-1, 1)
    flat = angle.reshape(rows, -1)
    along = np.clip((flat - lowest.reshape(-1, 1)) / step, 0.0, places - 1.0)
    before = np.minimum(along.astype(np.int64), places - 2)
    part = along - before
    first, last = (np.take_along_axis(curve, before + side, axis=1) for side in (0, 1))
    rise, end = (np.take_along_axis(slope, before + side, axis=1) * step for side in (0, 1))
    # value and derivative of the cubic piece, by powers of the part that is passed
    square = 3.0 * (last - first) - 2.0 * rise - end
    cube = rise + end - 2.0 * (last - first)
    value = first + part * (rise + part * (square + part * cube))
    change = (rise + part * (2.0 * square + 3.0 * part * cube)) / step
    return value.reshape(angle.shape), change.reshape(angle.shape)
