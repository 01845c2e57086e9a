"""The standard atmosphere up to 11 km: what thin air does to cooling starts here."""

from typing import Final

import numpy as np

from tradeopt.arrays import Array, as_array

GAS_CONSTANT: Final = 287.05287
"""Specific gas constant of dry air [J/(kg*K)], ISO 2533:1975."""
SEA_LEVEL_TEMPERATURE: Final = 288.15
"""Temperature at altitude 0 [K], ISO 2533:1975."""
SEA_LEVEL_PRESSURE: Final = 101_325.0
"""Pressure at altitude 0 [Pa], ISO 2533:1975."""
LAPSE_RATE: Final = 0.0065
"""Fall of the temperature with altitude [K/m], ISO 2533:1975."""
STANDARD_GRAVITY: Final = 9.80665
"""Acceleration of free fall that defines geopotential altitude [m/s^2], ISO 2533:1975."""
RATIO_OF_HEATS: Final = 1.4
"""Of dry air [1], ISO 2533:1975."""
LOWEST_ALTITUDE: Final = -5_000.0
"""Where the tables of the standard begin [m]."""
HIGHEST_ALTITUDE: Final = 11_000.0
"""Where the layer of falling temperature ends [m]."""


def temperature(altitude: Array) -> Array:
    """Air temperature of the standard atmosphere.

    Parameters
    ----------
    altitude : Array, shape (...)
        Geopotential altitude [m].

    Returns
    -------
    Array, shape (...)
        Temperature [K]; NaN outside -5 to 11 km, where this law does not hold.

    Notes
    -----
    T = 288.15 - 0.0065 H. Geopotential and geometric altitude differ by 0.05 % at 3 km.

    References
    ----------
    ISO 2533:1975, Standard Atmosphere.

    Examples
    --------
    >>> temperature(np.array([0.0, 2000.0]))
    array([288.15, 275.15])
    """
    altitude = as_array(altitude)
    holds = (altitude >= LOWEST_ALTITUDE) & (altitude <= HIGHEST_ALTITUDE)
    return np.where(holds, SEA_LEVEL_TEMPERATURE - LAPSE_RATE * altitude, np.nan)


def pressure(altitude: Array) -> Array:
    """Air pressure of the standard atmosphere.

    Parameters
    ----------
    altitude : Array, shape (...)
        Geopotential altitude [m].

    Returns
    -------
    Array, shape (...)
        Pressure [Pa]; NaN outside -5 to 11 km, where this law does not hold.

    Notes
    -----
    p = 101325 (T/288.15)^(g/(R L)), with exponent 5.2559.

    References
    ----------
    ISO 2533:1975, Standard Atmosphere.

    Examples
    --------
    >>> pressure(np.array([0.0, 3000.0])).round(0)
    array([101325.,  70109.])
    """
    exponent = STANDARD_GRAVITY / (GAS_CONSTANT * LAPSE_RATE)
    ratio: Array = (temperature(altitude) / SEA_LEVEL_TEMPERATURE) ** exponent
    return SEA_LEVEL_PRESSURE * ratio


def density(altitude: Array, air_temperature: Array) -> Array:
    """Air density at an altitude, on a day of any temperature.

    Parameters
    ----------
    altitude : Array, shape (...)
        Geopotential altitude [m].
    air_temperature : Array, shape (...)
        Temperature of the air there [K]; give `temperature(altitude)` for the standard day.

    Returns
    -------
    Array, shape (...)
        Density of dry air [kg/m^3]; NaN outside -5 to 11 km, where the pressure law does not hold.

    Notes
    -----
    rho = p/(R T). Moist air is lighter by up to 1.5 % at 30 degC, which is left out.

    References
    ----------
    ISO 2533:1975, Standard Atmosphere.

    Examples
    --------
    >>> density(np.array([0.0, 3000.0]), np.array([288.15, 268.65])).round(4)
    array([1.225 , 0.9091])
    """
    return pressure(altitude) / (GAS_CONSTANT * air_temperature)


def density_ratio(altitude: Array) -> Array:
    """Air density over that at sea level, at the same temperature.

    Parameters
    ----------
    altitude : Array, shape (...)
        Geopotential altitude [m].

    Returns
    -------
    Array, shape (...)
        Ratio [1]; NaN outside -5 to 11 km, where the pressure law does not hold.

    Notes
    -----
    The ratio of the pressures.

    References
    ----------
    ISO 2533:1975, Standard Atmosphere.

    Examples
    --------
    >>> density_ratio(np.array([0.0, 3000.0])).round(4)
    array([1.    , 0.6919])
    """
    ratio: Array = pressure(altitude) / SEA_LEVEL_PRESSURE
    return ratio


def viscosity(air_temperature: Array) -> Array:
    """Dynamic viscosity of air.

    Parameters
    ----------
    air_temperature : Array, shape (...)
        Temperature of the air [K].

    Returns
    -------
    Array, shape (...)
        Viscosity [Pa*s].

    Notes
    -----
    Sutherland's law, 1.458e-6 T^1.5/(T + 110.4); pressure does not matter here.

    References
    ----------
    ISO 2533:1975, Standard Atmosphere.

    Examples
    --------
    >>> (viscosity(np.array([288.15, 350.0])) * 1e5).round(4)
    array([1.7894, 2.0736])
    """
    law: Array = 1.458e-6 * np.power(air_temperature, 1.5) / (air_temperature + 110.4)
    return law


def conductivity(air_temperature: Array) -> Array:
    """Thermal conductivity of air.

    Parameters
    ----------
    air_temperature : Array, shape (...)
        Temperature of the air [K].

    Returns
    -------
    Array, shape (...)
        Conductivity [W/(m*K)].

    Notes
    -----
    2.64638e-3 T^1.5/(T + 245.4 x 10^(-12/T)).

    References
    ----------
    ISO 2533:1975, Standard Atmosphere.

    Examples
    --------
    >>> conductivity(np.array([288.15, 350.0])).round(5)
    array([0.02533, 0.03004])
    """
    bend = 245.4 * np.power(10.0, -12.0 / air_temperature)
    law: Array = 2.64638e-3 * np.power(air_temperature, 1.5) / (air_temperature + bend)
    return law


def prandtl(air_temperature: Array) -> Array:
    """Ratio of how air spreads momentum and heat.

    Parameters
    ----------
    air_temperature : Array, shape (...)
        Temperature of the air [K].

    Returns
    -------
    Array, shape (...)
        Prandtl number [1].

    Notes
    -----
    c_p mu/k, with the c_p of a perfect gas: 3.5 times the gas constant.

    References
    ----------
    ISO 2533:1975, Standard Atmosphere.

    Examples
    --------
    >>> prandtl(np.array([288.15, 350.0])).round(4)
    array([0.7099, 0.6934])
    """
    heat = GAS_CONSTANT * RATIO_OF_HEATS / (RATIO_OF_HEATS - 1.0)
    number: Array = heat * viscosity(air_temperature) / conductivity(air_temperature)
    return number
