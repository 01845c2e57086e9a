"""Three-phase permanent-magnet motors: scaling of a family, current and losses.

Convention for every function here: current is the amplitude on the q axis, resistance and
inductance are those of one phase, and flux linkage is the amplitude of one phase. Then torque =
1.5 p lambda i, copper loss = 1.5 R i^2 and the motor constant is Kt/sqrt(1.5 R).
"""

from typing import Final, NamedTuple

import numpy as np

from tradeopt.arrays import Array

COPPER_COEFFICIENT: Final = 0.00393
"""Rise of copper's resistance per kelvin, counted from 20 degC [1/K], IEC 60028 (from memory)."""
COPPER_REFERENCE_TEMPERATURE: Final = 293.15
"""20 degC, from which `COPPER_COEFFICIENT` counts [K], IEC 60028 (from memory)."""
DATA_TOLERANCE: Final = 0.1
"""How far the constants of one motor's data sheet may contradict each other [1]: they are rounded
and scatter from piece to piece; common practice, no source."""
PHASE_SUM: Final = 1.5
"""Three phases, each with a mean square of half its squared amplitude [1]."""


class FamilyFactors(NamedTuple):
    """What each property of the reference motor is multiplied by.

    Attributes
    ----------
    mass : Array, shape (...)
        Mass, heat capacity and iron loss at equal speed [1].
    area : Array, shape (...)
        Cylinder areas of winding and housing [1].
    rotor_inertia : Array, shape (...)
        Inertia of the rotor [1].
    torque_constant : Array, shape (...)
        Torque per current, and flux linkage [1].
    motor_constant : Array, shape (...)
        Torque per root of copper loss [1].
    resistance : Array, shape (...)
        Phase resistance [1].
    inductance : Array, shape (...)
        Phase inductance [1].
    peak_torque : Array, shape (...)
        Torque at equal current per circumference [1].
    """

    mass: Array
    area: Array
    rotor_inertia: Array
    torque_constant: Array
    motor_constant: Array
    resistance: Array
    inductance: Array
    peak_torque: Array


def family_factors(radius_ratio: Array, length_ratio: Array, turns_ratio: Array) -> FamilyFactors:
    """Scale a motor within its family by air-gap radius, stack length and turns.

    Parameters
    ----------
    radius_ratio : Array, shape (...)
        Air-gap radius per that of the reference motor [1].
    length_ratio : Array, shape (...)
        Stack length per that of the reference motor [1].
    turns_ratio : Array, shape (...)
        Turns of a phase per those of the reference motor [1].

    Returns
    -------
    FamilyFactors
        A factor for every property [1].

    Notes
    -----
    Radial build, flux density, copper fill and number of poles stay: mass ~ r l, J ~ r^3 l, Kt ~ n
    r l, Km ~ r^1.5 l^0.5, L ~ n^2 l, torque at equal current per circumference ~ r^2 l. Resistance
    follows from Km = Kt/sqrt(1.5 R): R ~ n^2 l/r. End turns and lids are taken to scale along, so
    hold to 0.5 to 2 times the reference. Poles grow wider with the radius; their number would
    change in a real family.

    References
    ----------
    Seok, Wang, Otten, Kim, "Actuator design for high force proprioceptive control in fast legged
    locomotion", IROS 2012; Wensing et al., IEEE Trans. Robotics 33(3):509-522 (2017).

    Examples
    --------
    >>> factors = family_factors(np.array(2.0), np.array(1.0), np.array(1.0))
    >>> [round(float(factor), 4) for factor in factors]
    [2.0, 2.0, 8.0, 2.0, 2.8284, 0.5, 1.0, 4.0]
    """
    footprint = radius_ratio * length_ratio
    torque_constant = turns_ratio * footprint
    motor_constant = radius_ratio * np.sqrt(footprint)
    return FamilyFactors(
        mass=footprint,
        area=footprint,
        rotor_inertia=footprint * np.square(radius_ratio),
        torque_constant=torque_constant,
        motor_constant=motor_constant,
        resistance=np.square(torque_constant / motor_constant),
        inductance=np.square(turns_ratio) * length_ratio,
        peak_torque=footprint * radius_ratio,
    )


def scaling_margin(radius_ratio: Array, length_ratio: Array) -> Array:
    """How far a motor stays within what its family's scaling holds for.

    Parameters
    ----------
    radius_ratio : Array, shape (...)
        Air-gap radius per that of the reference motor, above 0 [1].
    length_ratio : Array, shape (...)
        Stack length per that of the reference motor, above 0 [1].

    Returns
    -------
    Array, shape (...)
        1 at the reference, 0 at half or twice its size, negative beyond [1].

    Notes
    -----
    1 - |log2 ratio|, the worse of radius and length. That the scaling holds to a factor of two is
    the choice of `family_factors`.

    Examples
    --------
    >>> scaling_margin(np.array([1.0, 2.0, 1.0]), np.array([1.0, 1.0, 0.25]))
    array([ 1.,  0., -1.])
    """
    octaves = np.maximum(np.abs(np.log2(radius_ratio)), np.abs(np.log2(length_ratio)))
    margin: Array = 1.0 - octaves
    return margin


def motor_constant(torque_constant: Array, resistance: Array) -> Array:
    """Torque per root of copper loss: how good a motor is, whatever its winding.

    Parameters
    ----------
    torque_constant : Array, shape (...)
        Torque per q-axis current amplitude [N*m/A].
    resistance : Array, shape (...)
        Resistance of one phase [ohm].

    Returns
    -------
    Array, shape (...)
        Motor constant [N*m/W^0.5].

    Notes
    -----
    Km = Kt/sqrt(1.5 R).

    Examples
    --------
    >>> motor_constant(np.array(0.15), np.array(0.06))
    np.float64(0.5)
    """
    constant: Array = torque_constant / np.sqrt(PHASE_SUM * resistance)
    return constant


def flux_linkage(torque_constant: Array, pole_pairs: Array) -> Array:
    """Flux linkage of one phase, amplitude, from the torque constant.

    Parameters
    ----------
    torque_constant : Array, shape (...)
        Torque per q-axis current amplitude [N*m/A].
    pole_pairs : Array, shape (...)
        Pole pairs [1].

    Returns
    -------
    Array, shape (...)
        Flux linkage [Wb].

    Notes
    -----
    lambda = Kt/(1.5 p), from Kt = 1.5 p lambda.

    Examples
    --------
    >>> flux_linkage(np.array(0.15), np.array(10.0)).round(4)
    np.float64(0.01)
    """
    return torque_constant / (PHASE_SUM * pole_pairs)


def current(torque: Array, torque_constant: Array, saturation_current: Array) -> Array:
    """Find the current that gives a torque.

    Parameters
    ----------
    torque : Array, shape (..., phase)
        Torque of the motor's field [N*m].
    torque_constant : Array, shape (..., phase)
        Torque per q-axis current amplitude while the iron is far from saturated [N*m/A].
    saturation_current : Array, shape (..., phase)
        Unsaturated current of the torque that takes twice as much [A].

    Returns
    -------
    Array, shape (..., phase)
        q-axis current, amplitude with sign [A].

    Notes
    -----
    i = x (1 + (x/i_s)^2) with x = tau/Kt: one parameter, smooth, odd and without end, so that
    every torque has a current. A fifth of the torque constant is lost at x = i_s/2. A maker's
    curve of torque over current gives i_s by its bend.

    References
    ----------
    The shape is our own choice; that the torque constant falls with current is common practice.

    Examples
    --------
    >>> current(np.array([3.0, -1.5, 15.0]), np.array(0.15), np.array(100.0)).round(4)
    array([ 20.8, -10.1, 200. ])
    """
    unsaturated = torque / torque_constant
    amplitude: Array = unsaturated * (1.0 + np.square(unsaturated / saturation_current))
    return amplitude


def torque(current: Array, torque_constant: Array, saturation_current: Array) -> Array:
    """Find the torque that a current gives: `current` the other way round.

    Parameters
    ----------
    current : Array, shape (..., phase)
        q-axis current, amplitude with sign [A].
    torque_constant : Array, shape (..., phase)
        Torque per current while the iron is far from saturated [N*m/A].
    saturation_current : Array, shape (..., phase)
        Unsaturated current of the torque that takes twice as much [A].

    Returns
    -------
    Array, shape (..., phase)
        Torque of the motor's field [N*m].

    Notes
    -----
    The one real root of x + x^3/i_s^2 = i, by hyperbolic sines.

    Examples
    --------
    >>> torque(np.array([20.8, 200.0]), np.array(0.15), np.array(100.0)).round(4)
    array([ 3., 15.])
    """
    turned = 1.5 * np.sqrt(3.0) * current / saturation_current
    unsaturated = 2.0 / np.sqrt(3.0) * saturation_current * np.sinh(np.arcsinh(turned) / 3.0)
    found: Array = torque_constant * unsaturated
    return found


def resistance_at(
    resistance: Array,
    temperature: Array,
    *,
    reference_temperature: Array,
    coefficient: Array,
) -> Array:
    """Resistance of a winding at a temperature.

    Parameters
    ----------
    resistance : Array, shape (...)
        Resistance at the reference temperature [ohm].
    temperature : Array, shape (...)
        Temperature of the winding [K].
    reference_temperature : Array, shape (...)
        Temperature the coefficient counts from [K]; `COPPER_REFERENCE_TEMPERATURE` for copper.
    coefficient : Array, shape (...)
        Rise per kelvin, as a share of the resistance at the reference temperature [1/K];
        `COPPER_COEFFICIENT`.

    Returns
    -------
    Array, shape (...)
        Resistance [ohm].

    Notes
    -----
    R = R0 (1 + a (T - T0)). A coefficient belongs to its reference temperature: copper's is
    0.00393/K at 20 degC and about 0.00427/K at 0 degC. Good from -50 to 200 degC.

    References
    ----------
    IEC 60028, International standard of resistance for copper (from memory).

    Examples
    --------
    >>> resistance_at(
    ...     np.array(0.1),
    ...     np.array([293.15, 373.15]),
    ...     reference_temperature=COPPER_REFERENCE_TEMPERATURE,
    ...     coefficient=COPPER_COEFFICIENT,
    ... ).round(5)
    array([0.1    , 0.13144])
    """
    return resistance * (1.0 + coefficient * (temperature - reference_temperature))


def copper_loss(current: Array, resistance: Array) -> Array:
    """Heat of the current in the three phases.

    Parameters
    ----------
    current : Array, shape (..., phase)
        Current of both axes together, amplitude [A].
    resistance : Array, shape (..., phase)
        Resistance of one phase at its temperature [ohm].

    Returns
    -------
    Array, shape (..., phase)
        Loss [W].

    Notes
    -----
    1.5 R i^2. Skin effect and circulating currents are left out.

    Examples
    --------
    >>> copper_loss(np.array([20.0, -10.0]), np.array(0.1))
    array([60., 15.])
    """
    return PHASE_SUM * resistance * np.square(current)


def iron_loss(speed: Array, hysteresis: Array, eddy: Array) -> Array:
    """Heat of the turning field in the stator's iron, and of the bearings.

    Parameters
    ----------
    speed : Array, shape (..., phase)
        Motor speed [rad/s].
    hysteresis : Array, shape (..., phase)
        Loss per speed: hysteresis, with the friction of bearings and seals beside it [N*m].
    eddy : Array, shape (..., phase)
        Eddy-current loss per squared speed [N*m*s].

    Returns
    -------
    Array, shape (..., phase)
        Loss [W].

    Notes
    -----
    h |w| + e w^2: hysteresis grows with frequency, eddy currents with its square, at the magnets'
    flux density. The current's own field is left out. Friction warms the housing's end of the heat
    network, as the iron does.

    References
    ----------
    Steinmetz's law with the classical eddy-current term, as in Bird, "Electrical Circuit Theory
    and Technology", chapter on magnetic materials.

    Examples
    --------
    >>> iron_loss(np.array([100.0, -200.0]), np.array(0.02), np.array(1e-4))
    array([3., 8.])
    """
    return hysteresis * np.abs(speed) + eddy * np.square(speed)
