"""Gear stages in a row, spur or planetary: how they share a ratio, and what each share costs."""

from typing import Final

import numpy as np

from tradeopt.arrays import Array, Flags

MOST_STAGES: Final = 4
"""Stages that a row of gears may have."""


def stage_ratios(ratio: Array, stages: Array, step: Array) -> Array:
    """Share out a ratio among gear stages, from the motor to the joint.

    Parameters
    ----------
    ratio : Array, shape (...)
        Of the whole row [1], above 0.
    stages : Array, shape (...)
        How many, up to `MOST_STAGES` [1].
    step : Array, shape (...)
        Ratio of a stage per that of the one before it [1]: 1 for equal stages, above it for ratios
        that rise towards the joint.

    Returns
    -------
    Array, shape (..., stage)
        Ratio of each stage, `MOST_STAGES` of them; 1 for those that are not there [1].

    Notes
    -----
    N_i = N^(1/s) g^(i - (s + 1)/2). Ratios that rise towards the joint have the least inertia
    (`spur_inertia`), those that fall the least mass (`spur_mass`).

    Examples
    --------
    >>> stage_ratios(np.array([32.0]), np.array([2.0]), np.array([2.0])).round(4).tolist()
    [[4.0, 8.0, 1.0, 1.0]]
    """
    place = np.arange(MOST_STAGES) - (stages[..., None] - 1.0) / 2.0
    each = (ratio ** (1.0 / stages))[..., None] * step[..., None] ** place
    return np.where(_present(stages), each, 1.0)


def spur_mass(torque: Array, ratios: Array, stages: Array, per_torque: Array) -> Array:
    """Mass of the wheels of a row of spur meshes.

    Parameters
    ----------
    torque : Array, shape (...)
        At the joint [N*m].
    ratios : Array, shape (..., stage)
        Of each stage, from the motor to the joint [1].
    stages : Array, shape (...)
        How many [1].
    per_torque : Array, shape (...)
        Mass of a pinion by its own torque [kg/(N*m)].

    Returns
    -------
    Array, shape (...)
        Mass [kg].

    Notes
    -----
    Teeth that press alike need d^2 b in proportion to the pinion's torque; the wheel beside it has
    N^2 times the mass: m = c sum T_in (1 + N^2). Losses are left out. Ratios that fall towards the
    joint then weigh least.

    References
    ----------
    Contact pressure of teeth, as in any text on gears (derived); H. L. Bartlett, B. E. Lawson, M.
    Goldfarb, PLoS ONE 13(6):e0198048, 2018 (abstract) for the order of the ratios.

    Examples
    --------
    >>> ratios = np.array([[4.0, 5.0, 1.0, 1.0]])
    >>> spur_mass(np.array([100.0]), ratios, np.array([2.0]), np.array([1e-3])).round(4)
    array([0.605])
    """
    return per_torque * _carried(torque, 1.0 + np.square(ratios), ratios, stages)


def planetary_mass(
    torque: Array, ratios: Array, stages: Array, planets: Array, per_torque: Array
) -> Array:
    """Mass of suns and planets of a row of planetary stages.

    Parameters
    ----------
    torque : Array, shape (...)
        At the joint [N*m].
    ratios : Array, shape (..., stage)
        Of each stage, from the motor to the joint [1].
    stages : Array, shape (...)
        How many [1].
    planets : Array, shape (...)
        Planets of a stage [1].
    per_torque : Array, shape (...)
        Mass of a sun by its torque per planet [kg/(N*m)].

    Returns
    -------
    Array, shape (...)
        Mass [kg].

    Notes
    -----
    As `spur_mass`, the sun's torque shared by n planets of (N - 2)/2 of its diameter: m = c sum
    T_in (1/n + (N - 2)^2/4). Rings and carriers are for the mass of a stage to hold.

    Examples
    --------
    >>> ratios, stages = np.array([[4.0, 5.0, 1.0, 1.0]]), np.array([2.0])
    >>> torque, planets, each = (np.array([one]) for one in (100.0, 3.0, 0.01))
    >>> planetary_mass(torque, ratios, stages, planets, each).round(4)
    array([0.5833])
    """
    each = 1.0 / planets[..., None] + np.square(ratios - 2.0) / 4.0
    return per_torque * _carried(torque, each, ratios, stages)


def spur_inertia(ratios: Array, stages: Array, pinion_inertia: Array) -> Array:
    """Inertia of a row of spur meshes at the motor's shaft.

    Parameters
    ----------
    ratios : Array, shape (..., stage)
        Of each stage, from the motor to the joint [1].
    stages : Array, shape (...)
        How many [1].
    pinion_inertia : Array, shape (...)
        Of one pinion about its shaft [kg*m^2].

    Returns
    -------
    Array, shape (...)
        Inertia [kg*m^2].

    Notes
    -----
    Like pinions and wheels as discs of the same width: a wheel has N^4 times the inertia of its
    pinion and turns N times slower, so that a stage adds J (1 + N^2), less by the squares of the
    ratios before it.

    References
    ----------
    Petersen, Trans. ASME 76:493, 1954 (abstract), for the ratios of least inertia.

    Examples
    --------
    >>> spur_inertia(np.array([[4.0, 5.0, 1.0, 1.0]]), np.array([2.0]), np.array([1e-6])) * 1e6
    array([18.625])
    """
    return _at_motor(1.0 + np.square(ratios), ratios, stages) * pinion_inertia


def planetary_inertia(ratios: Array, stages: Array, sun_inertia: Array, planets: Array) -> Array:
    """Inertia of a row of planetary stages at the motor's shaft, ring gears held.

    Parameters
    ----------
    ratios : Array, shape (..., stage)
        Of each stage, from the motor to the joint [1].
    stages : Array, shape (...)
        How many [1].
    sun_inertia : Array, shape (...)
        Of one sun about its shaft [kg*m^2].
    planets : Array, shape (...)
        Planets of a stage [1].

    Returns
    -------
    Array, shape (...)
        Inertia [kg*m^2].

    Notes
    -----
    Like suns, and planets as discs of the same width, (N - 2)/2 of the sun in diameter: they
    travel at 1/N and spin at 1/(N - 2) of the sun's speed, so that a stage adds J (1 + 3 n (N -
    2)^2/16), less by the squares of the ratios before it. The carriers' arms are left out.

    References
    ----------
    Derived from the speeds of a planetary gear; any text on gears has them.

    Examples
    --------
    >>> ratios = np.array([[4.0, 5.0, 1.0, 1.0]])
    >>> three = planetary_inertia(ratios, np.array([2.0]), np.array([1e-6]), np.array([3.0]))
    >>> (three * 1e6).round(4)
    array([3.6289])
    """
    each = 1.0 + 0.1875 * planets[..., None] * np.square(ratios - 2.0)
    return _at_motor(each, ratios, stages) * sun_inertia


def planetary_efficiency(ratios: Array, mesh_efficiency: Array) -> Array:
    """Efficiency of a row of planetary stages, ring gears held.

    Parameters
    ----------
    ratios : Array, shape (..., stage)
        Of each stage [1].
    mesh_efficiency : Array, shape (...)
        From sun to ring with the carrier held, both meshes [1].

    Returns
    -------
    Array, shape (...)
        From motor to joint [1].

    Notes
    -----
    (1 + eta (N - 1))/N for each stage: the part of the power that the carrier takes along does not
    pass the teeth.

    References
    ----------
    Usual formula of planetary gears, from speeds and torques seen from the carrier (derived); 95
    to 98 % a stage (handbook values, from memory).

    Examples
    --------
    >>> planetary_efficiency(np.array([[4.0, 5.0, 1.0, 1.0]]), np.array([0.97])).round(4)
    array([0.954])
    """
    each = (1.0 + mesh_efficiency[..., None] * (ratios - 1.0)) / ratios
    whole: Array = each.prod(axis=-1)
    return whole


def ratio_margin(ratios: Array, stages: Array, least: Array, largest: Array) -> Array:
    """How far the ratios of all stages keep from what a stage can have.

    Parameters
    ----------
    ratios : Array, shape (..., stage)
        Of each stage [1].
    stages : Array, shape (...)
        How many [1].
    least, largest : Array, shape (...)
        That a stage can have [1].

    Returns
    -------
    Array, shape (...)
        Share of reserve [1].

    Notes
    -----
    The smaller of 1 - N/largest and 1 - least/N over all stages.

    Examples
    --------
    >>> ratios = np.array([[4.0, 5.0, 1.0, 1.0]])
    >>> ratio_margin(ratios, np.array([2.0]), np.array([3.0]), np.array([10.0])).round(4)
    array([0.25])
    """
    above, below = 1.0 - least[..., None] / ratios, 1.0 - ratios / largest[..., None]
    margin: Array = np.where(_present(stages), np.minimum(above, below), np.inf).min(axis=-1)
    return margin


def _present(stages: Array) -> Flags:
    return np.asarray(np.arange(MOST_STAGES) < stages[..., None])


def _at_motor(each: Array, ratios: Array, stages: Array) -> Array:
    """Sum up inertias, each at the input of its stage, at the motor's shaft."""
    before = np.cumprod(ratios, axis=-1) / ratios
    total: Array = np.where(_present(stages), each / np.square(before), 0.0).sum(axis=-1)
    return total


def _carried(torque: Array, each: Array, ratios: Array, stages: Array) -> Array:
    """Sum up what each stage has by the torque at its input."""
    after = np.flip(np.cumprod(np.flip(ratios, axis=-1), axis=-1), axis=-1)
    total: Array = np.where(_present(stages), each * torque[..., None] / after, 0.0).sum(axis=-1)
    return total
