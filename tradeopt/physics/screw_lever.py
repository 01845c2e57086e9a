"""A screw that pushes a lever on the joint: the ratio follows the triangle of both.

The joint, the screw's pivot and the lever's end are the corners of a triangle. Its angle at the
joint is that between the line to the screw's pivot and the lever, in the joint's own sense.
"""

from typing import Final, NamedTuple

import numpy as np

from tradeopt.arrays import Array

LEAST_SINE: Final = 1e-3
"""Sine of the angle between screw and lever below which they count as in line; it takes the place
of the sine there, so that numbers stay finite. The margin of such a lever is negative."""


class LeverDrive(NamedTuple):
    """How a screw stands to its lever.

    Attributes
    ----------
    length : Array, shape (...)
        From the screw's pivot to the lever's end [m].
    arm : Array, shape (...)
        Lever arm of the screw about the joint: length by joint angle [m/rad].
    arm_slope : Array, shape (...)
        Derivative of the arm by the joint angle [m/rad^2].
    """

    length: Array
    arm: Array
    arm_slope: Array


def lever_drive(ground: Array, lever: Array, angle: Array) -> LeverDrive:
    """Length of a screw on a lever, and how it changes with the joint.

    Parameters
    ----------
    ground : Array, shape (...)
        From the joint to the screw's pivot [m].
    lever : Array, shape (...)
        From the joint to the lever's end [m].
    angle : Array, shape (...)
        At the joint, from the line to the screw's pivot to the lever [rad].

    Returns
    -------
    LeverDrive
        Length [m], arm [m/rad] and its slope [m/rad^2].

    Notes
    -----
    s^2 = g^2 + e^2 - 2 g e cos(a); arm = ds/da = g e sin(a)/s; d(arm)/da = (g e cos(a) - arm^2)/s.

    References
    ----------
    Law of cosines; derived and checked by finite differences.

    Examples
    --------
    >>> drive = lever_drive(np.array(0.25), np.array(0.05), np.radians(np.array(90.0)))
    >>> [float(part.round(4)) for part in drive]
    [0.255, 0.049, -0.0094]
    """
    product = ground * lever
    along, across = product * np.cos(angle), product * np.sin(angle)
    square = ground * ground + lever * lever - 2.0 * along
    length = np.sqrt(np.maximum(square, np.square(LEAST_SINE * lever)))
    arm = across / length
    least = LEAST_SINE * lever
    arm = np.where(np.abs(arm) < least, np.copysign(least, arm), arm)
    return LeverDrive(length, arm, (along - np.square(arm)) / length)


def push_angle(ground: Array, lever: Array, angle: Array) -> Array:
    """Angle between screw and lever.

    Parameters
    ----------
    ground : Array, shape (...)
        From the joint to the screw's pivot [m].
    lever : Array, shape (...)
        From the joint to the lever's end [m].
    angle : Array, shape (...)
        At the joint, from the line to the screw's pivot to the lever [rad].

    Returns
    -------
    Array, shape (...)
        With the sign of the arm [rad].

    Notes
    -----
    Sine g sin(a)/s, cosine (e - g cos(a))/s: a right angle pushes best.

    Examples
    --------
    >>> at_right_angle = np.arccos(np.array(0.2))
    >>> float(np.degrees(push_angle(np.array(0.25), np.array(0.05), at_right_angle)).round(4))
    90.0
    """
    return np.arctan2(ground * np.sin(angle), lever - ground * np.cos(angle))


def screw_ratio(arm: Array, lead: Array) -> Array:
    """Turn of a screw per turn of the joint.

    Parameters
    ----------
    arm : Array, shape (...)
        Lever arm [m/rad], or its slope [m/rad^2].
    lead : Array, shape (...)
        Travel of the nut per turn of the screw [m].

    Returns
    -------
    Array, shape (...)
        Ratio [1], or its slope [1/rad].

    Notes
    -----
    2 pi arm/lead.

    Examples
    --------
    >>> screw_ratio(np.array(0.04), np.array(0.01)).round(4)
    np.float64(25.1327)
    """
    ratio: Array = 2.0 * np.pi * arm / lead
    return ratio


def stroke_margin(length: Array, shortest: Array, longest: Array) -> Array:
    """How far a screw keeps from the ends of its stroke.

    Parameters
    ----------
    length : Array, shape (..., place)
        From the screw's pivot to the lever's end [m].
    shortest, longest : Array, shape (...)
        That the screw can have [m].

    Returns
    -------
    Array, shape (...)
        Least distance to an end over the longest [1].

    Notes
    -----
    min(s - shortest, longest - s)/longest.

    Examples
    --------
    >>> stroke_margin(np.array([[0.22, 0.28]]), np.array(0.2), np.array(0.32)).round(4)
    array([0.0625])
    """
    room = np.minimum(length.min(axis=-1) - shortest, longest - length.max(axis=-1))
    margin: Array = room / longest
    return margin
