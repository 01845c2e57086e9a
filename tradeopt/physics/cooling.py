"""The way of heat from a surface: film and conduction side by side; what thin air does to it."""

from typing import Final

import numpy as np

from tradeopt.arrays import Array

THIN_AIR_EXPONENT: Final = 0.55
"""Power of the air density in a film of moving air [1]: S. W. Churchill, M. Bernstein, J. Heat
Transfer 99:300-306 (1977), near Re = 1e4; natural convection has 0.50 to 0.55."""


def path_resistance(area: Array, film: Array, *, beside: Array) -> Array:
    """Thermal resistance of a surface with a film, and of a conductor beside it.

    Parameters
    ----------
    area : Array, shape (...)
        Surface [m^2].
    film : Array, shape (...)
        Heat per area and temperature difference [W/(m^2*K)].
    beside : Array, shape (...)
        Conductance of a second way, such as a metal ring; 0 for none [W/K].

    Returns
    -------
    Array, shape (...)
        Thermal resistance [K/W].

    Notes
    -----
    1/(h A + G). The film coefficient is taken as the same all over the surface.

    References
    ----------
    F. P. Incropera, D. P. DeWitt, *Fundamentals of Heat and Mass Transfer*, 6th ed., section 3.1
    (thermal circuits; from memory).

    Examples
    --------
    >>> import numpy as np
    >>> path_resistance(np.array([0.02, 0.02]), np.array(10.0), beside=np.array([0.0, 0.05]))
    array([5., 4.])
    """
    resistance: Array = 1.0 / (film * area + beside)
    return resistance


def ring_conductance(
    inner: Array, outer: Array, length: Array, *, conductivity: Array, contact: Array
) -> Array:
    """Conductance of a ring from its bore to its rim, such as from end turns to the lid.

    Parameters
    ----------
    inner : Array, shape (...)
        Radius of the bore [m].
    outer : Array, shape (...)
        Radius of the rim, above that of the bore [m].
    length : Array, shape (...)
        Along the axis; 0 for none [m].
    conductivity : Array, shape (...)
        Of its material [W/(m*K)].
    contact : Array, shape (...)
        Conductance of the joint at the bore per area [W/(m^2*K)].

    Returns
    -------
    Array, shape (...)
        Conductance [W/K].

    Notes
    -----
    2 pi l/(ln(r_o/r_i)/k + 1/(h_c r_i)): radial conduction, with the joint at the bore in line.

    References
    ----------
    J. P. Holman, *Heat Transfer*, chapter 2 (radial systems, contact resistance; from memory).

    Examples
    --------
    >>> conductance = ring_conductance(
    ...     np.array(0.040),
    ...     np.array(0.045),
    ...     np.array(0.050),
    ...     conductivity=np.array(167.0),
    ...     contact=np.array(np.inf),
    ... )
    >>> (1.0 / conductance).round(6)
    np.float64(0.002245)
    """
    in_line = np.log(outer / inner) / conductivity + 1.0 / (contact * inner)
    conductance: Array = 2.0 * np.pi * length / in_line
    return conductance


def layer_conductance(area: Array, thickness: Array, conductivity: Array) -> Array:
    """Conductance of a flat layer, such as potting between winding and housing.

    Parameters
    ----------
    area : Array, shape (...)
        Of the layer; 0 for none [m^2].
    thickness : Array, shape (...)
        That the heat crosses [m].
    conductivity : Array, shape (...)
        Of its material [W/(m*K)].

    Returns
    -------
    Array, shape (...)
        Conductance [W/K].

    Notes
    -----
    k A/t.

    References
    ----------
    Holman, *Heat Transfer*, chapter 2 (plane wall; from memory).

    Examples
    --------
    >>> layer_conductance(np.array(0.004), np.array(0.002), np.array(1.1)).round(4)
    np.float64(2.2)
    """
    return conductivity * area / thickness


def film_in_thin_air(film: Array, density_ratio: Array) -> Array:
    """Film coefficient where the air is thinner than at sea level.

    Parameters
    ----------
    film : Array, shape (...)
        Heat per area and temperature difference at sea level [W/(m^2*K)].
    density_ratio : Array, shape (...)
        Density of the air over that at sea level, at the same temperature [1].

    Returns
    -------
    Array, shape (...)
        Film coefficient there [W/(m^2*K)].

    Notes
    -----
    h r^0.55, natural and forced convection alike. Radiation does not feel the air; where it is
    part of the film it is derated with it, which is the safe side.

    References
    ----------
    Churchill and Bernstein, J. Heat Transfer 99:300-306 (1977), recomputed near Re = 1e4.

    Examples
    --------
    >>> film_in_thin_air(np.array(10.0), np.array([1.0, 0.692])).round(2)
    array([10.  ,  8.17])
    """
    thinner: Array = film * np.power(density_ratio, THIN_AIR_EXPONENT)
    return thinner
