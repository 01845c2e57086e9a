"""Springs of a given size beside a joint: stiffness, stress, mass of what works."""

from typing import Final

import numpy as np

from tradeopt.arrays import Array

SHEAR_SHARE: Final = 1.0 / np.sqrt(3.0)
"""Shear strength over strength in tension, by the shape-changing energy (von Mises)."""


def coil_mass(wire_diameter: Array, coil_diameter: Array, coils: Array, density: Array) -> Array:
    """Mass of the working wire of a helical spring.

    Parameters
    ----------
    wire_diameter, coil_diameter : Array, shape (...)
        Of the wire, and of the coil from middle to middle of the wire [m].
    coils : Array, shape (...)
        Working coils [1].
    density : Array, shape (...)
        Of the wire [kg/m^3].

    Returns
    -------
    Array, shape (...)
        Mass [kg].

    Notes
    -----
    rho pi^2 D n d^2/4, coils taken as rings.

    Examples
    --------
    >>> sizes = np.array(4e-3), np.array(30e-3), np.array(5.0)
    >>> coil_mass(*sizes, np.array(7850.0)).round(4)
    np.float64(0.0465)
    """
    length = np.pi * coil_diameter * coils
    mass: Array = density * length * np.pi * np.square(wire_diameter) / 4.0
    return mass


def torsion_rate(
    wire_diameter: Array, coil_diameter: Array, coils: Array, modulus: Array
) -> Array:
    """Torque per turn of a helical spring that is wound about its axis.

    Parameters
    ----------
    wire_diameter, coil_diameter : Array, shape (...)
        Of the wire, and of the coil from middle to middle of the wire [m].
    coils : Array, shape (...)
        Working coils [1].
    modulus : Array, shape (...)
        Young's modulus [Pa].

    Returns
    -------
    Array, shape (...)
        Stiffness [N*m/rad].

    Notes
    -----
    E I over the wire's length: E d^4/(64 D n). The wire is bent, not twisted.

    References
    ----------
    Any text on machine elements, chapter on springs.

    Examples
    --------
    >>> sizes = np.array(6e-3), np.array(40e-3), np.array(4.0)
    >>> torsion_rate(*sizes, np.array(206e9)).round(4)
    np.float64(26.0719)
    """
    rate: Array = modulus * wire_diameter**4 / (64.0 * coil_diameter * coils)
    return rate


def torsion_stress(torque: Array, wire_diameter: Array, coil_diameter: Array) -> Array:
    """Largest bending stress of a helical spring that is wound about its axis.

    Parameters
    ----------
    torque : Array, shape (...)
        About the coil's axis, size only [N*m].
    wire_diameter, coil_diameter : Array, shape (...)
        Of the wire, and of the coil from middle to middle of the wire [m].

    Returns
    -------
    Array, shape (...)
        Stress at the inside of the coil [Pa].

    Notes
    -----
    K 32 M/(pi d^3) with K = (4 C^2 - C - 1)/(4 C (C - 1)), C = D/d above 1, for the curvature of
    the wire.

    References
    ----------
    Wahl, "Mechanical Springs" (1944), as given in any text on machine elements (from memory).

    Examples
    --------
    >>> (torsion_stress(np.array(20.0), np.array(6e-3), np.array(40e-3)) / 1e6).round(4)
    np.float64(1061.7264)
    """
    index = coil_diameter / wire_diameter
    curved = (4.0 * index * index - index - 1.0) / (4.0 * index * (index - 1.0))
    stress: Array = curved * 32.0 * torque / (np.pi * wire_diameter**3)
    return stress


def coil_shear_stress(force: Array, wire_diameter: Array, coil_diameter: Array) -> Array:
    """Shear stress of a helical spring under a force along its axis, coils taken as straight.

    Parameters
    ----------
    force : Array, shape (...)
        Along the axis, size only [N].
    wire_diameter, coil_diameter : Array, shape (...)
        Of the wire, and of the coil from middle to middle of the wire [m].

    Returns
    -------
    Array, shape (...)
        Stress [Pa]; the raise on the inner side comes on top (Wahl's factor).

    Notes
    -----
    8 F D/(pi d^3).

    References
    ----------
    Any text on machine elements, chapter on springs.

    Examples
    --------
    >>> (coil_shear_stress(np.array(300.0), np.array(5e-3), np.array(30e-3)) / 1e6).round(4)
    np.float64(183.3465)
    """
    stress: Array = 8.0 * force * coil_diameter / (np.pi * wire_diameter**3)
    return stress


def on_lever(rate: Array, lever: Array) -> Array:
    """Stiffness about a joint of a spring that pushes square on a lever.

    Parameters
    ----------
    rate : Array, shape (...)
        Force per travel [N/m].
    lever : Array, shape (...)
        Arm of the force about the joint [m].

    Returns
    -------
    Array, shape (...)
        Stiffness [N*m/rad].

    Notes
    -----
    k r^2, for turns small enough that the arm stays what it is.

    Examples
    --------
    >>> on_lever(np.array(20e3), np.array(0.05)).round(4)
    np.float64(50.0)
    """
    stiffness: Array = rate * np.square(lever)
    return stiffness


def leaf_rate(
    length: Array, width: Array, thickness: Array, leaves: Array, modulus: Array
) -> Array:
    """Force per travel at the end of clamped leaves side by side.

    Parameters
    ----------
    length, width, thickness : Array, shape (...)
        Of one leaf, clamp to load [m].
    leaves : Array, shape (...)
        How many carry together, free to slide on each other [1].
    modulus : Array, shape (...)
        Young's modulus along the leaf [Pa].

    Returns
    -------
    Array, shape (...)
        Rate [N/m].

    Notes
    -----
    n E b h^3/(4 l^3), small travel, no friction between leaves.

    References
    ----------
    End-loaded cantilever, in any text on strength of materials.

    Examples
    --------
    >>> sizes = np.array(0.15), np.array(0.03), np.array(3e-3), np.array(2.0)
    >>> leaf_rate(*sizes, np.array(206e9)).round(4)
    np.float64(24720.0)
    """
    rate: Array = leaves * modulus * width * thickness**3 / (4.0 * length**3)
    return rate


def leaf_stress(travel: Array, length: Array, thickness: Array, modulus: Array) -> Array:
    """Largest bending stress of a clamped leaf that is bent at its end.

    Parameters
    ----------
    travel : Array, shape (...)
        At the end, size only [m].
    length, thickness : Array, shape (...)
        Of the leaf [m].
    modulus : Array, shape (...)
        Young's modulus along the leaf [Pa].

    Returns
    -------
    Array, shape (...)
        Stress at the clamp [Pa].

    Notes
    -----
    3 E h x/(2 l^2): what the energy leaves is a third of that of even bending.

    References
    ----------
    End-loaded cantilever, in any text on strength of materials.

    Examples
    --------
    >>> sizes = np.array(0.02), np.array(0.15), np.array(3e-3)
    >>> (leaf_stress(*sizes, np.array(206e9)) / 1e6).round(4)
    np.float64(824.0)
    """
    stress: Array = 1.5 * modulus * thickness * travel / np.square(length)
    return stress
