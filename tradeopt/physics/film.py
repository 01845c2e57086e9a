"""Heat from a surface to the air around it: natural and forced convection, and radiation."""

from typing import Final, NamedTuple

import numpy as np

from tradeopt.arrays import Array

STEFAN_BOLTZMANN: Final = 5.670374419e-8
"""Stefan-Boltzmann constant [W/(m^2*K^4)], CODATA 2018."""


class Air(NamedTuple):
    """Air at the mean of surface and surroundings.

    Attributes
    ----------
    density : Array, shape (...)
        Density [kg/m^3].
    viscosity : Array, shape (...)
        Dynamic viscosity [Pa*s].
    conductivity : Array, shape (...)
        Thermal conductivity [W/(m*K)].
    prandtl : Array, shape (...)
        Prandtl number [1].
    """

    density: Array
    viscosity: Array
    conductivity: Array
    prandtl: Array


def radiation(emissivity: Array, surface: Array, surroundings: Array) -> Array:
    """Film coefficient that radiation amounts to.

    Parameters
    ----------
    emissivity : Array, shape (...)
        Of the surface, grey [1].
    surface : Array, shape (...)
        Temperature of the surface [K].
    surroundings : Array, shape (...)
        Temperature of what it sees, much larger than itself [K].

    Returns
    -------
    Array, shape (...)
        Heat per area and temperature difference [W/(m^2*K)].

    Notes
    -----
    eps sigma (T + T_s) (T^2 + T_s^2): the fourth powers, divided by the difference.

    References
    ----------
    F. P. Incropera, D. P. DeWitt, *Fundamentals of Heat and Mass Transfer*, 6th ed., eq. 1.9 (from
    memory).

    Examples
    --------
    >>> radiation(np.array(0.9), np.array(358.15), np.array(298.15)).round(4)
    np.float64(7.2735)
    """
    film: Array = (
        emissivity
        * STEFAN_BOLTZMANN
        * (surface + surroundings)
        * (np.square(surface) + np.square(surroundings))
    )
    return film


def rayleigh(length: Array, warmer: Array, mean: Array, air: Air, *, gravity: Array) -> Array:
    """How strongly warm air rises along a surface.

    Parameters
    ----------
    length : Array, shape (...)
        Diameter of a lying cylinder, or height of a wall [m].
    warmer : Array, shape (...)
        Surface above the air [K].
    mean : Array, shape (...)
        Mean temperature of both [K].
    air : Air
        At that temperature.
    gravity : Array, shape (...)
        Acceleration of free fall [m/s^2].

    Returns
    -------
    Array, shape (...)
        Rayleigh number [1].

    Notes
    -----
    Ra = g L^3 (dT/T) rho^2 Pr/mu^2, with the expansion 1/T of a perfect gas. Taken as 0 for a
    surface that is colder than the air.

    References
    ----------
    Incropera and DeWitt, 6th ed., eq. 9.25 (from memory).

    Examples
    --------
    >>> air = Air(np.array(1.06), np.array(2.0e-5), np.array(0.0285), np.array(0.7))
    >>> rayleigh(np.array(0.06), np.array(60.0), np.array(328.15), air, gravity=9.81).round(0)
    np.float64(761818.0)
    """
    buoyancy = gravity * np.maximum(warmer, 0.0) / mean
    number: Array = (
        buoyancy * np.power(length, 3) * np.square(air.density / air.viscosity) * air.prandtl
    )
    return number


def lying_cylinder(rayleigh: Array, prandtl: Array) -> Array:
    """Nusselt number of a warm cylinder that lies in still air.

    Parameters
    ----------
    rayleigh : Array, shape (...)
        Rayleigh number of its diameter, up to 1e12 [1].
    prandtl : Array, shape (...)
        Prandtl number [1].

    Returns
    -------
    Array, shape (...)
        Nusselt number of its diameter [1].

    Notes
    -----
    [0.60 + 0.387 Ra^(1/6)/(1 + (0.559/Pr)^(9/16))^(8/27)]^2.

    References
    ----------
    S. W. Churchill, H. H. S. Chu, Int. J. Heat Mass Transfer 18:1049-1053 (1975).

    Examples
    --------
    >>> lying_cylinder(np.array(5.076e6), np.array(0.697)).round(3)
    np.float64(23.095)
    """
    shape = np.power(1.0 + np.power(0.559 / prandtl, 9 / 16), 8 / 27)
    number: Array = np.square(0.60 + 0.387 * np.power(rayleigh, 1 / 6) / shape)
    return number


def upright_wall(rayleigh: Array, prandtl: Array) -> Array:
    """Nusselt number of a warm upright wall in still air, such as the lid of a lying motor.

    Parameters
    ----------
    rayleigh : Array, shape (...)
        Rayleigh number of its height [1].
    prandtl : Array, shape (...)
        Prandtl number [1].

    Returns
    -------
    Array, shape (...)
        Nusselt number of its height [1].

    Notes
    -----
    [0.825 + 0.387 Ra^(1/6)/(1 + (0.492/Pr)^(9/16))^(8/27)]^2.

    References
    ----------
    S. W. Churchill, H. H. S. Chu, Int. J. Heat Mass Transfer 18:1323-1329 (1975).

    Examples
    --------
    >>> upright_wall(np.array(1.814e9), np.array(0.69)).round(2)
    np.float64(147.14)
    """
    shape = np.power(1.0 + np.power(0.492 / prandtl, 9 / 16), 8 / 27)
    number: Array = np.square(0.825 + 0.387 * np.power(rayleigh, 1 / 6) / shape)
    return number


def blown_cylinder(reynolds: Array, prandtl: Array) -> Array:
    """Nusselt number of a cylinder with air blown across it.

    Parameters
    ----------
    reynolds : Array, shape (...)
        Reynolds number of its diameter [1].
    prandtl : Array, shape (...)
        Prandtl number; Reynolds times Prandtl 0.2 or more [1].

    Returns
    -------
    Array, shape (...)
        Nusselt number of its diameter [1].

    Notes
    -----
    0.3 + 0.62 Re^(1/2) Pr^(1/3)/(1 + (0.4/Pr)^(2/3))^(1/4) (1 + (Re/282000)^(5/8))^(4/5); its
    authors and textbooks ask for 20 % of room.

    References
    ----------
    S. W. Churchill, M. Bernstein, J. Heat Transfer 99:300-306 (1977).

    Examples
    --------
    >>> blown_cylinder(np.array(6071.0), np.array(0.7)).round(2)
    np.float64(40.64)
    """
    smooth = 0.62 * np.sqrt(reynolds) * np.cbrt(prandtl)
    smooth = smooth / np.power(1.0 + np.power(0.4 / prandtl, 2 / 3), 1 / 4)
    number: Array = 0.3 + smooth * np.power(1.0 + np.power(reynolds / 282_000.0, 5 / 8), 4 / 5)
    return number


def still_can(
    diameter: Array, length: Array, warmer: Array, mean: Array, air: Air, *, gravity: Array
) -> Array:
    """Film coefficient of a motor that lies in still air, convection alone.

    Parameters
    ----------
    diameter : Array, shape (...)
        Of the housing [m].
    length : Array, shape (...)
        Of the housing, along the shaft [m].
    warmer : Array, shape (...)
        Housing above the air [K].
    mean : Array, shape (...)
        Mean temperature of both [K].
    air : Air
        At that temperature.
    gravity : Array, shape (...)
        Acceleration of free fall [m/s^2].

    Returns
    -------
    Array, shape (...)
        Heat per area and temperature difference [W/(m^2*K)].

    Notes
    -----
    The barrel as a lying cylinder and both lids as upright walls of its diameter, by their areas.

    References
    ----------
    Churchill and Chu (1975), see `lying_cylinder` and `upright_wall`.

    Examples
    --------
    >>> air = Air(np.array(1.06), np.array(2.0e-5), np.array(0.0285), np.array(0.7))
    >>> still_can(
    ...     np.array(0.06), np.array(0.05), np.array(60.0), np.array(328.15), air, gravity=9.81
    ... ).round(3)
    np.float64(6.732)
    """
    number = rayleigh(diameter, warmer, mean, air, gravity=gravity)
    barrel = lying_cylinder(number, air.prandtl)
    lid = upright_wall(number, air.prandtl)
    # barrel and lids are as pi D L to pi D^2/2
    share = length / (length + diameter / 2.0)
    film: Array = (share * barrel + (1.0 - share) * lid) * air.conductivity / diameter
    return film


def blown_can(diameter: Array, speed: Array, air: Air) -> Array:
    """Film coefficient of a motor that air is blown across, convection alone.

    Parameters
    ----------
    diameter : Array, shape (...)
        Of the housing [m].
    speed : Array, shape (...)
        Of the air [m/s].
    air : Air
        At the mean of housing and air.

    Returns
    -------
    Array, shape (...)
        Heat per area and temperature difference [W/(m^2*K)].

    Notes
    -----
    The barrel's film is taken for the lids and the open stator too.

    References
    ----------
    Churchill and Bernstein (1977), see `blown_cylinder`.

    Examples
    --------
    >>> air = Air(np.array(1.06), np.array(2.0e-5), np.array(0.0285), np.array(0.7))
    >>> blown_can(np.array(0.06), np.array(3.0), air).round(3)
    np.float64(24.682)
    """
    reynolds = air.density * speed * diameter / air.viscosity
    film: Array = blown_cylinder(reynolds, air.prandtl) * air.conductivity / diameter
    return film
