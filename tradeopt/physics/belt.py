"""Toothed belts on two pulleys: wrap, strands, teeth that hold."""

from typing import Final, NamedTuple

import numpy as np

from tradeopt.arrays import Array

LEAST_STRAND: Final = 1e-3
"""Free strand over the distance of the pulleys, kept where they do not fit: so much stays."""


class BeltRun(NamedTuple):
    """How an open belt lies on two pulleys.

    Attributes
    ----------
    strand : Array, shape (...)
        Free length of each strand [m].
    wrap : Array, shape (...)
        Angle of the belt on the small pulley [rad].
    length : Array, shape (...)
        Length of the whole belt [m].
    """

    strand: Array
    wrap: Array
    length: Array


def pitch_diameter(teeth: Array, pitch: Array) -> Array:
    """Diameter at which a toothed pulley turns its belt.

    Parameters
    ----------
    teeth : Array, shape (...)
        Teeth of the pulley [1].
    pitch : Array, shape (...)
        Distance of two teeth of the belt [m].

    Returns
    -------
    Array, shape (...)
        Diameter [m].

    Notes
    -----
    z p/pi.

    Examples
    --------
    >>> pitch_diameter(np.array(20.0), np.array(5e-3)).round(4)
    np.float64(0.0318)
    """
    diameter: Array = teeth * pitch / np.pi
    return diameter


def belt_run(small: Array, large: Array, distance: Array) -> BeltRun:
    """Lay an open belt around two pulleys.

    Parameters
    ----------
    small, large : Array, shape (...)
        Pitch diameters, large no smaller than small [m].
    distance : Array, shape (...)
        Between the two shafts [m].

    Returns
    -------
    BeltRun
        Strand [m], wrap [rad] and length [m]; the nearest that there is where the shafts are too
        close for the large pulley.

    Notes
    -----
    sin(lean) = (D - d)/(2 C); wrap = pi - 2 lean, strand = C cos(lean), length = 2 strand + D (pi
    + 2 lean)/2 + d wrap/2.

    References
    ----------
    Open belt drive, in any text on machine elements.

    Examples
    --------
    >>> run = belt_run(np.array(0.04), np.array(0.1), np.array(0.15))
    >>> [float(part.round(4)) for part in run]
    [0.147, 2.7389, 0.5259]
    """
    sine = np.minimum((large - small) / (2.0 * distance), np.sqrt(1.0 - LEAST_STRAND**2))
    lean = np.arcsin(sine)
    wrap = np.pi - 2.0 * lean
    strand = distance * np.sqrt(1.0 - np.square(sine))
    length = 2.0 * strand + (large * (np.pi + 2.0 * lean) + small * wrap) / 2.0
    return BeltRun(strand, wrap, length)


def teeth_margin(teeth: Array, wrap: Array, least: Array) -> Array:
    """How many teeth hold more than must.

    Parameters
    ----------
    teeth : Array, shape (...)
        Teeth of the small pulley [1].
    wrap : Array, shape (...)
        Angle of the belt on it [rad].
    least : Array, shape (...)
        Teeth that must be in mesh [1], above 0.

    Returns
    -------
    Array, shape (...)
        Share of reserve; negative with too few in mesh [1].

    Notes
    -----
    1 - least/(z wrap/(2 pi)). With fewer than about six the belt's teeth shear (common practice,
    no source).

    Examples
    --------
    >>> teeth_margin(np.array(20.0), np.array(np.pi), np.array(6.0)).round(4)
    np.float64(0.4)
    """
    margin: Array = 1.0 - least * 2.0 * np.pi / (teeth * wrap)
    return margin
