"""Interpolation between strides that were made on a fixed lattice of lengths and gaits."""

from typing import Final

import numpy as np

from tradeopt.arrays import Array

RELATIVE_STEP: Final = 0.15
"""Distance of two nodes of a length, a speed or a time, over the value at the lattice's origin
[1]; a choice that keeps the error of the torques below 0.5 % of their peaks, as is tested."""

ANGLE_STEP: Final = 0.05
"""Distance of two nodes of an angle [rad]; likewise a choice."""

KINK: Final = 0.05
"""Distance, as a share of the stride, that the place of the straightest knee may move within a
cell [1]. Where it jumps, another moment of the stride begins to set how high the hips are carried;
that is a kink, and no polynomial follows it."""

MOST_DIMENSIONS: Final = 3
"""Greatest number of dimensions that are interpolated at once [1]; beyond it, making one stride
costs less than its share of the nodes."""


def lattice_cell(value: Array, origin: Array, step: Array) -> Array:
    """Cell of a lattice that a value lies in.

    Parameters
    ----------
    value : Array, shape (...)
        What is looked for [any unit].
    origin : Array, shape (...)
        The node numbered 0 [unit of value].
    step : Array, shape (...)
        Distance from node to node [unit of value]; 0 for what is not to be interpolated.

    Returns
    -------
    Array, shape (...)
        Number of the cell's middle node; even [1].

    Notes
    -----
    Each cell has three nodes and shares its outer ones with its neighbours: node k is at
    ``origin + k step``, and the cell around node 2 j reaches from 2 j - 1 to 2 j + 1. A cell
    depends on nothing but the value and the lattice, so that a design has the same result
    whatever else is computed beside it.

    Examples
    --------
    >>> import numpy as np
    >>> lattice_cell(np.array([0.40, 0.45, 0.47]), np.array(0.4), np.array(0.06)).tolist()
    [0.0, 0.0, 2.0]
    """
    scaled = np.divide(value - origin, 2 * step, out=np.zeros(np.shape(value)), where=step > 0)
    return np.asarray(2 * np.floor(scaled + 0.5))


def lattice_weights(value: Array, origin: Array, step: Array) -> Array:
    """Weights of the three nodes of the cell that a value lies in.

    Parameters
    ----------
    value : Array, shape (...)
        What is looked for [any unit].
    origin : Array, shape (...)
        The node numbered 0 [unit of value].
    step : Array, shape (...)
        Distance from node to node; more than 0 [unit of value].

    Returns
    -------
    Array, shape (..., 3)
        Weights of the lower, middle and upper node; their sum is 1 [1].

    Notes
    -----
    Lagrange's polynomials of second degree: exact at the nodes and for parabolas, continuous
    from cell to cell. The error is that of the third derivative, ``step^3 f''' / 15.6`` at most.

    References
    ----------
    L. N. Trefethen, *Approximation Theory and Approximation Practice*, SIAM, 2013, chapter 5.

    Examples
    --------
    >>> import numpy as np
    >>> lattice_weights(np.array(0.43), np.array(0.4), np.array(0.06)).round(4).tolist()
    [-0.125, 0.75, 0.375]
    """
    place = (value - origin) / step - lattice_cell(value, origin, step)
    lower, middle, upper = place * (place - 1) / 2, 1 - place**2, place * (place + 1) / 2
    return np.stack((lower, middle, upper), axis=-1)


def without_kink(phase: Array, *, phases: int) -> bool:
    """Whether the straightest knee of several strides is at the same place of the stride.

    Parameters
    ----------
    phase : Array, shape (stride,)
        Place at which the knee of each stride is straightest [1].
    phases : int
        Phases of a stride [1].

    Returns
    -------
    bool
        False where the places lie further apart than one kink's share of the stride [-].

    Notes
    -----
    Places are counted round the stride: the last phase is next to the first.

    Examples
    --------
    >>> import numpy as np
    >>> without_kink(np.array([99, 0, 2]), phases=100)
    True
    >>> without_kink(np.array([99, 0, 40]), phases=100)
    False
    """
    apart = np.abs(phase - phase[0])
    return bool((np.minimum(apart, phases - apart) <= KINK * phases).all())
