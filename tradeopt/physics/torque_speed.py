"""The map of a motor: what its voltage and its heat allow at each speed.

Convention as for motors: current is the amplitude on the q axis, resistance and inductance are
those of one phase, flux linkage is the amplitude of one phase.
"""

from typing import NamedTuple

import numpy as np

from tradeopt.arrays import Array


class CurrentRange(NamedTuple):
    """Currents between which a voltage suffices.

    Attributes
    ----------
    driving : Array, shape (...)
        Largest current along the direction of turning [A]; NaN where there is none.
    braking : Array, shape (...)
        Least current, negative against it [A]; NaN where there is none.
    """

    driving: Array
    braking: Array


def currents_at_voltage(
    speed: Array,
    voltage: Array,
    *,
    resistance: Array,
    inductance: Array,
    flux_linkage: Array,
    pole_pairs: Array,
) -> CurrentRange:
    """Find the currents that take the whole of a phase voltage.

    Parameters
    ----------
    speed : Array, shape (...)
        Motor speed, 0 or more [rad/s].
    voltage : Array, shape (...)
        Phase-to-star voltage that is there, amplitude [V].
    resistance : Array, shape (...)
        Resistance of one phase at its temperature, above 0 [ohm].
    inductance : Array, shape (...)
        Inductance of one phase [H].
    flux_linkage : Array, shape (...)
        Flux linkage of one phase, amplitude [Wb].
    pole_pairs : Array, shape (...)
        Pole pairs [1].

    Returns
    -------
    CurrentRange
        Both roots [A].

    Notes
    -----
    (R i + w lambda)^2 + (w L i)^2 = U^2 with w = p times the speed, solved for i; no field
    weakening. Beyond the speed at which both roots meet no current is possible.

    References
    ----------
    Steady-state d-q equations of the synchronous machine.

    Examples
    --------
    >>> found = currents_at_voltage(
    ...     np.array([0.0, 200.0]),
    ...     np.array(24.0),
    ...     resistance=np.array(0.1),
    ...     inductance=np.array(0.0),
    ...     flux_linkage=np.array(0.01),
    ...     pole_pairs=np.array(10.0),
    ... )
    >>> found.driving.round(4), found.braking.round(4)
    (array([240.,  40.]), array([-240., -440.]))
    """
    electrical_speed = pole_pairs * speed
    back_emf = electrical_speed * flux_linkage
    impedance = np.square(resistance) + np.square(electrical_speed * inductance)
    half = resistance * back_emf
    discriminant = np.square(half) + impedance * (np.square(voltage) - np.square(back_emf))
    root = np.sqrt(np.where(discriminant >= 0.0, discriminant, np.nan))
    return CurrentRange((root - half) / impedance, (-root - half) / impedance)


def lasting_current(
    winding_rise: Array,
    iron_loss: Array,
    *,
    winding_to_housing: Array,
    housing_to_ambient: Array,
    hot_resistance: Array,
) -> Array:
    """Find the current that warms the winding to a temperature if it lasts for ever.

    Parameters
    ----------
    winding_rise : Array, shape (...)
        Rise of the winding over the air [K].
    iron_loss : Array, shape (...)
        Iron loss at the speed looked at [W].
    winding_to_housing : Array, shape (...)
        Thermal resistance [K/W].
    housing_to_ambient : Array, shape (...)
        Thermal resistance [K/W].
    hot_resistance : Array, shape (...)
        Resistance of one phase at that temperature [ohm].

    Returns
    -------
    Array, shape (...)
        q-axis current, amplitude, constant [A]; NaN where iron loss alone is too warm.

    Notes
    -----
    The rise is (R_1 + R_2) 1.5 R i^2 + R_2 P_fe, solved for i: a network of two nodes, copper loss
    in the winding and iron loss in the housing.

    References
    ----------
    Derived from the energy balance of both nodes.

    Examples
    --------
    >>> lasting_current(
    ...     np.array(90.0),
    ...     np.array([0.0, 20.0]),
    ...     winding_to_housing=np.array(0.5),
    ...     housing_to_ambient=np.array(1.5),
    ...     hot_resistance=np.array(0.1),
    ... ).round(4)
    array([17.3205, 14.1421])
    """
    copper_loss = (winding_rise - housing_to_ambient * iron_loss) / (
        winding_to_housing + housing_to_ambient
    )
    current: Array = np.sqrt(
        np.where(copper_loss >= 0.0, copper_loss, np.nan) / (1.5 * hot_resistance)
    )
    return current
