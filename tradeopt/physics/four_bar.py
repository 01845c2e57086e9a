"""A four-bar linkage between motor and joint: its ratio changes with the joint's angle.

The input link turns on the pivot of the motor (or of the gear before it), the output link on the
joint; the coupler joins their ends. Angles are counted from the line of the two pivots, motor to
joint, in the joint's own sense. Every posture follows from the angle of the output link by
intersecting two circles: one square root, no inverse trigonometry.
"""

from typing import Final, NamedTuple

import numpy as np

from tradeopt.arrays import Array

LEAST_SINE: Final = 1e-3
"""Sine of the angle between two links below which they count as in line. There, and where the
links do not reach each other, it takes the place of the sine, so that numbers stay finite; the
margins of such a linkage are negative."""

_RIGHT_ANGLE: Final = np.pi / 2.0


class Links(NamedTuple):
    """Lengths of a four-bar linkage, pivot to pivot.

    Attributes
    ----------
    input, coupler, output, ground : Array, shape (...)
        Link on the motor, link between, link on the joint, distance of the two pivots [m].
    """

    input: Array
    coupler: Array
    output: Array
    ground: Array


class LinkDrive(NamedTuple):
    """What a linkage does to torque and speed at an angle.

    Attributes
    ----------
    ratio : Array, shape (...)
        Turn of the input link per turn of the output link [1].
    ratio_slope : Array, shape (...)
        Derivative of the ratio by the angle of the output link [1/rad].
    arm : Array, shape (...)
        Lever arm of the coupler's force about the joint [m].
    """

    ratio: Array
    ratio_slope: Array
    arm: Array


class Posture(NamedTuple):
    """How a linkage stands at an angle.

    Attributes
    ----------
    transmission_angle : Array, shape (...)
        From coupler to output link; a linkage that keeps its branch keeps its sign [rad].
    reach : Array, shape (...)
        1 less the size of the cosine between input link and coupler: 0 where they are in line,
        below it where links do not reach each other [1].
    input_end, output_end : Array, shape (..., 2)
        Ends of the coupler, from the motor's pivot: along the line of pivots, and to its left [m].
    """

    transmission_angle: Array
    reach: Array
    input_end: Array
    output_end: Array


class _Closed(NamedTuple):
    """A linkage at an angle: output link and input link as vectors, products of them [m^2]."""

    output: tuple[Array, Array]
    input: tuple[Array, Array]
    along: Array
    across: Array
    push: Array


def _closed(links: Links, output_angle: Array, side: Array) -> _Closed:
    """Close the linkage: the input link's end lies on a circle about either pivot.

    `along` and `across` are the dot and cross product of input link and the line to the output
    link's end, `push` that of output link and coupler.
    """
    link, coupler, output, ground = links
    output_x, output_y = output * np.cos(output_angle), output * np.sin(output_angle)
    end_x = ground + output_x
    square = np.maximum(end_x * end_x + output_y * output_y, np.square(LEAST_SINE * link))
    along = (link**2 - coupler**2 + square) / 2.0
    room = np.maximum(link**2 * square - along * along, np.square(LEAST_SINE * link * coupler))
    across = side * np.sqrt(room)
    input_x = (along * end_x - across * output_y) / square
    input_y = (along * output_y + across * end_x) / square
    push = output_x * input_y - output_y * (input_x - ground)
    least = LEAST_SINE * coupler * output
    push = np.where(np.abs(push) < least, np.copysign(least, push), push)
    return _Closed((output_x, output_y), (input_x, input_y), along, across, push)


def link_drive(links: Links, output_angle: Array, side: Array) -> LinkDrive:
    """Ratio of a linkage, its slope, and the coupler's lever arm.

    Parameters
    ----------
    links : Links
        Lengths [m].
    output_angle : Array, shape (...)
        Angle of the output link from the line of pivots [rad].
    side : Array, shape (...)
        +1 where the input link is ahead of the line from the motor's pivot to the output link's
        end, -1 where behind [1].

    Returns
    -------
    LinkDrive
        Ratio [1], its slope [1/rad], lever arm [m], shapes of the inputs broadcast together.

    Notes
    -----
    With a, c the vectors of input and output link, e the end of the output link and g the ground
    line, all from the motor's pivot: the coupler keeps its length, so that r = E/D with E = c x (a
    - g) and D = e x a. Differentiated again, D r' = g.c - a.c + 2 r a.c - r^2 e.a. The lever arm
    is |E| over the coupler. Links are rigid and pins without play.

    References
    ----------
    Velocity ratio of a four-bar, a sin(t2 - t3)/(c sin(t4 - t3)): R. L. Norton, "Design of
    Machinery", chapters 4 and 6 (from memory); the vector form is derived here and checked by
    finite differences.

    Examples
    --------
    >>> links = Links(*(np.array(length) for length in (0.04, 0.12, 0.08, 0.1)))
    >>> drive = link_drive(links, np.radians(np.array(57.325)), np.array(1.0))
    >>> [float(part.round(4)) for part in drive]
    [3.5724, -33.987, 0.0482]
    """
    closed = _closed(links, output_angle, side)
    both = closed.input[0] * closed.output[0] + closed.input[1] * closed.output[1]
    ratio = closed.push / closed.across
    slope = (
        links.ground * closed.output[0] + both * (2.0 * ratio - 1.0) - closed.along * ratio * ratio
    ) / closed.across
    return LinkDrive(ratio, slope, np.abs(closed.push) / links.coupler)


def posture(links: Links, output_angle: Array, side: Array) -> Posture:
    """Where the links stand and how well they push.

    Parameters
    ----------
    links : Links
        Lengths [m].
    output_angle : Array, shape (...)
        Angle of the output link from the line of pivots [rad].
    side : Array, shape (...)
        +1 where the input link is ahead of the line from the motor's pivot to the output link's
        end, -1 where behind [1].

    Returns
    -------
    Posture
        Transmission angle [rad], reach [1] and the coupler's ends [m].

    Notes
    -----
    The transmission angle's sine is E/(b c) of `link_drive`, its cosine the dot product of coupler
    and output link over the same. Where links do not reach each other, they point as nearly as
    they can.

    References
    ----------
    Hartenberg and Denavit, "Kinematic Synthesis of Linkages" (1964), for the transmission angle
    (from memory).

    Examples
    --------
    >>> links = Links(*(np.array(length) for length in (0.04, 0.12, 0.08, 0.1)))
    >>> stands = posture(links, np.radians(np.array(57.325)), np.array(1.0))
    >>> float(np.degrees(stands.transmission_angle).round(2)), stands.input_end.round(4).tolist()
    (37.03, [0.0306, 0.0257])
    """
    closed = _closed(links, output_angle, side)
    output_x, output_y = closed.output
    both = closed.input[0] * output_x + closed.input[1] * output_y
    facing = np.square(links.output) + links.ground * output_x - both
    square = np.square(links.ground + output_x) + np.square(output_y)
    product = 2.0 * links.input * links.coupler
    cosine = (np.square(links.input) + np.square(links.coupler) - square) / product
    return Posture(
        np.arctan2(closed.push, facing),
        1.0 - np.abs(cosine),
        np.stack(closed.input, axis=-1),
        np.stack((links.ground + output_x, output_y), axis=-1),
    )


def transmission_angle_margin(transmission_angle: Array, least: Array) -> Array:
    """How far the transmission angle keeps from its bounds over a range of angles.

    Parameters
    ----------
    transmission_angle : Array, shape (..., place)
        From coupler to output link [rad].
    least : Array, shape (...)
        Least one that is accepted; 180 deg less of it is the largest [rad].

    Returns
    -------
    Array, shape (...)
        1 at a right angle everywhere, 0 at a bound, negative beyond it or after a change of
        branch [1].

    Notes
    -----
    The angle is counted with the sign it has at the first place: a linkage that changes its branch
    passes 0 or 180 deg on the way and counts from there on as below every bound.

    References
    ----------
    Within 40 and 140 deg by a rule of thumb: Norton, "Design of Machinery", section 3.3 (from
    memory).

    Examples
    --------
    >>> angles = np.radians(np.array([[90.0, 65.0], [65.0, -5.0]]))
    >>> transmission_angle_margin(angles, np.radians(np.array(40.0))).round(4)
    array([ 0.5, -0.9])
    """
    folded = transmission_angle * np.sign(transmission_angle[..., :1])
    square_on = _RIGHT_ANGLE - np.abs(_RIGHT_ANGLE - folded)
    margin: Array = (square_on.min(axis=-1) - least) / (_RIGHT_ANGLE - least)
    return margin


def swept_room(stands: Posture, ground: Array, ground_angle: Array) -> tuple[Array, Array]:
    """Room that the pivots of a linkage take while it moves.

    Parameters
    ----------
    stands : Posture
        The linkage at every place of its range; shapes (..., place) [rad, 1, m].
    ground : Array, shape (...)
        Distance of the two pivots [m].
    ground_angle : Array, shape (...)
        Turn of the line of pivots from the limb's axis [rad].

    Returns
    -------
    tuple of Array, shape (...)
        Extent along the limb's axis and across it [m].

    Notes
    -----
    Between centres of pivots, in the plane of the links; their bodies come on top.

    Examples
    --------
    >>> links = Links(*(np.array(length) for length in (0.04, 0.1, 0.04, 0.1)))
    >>> stands = posture(links, np.radians(np.array([45.0, 90.0])), np.array(1.0))
    >>> [float(side.round(4)) for side in swept_room(stands, links.ground, np.array(0.0))]
    [0.1283, 0.04]
    """
    cosine, sine = np.cos(ground_angle)[..., None, None], np.sin(ground_angle)[..., None, None]
    ends = np.stack((stands.input_end, stands.output_end))
    along = ends[..., :1] * cosine - ends[..., 1:] * sine
    across = ends[..., :1] * sine + ends[..., 1:] * cosine
    pivot = cosine[..., 0, 0] * ground, sine[..., 0, 0] * ground
    return _extent(along, pivot[0]), _extent(across, pivot[1])


def _extent(moving: Array, pivot: Array) -> Array:
    """Extent over two moving ends, the motor's pivot at 0 and the joint's."""
    ends = moving[..., 0]
    highest = np.maximum(np.maximum(ends.max(axis=-1).max(axis=0), pivot), 0.0)
    lowest = np.minimum(np.minimum(ends.min(axis=-1).min(axis=0), pivot), 0.0)
    extent: Array = highest - lowest
    return extent
