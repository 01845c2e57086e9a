"""What a spring weighs: energy its material holds in each shape, and the rate of coils."""

import numpy as np

from tradeopt.arrays import Array


def torsion_energy_density(shear_stress: Array, shear_modulus: Array) -> Array:
    """Energy per volume of a twisted round bar or a close-coiled helical spring.

    Parameters
    ----------
    shear_stress : Array, shape (...)
        Shear stress at the surface [Pa].
    shear_modulus : Array, shape (...)
        Shear modulus [Pa].

    Returns
    -------
    Array, shape (...)
        Mean stored energy per volume of working material [J/m^3].

    Notes
    -----
    tau^2/(4 G): the mean over the section of the local tau(r)^2/(2 G), with stress growing from
    the axis outward.

    References
    ----------
    Derived from linear elasticity and checked by quadrature in the tests.

    Examples
    --------
    >>> torsion_energy_density(np.array(700e6), np.array(79.3e9)).round(0)
    np.float64(1544767.0)
    """
    return np.square(shear_stress) / (4.0 * shear_modulus)


def flat_bending_energy_density(stress: Array, modulus: Array) -> Array:
    """Energy per volume of a rectangular strip in pure bending, as in a flat spiral spring.

    Parameters
    ----------
    stress : Array, shape (...)
        Bending stress at the surface [Pa].
    modulus : Array, shape (...)
        Young's modulus [Pa].

    Returns
    -------
    Array, shape (...)
        Mean stored energy per volume of working material [J/m^3].

    Notes
    -----
    sigma^2/(6 E). A cantilever loaded at its end holds a third of it.

    References
    ----------
    Derived from linear elasticity and checked by quadrature in the tests.

    Examples
    --------
    >>> flat_bending_energy_density(np.array(700e6), np.array(120e9)).round(0)
    np.float64(680556.0)
    """
    return np.square(stress) / (6.0 * modulus)


def round_bending_energy_density(stress: Array, modulus: Array) -> Array:
    """Energy per volume of round wire in pure bending, as in a helical torsion spring.

    Parameters
    ----------
    stress : Array, shape (...)
        Bending stress at the surface [Pa].
    modulus : Array, shape (...)
        Young's modulus [Pa].

    Returns
    -------
    Array, shape (...)
        Mean stored energy per volume of working material [J/m^3].

    Notes
    -----
    sigma^2/(8 E). The curvature of the coil, which raises the stress inside, is left out.

    References
    ----------
    Derived from linear elasticity and checked by quadrature in the tests.

    Examples
    --------
    >>> round_bending_energy_density(np.array(1200e6), np.array(206e9)).round(0)
    np.float64(873786.0)
    """
    return np.square(stress) / (8.0 * modulus)


def spring_mass(
    energy: Array, *, energy_density: Array, density: Array, mount_factor: Array
) -> Array:
    """Mass of a spring that must hold a given energy.

    Parameters
    ----------
    energy : Array, shape (...)
        Largest stored energy [J].
    energy_density : Array, shape (...)
        Stored energy per volume at the allowed stress [J/m^3].
    density : Array, shape (...)
        Density of the spring's material [kg/m^3].
    mount_factor : Array, shape (...)
        Whole mass per mass of working material, for ends and mounts [1].

    Returns
    -------
    Array, shape (...)
        Mass with ends and mounts [kg].

    Notes
    -----
    m = factor rho U/u. Ends and mounts usually make the factor 1.2 to 2.

    References
    ----------
    Ashby, "Materials Selection in Mechanical Design", section on materials for springs, for the
    index sigma^2/(E rho); the exact shape factors stand in this file.

    Examples
    --------
    >>> spring_mass(
    ...     np.array(20.0),
    ...     energy_density=np.array(1.5e6),
    ...     density=np.array(7850.0),
    ...     mount_factor=np.array(1.5),
    ... ).round(4)
    np.float64(0.157)
    """
    return mount_factor * density * energy / energy_density


def helical_rate(
    wire_diameter: Array, coil_diameter: Array, active_coils: Array, shear_modulus: Array
) -> Array:
    """Force per travel of a close-coiled helical spring of round wire.

    Parameters
    ----------
    wire_diameter : Array, shape (...)
        Diameter of the wire [m].
    coil_diameter : Array, shape (...)
        Mean diameter of the coil [m].
    active_coils : Array, shape (...)
        Coils that move [1].
    shear_modulus : Array, shape (...)
        Shear modulus [Pa].

    Returns
    -------
    Array, shape (...)
        Rate [N/m].

    Notes
    -----
    k = G d^4/(8 D^3 n), for coils much wider than the wire (D/d from about 4).

    References
    ----------
    Jindal, "Machine Design", chapter on springs; any text on machine elements has the same
    formula.

    Examples
    --------
    >>> helical_rate(np.array(0.005), np.array(0.03), np.array(15.0), np.array(84e9)).round(1)
    np.float64(16203.7)
    """
    return shear_modulus * wire_diameter**4 / (8.0 * coil_diameter**3 * active_coils)


def wahl_factor(spring_index: Array) -> Array:
    """Raise of the shear stress on the inner side of a helical spring.

    Parameters
    ----------
    spring_index : Array, shape (...)
        Mean coil diameter per wire diameter [1], above 1.

    Returns
    -------
    Array, shape (...)
        Largest shear stress per the stress of a straight bar in torsion [1].

    Notes
    -----
    (4 C - 1)/(4 C - 4) + 0.615/C: curvature and direct shear together.

    References
    ----------
    Wahl, "Mechanical Springs" (1944), as given in Jindal, "Machine Design", chapter on springs.

    Examples
    --------
    >>> wahl_factor(np.array([6.0, 10.0])).round(4)
    array([1.2525, 1.1448])
    """
    return (4.0 * spring_index - 1.0) / (4.0 * spring_index - 4.0) + 0.615 / spring_index
