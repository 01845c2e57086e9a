"""The way of heat from a surface: film and conduction side by side."""

from tradeopt.arrays import Array


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
