"""Room that drives take up: cylinders in boxes along the axes of the body they sit on."""

import numpy as np

from tradeopt.arrays import Array, as_array


def cylinder_box(diameter: Array, length: Array, axis: Array) -> Array:
    """Sides of the box around a cylinder that lies along one of the axes.

    Parameters
    ----------
    diameter : Array, shape (...)
        Diameter [m].
    length : Array, shape (...)
        Length along its own axis [m].
    axis : Array, shape (...)
        Which axis it lies along: 0 is x, 1 is y, 2 is z [1].

    Returns
    -------
    Array, shape (..., 3)
        Sides along x, y and z [m].

    Notes
    -----
    Length along the axis, diameter across. The corners of the box stay empty, so that what is said
    of the box is on the safe side of the cylinder.

    Examples
    --------
    >>> cylinder_box(np.array(0.1), np.array(0.06), np.array([0.0, 1.0])).tolist()
    [[0.06, 0.1, 0.1], [0.1, 0.06, 0.1]]
    """
    lies_along = as_array(axis)[..., np.newaxis] == np.arange(3)
    return np.where(
        lies_along, as_array(length)[..., np.newaxis], as_array(diameter)[..., np.newaxis]
    )


def box_gap(offset: Array, first_sides: Array, second_sides: Array) -> Array:
    """Clear distance between two boxes along the axes, along the one that keeps them apart best.

    Parameters
    ----------
    offset : Array, shape (..., 3)
        From the centre of the one to the centre of the other [m].
    first_sides : Array, shape (..., 3)
        Sides of the one along x, y and z [m].
    second_sides : Array, shape (..., 3)
        Sides of the other [m].

    Returns
    -------
    Array, shape (...)
        Gap; negative by how far one would have to move along an axis to be clear [m].

    Notes
    -----
    The greatest over the axes of |offset| less half the two sides. Never more than the true
    distance, which between two corners is longer.

    References
    ----------
    Separating-axis test of axis-parallel boxes, as in Ericson, "Real-Time Collision Detection",
    chapter 4 (from memory).

    Examples
    --------
    >>> cube = np.full(3, 0.1)
    >>> box_gap(np.array([[0.15, 0.0, 0.02], [0.04, 0.0, 0.0]]), cube, cube).round(4)
    array([ 0.05, -0.06])
    """
    gaps = np.abs(offset) - (first_sides + second_sides) / 2.0
    gap: Array = gaps.max(axis=-1)
    return gap


def inward_reach(offset: Array, side: Array) -> Array:
    """How far something on the left leg reaches from the leg's middle towards the right one.

    Parameters
    ----------
    offset : Array, shape (...)
        Place of its centre to the left of the leg's middle [m].
    side : Array, shape (...)
        Its width from left to right [m].

    Returns
    -------
    Array, shape (...)
        Reach to the right; negative where all of it is on the left [m].

    Notes
    -----
    Half the width less the offset. Both legs are mirror images, so this is said of each.

    Examples
    --------
    >>> inward_reach(np.array([0.0, 0.06]), np.array([0.1, 0.08])).round(4)
    array([ 0.05, -0.02])
    """
    return side / 2.0 - offset
