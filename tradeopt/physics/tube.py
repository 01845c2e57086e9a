"""Round tubes as limbs: section, stress, buckling of column and wall, bending and twist.

Thin-walled limits, for a mean diameter much larger than the wall, are twins of these formulas in
the tests. A wall thicker than the radius is a solid rod.
"""

from typing import Final

import numpy as np

from tradeopt.arrays import Array

_PLATE_FACTOR: Final = 0.605
"""1/sqrt(3 (1 - nu^2)) at a Poisson ratio of 0.3: classic buckling of a cylinder's wall [1]."""
_KNOCKDOWN_DEPTH: Final = 0.901
"""Greatest share of the classic stress that dents of a real wall cost in compression [1]."""
_KNOCKDOWN_SCALE: Final = 16.0
"""Root of radius per wall over which that share builds up [1]."""


def bore(outer_diameter: Array, wall: Array) -> Array:
    """Inner diameter of a tube.

    Parameters
    ----------
    outer_diameter : Array, shape (...)
        Outside [m].
    wall : Array, shape (...)
        Wall thickness [m].

    Returns
    -------
    Array, shape (...)
        Inner diameter, 0 for a solid rod [m].

    Notes
    -----
    d = D - 2 t, and never less than 0.

    Examples
    --------
    >>> bore(np.array(0.06), np.array([0.002, 0.04])).round(4)
    array([0.056, 0.   ])
    """
    return np.maximum(outer_diameter - 2.0 * wall, 0.0)


def section_area(outer_diameter: Array, wall: Array) -> Array:
    """Area of the cross-section of a tube.

    Parameters
    ----------
    outer_diameter : Array, shape (...)
        Outside [m].
    wall : Array, shape (...)
        Wall thickness [m].

    Returns
    -------
    Array, shape (...)
        Area of material [m^2].

    Notes
    -----
    A = pi/4 (D^2 - d^2); pi D t for a thin wall.

    References
    ----------
    Young, Budynas, "Roark's Formulas for Stress and Strain", table of section properties (from
    memory).

    Examples
    --------
    >>> section_area(np.array(0.06), np.array(0.002)).round(8)
    np.float64(0.00036442)
    """
    inside = bore(outer_diameter, wall)
    area: Array = np.pi / 4.0 * (np.square(outer_diameter) - np.square(inside))
    return area


def second_moment(outer_diameter: Array, wall: Array) -> Array:
    """Second moment of area of a tube about a diameter; the polar one is twice as much.

    Parameters
    ----------
    outer_diameter : Array, shape (...)
        Outside [m].
    wall : Array, shape (...)
        Wall thickness [m].

    Returns
    -------
    Array, shape (...)
        Second moment of area [m^4].

    Notes
    -----
    I = pi/64 (D^4 - d^4); pi/8 D^3 t for a thin wall.

    References
    ----------
    Young, Budynas, "Roark's Formulas for Stress and Strain", table of section properties (from
    memory).

    Examples
    --------
    >>> second_moment(np.array(0.06), np.array(0.002)).round(10)
    np.float64(1.534e-07)
    """
    inside = bore(outer_diameter, wall)
    moment: Array = np.pi / 64.0 * (outer_diameter**4 - inside**4)
    return moment


def equivalent_moment(bending: Array, twisting: Array) -> Array:
    """Bending moment that strains a round section as much as bending and twist together.

    Parameters
    ----------
    bending : Array, shape (...)
        Bending moment [N*m].
    twisting : Array, shape (...)
        Twisting moment at the same section [N*m].

    Returns
    -------
    Array, shape (...)
        Equivalent bending moment [N*m].

    Notes
    -----
    sqrt(M^2 + 3/4 T^2), after von Mises: bending stress is M c/I, shear stress T c/(2 I). An axial
    stress added to its stress is an upper bound of the three together.

    References
    ----------
    Distortion-energy theory of shafts, as in Budynas, Nisbett, "Shigley's Mechanical Engineering
    Design", chapter on shafts (from memory).

    Examples
    --------
    >>> equivalent_moment(np.array(30.0), np.array(40.0)).round(4)
    np.float64(45.8258)
    """
    moment: Array = np.sqrt(np.square(bending) + 0.75 * np.square(twisting))
    return moment


def outer_stress(force: Array, moment: Array, outer_diameter: Array, wall: Array) -> Array:
    """Greatest stress in a tube under a force along it and a bending moment.

    Parameters
    ----------
    force : Array, shape (...)
        Size of the force along the tube [N].
    moment : Array, shape (...)
        Size of the bending moment, or of the equivalent one [N*m].
    outer_diameter : Array, shape (...)
        Outside [m].
    wall : Array, shape (...)
        Wall thickness [m].

    Returns
    -------
    Array, shape (...)
        Stress at the outer fibre [Pa].

    Notes
    -----
    F/A + M (D/2)/I, with F on the side of the bending that adds. No stress raisers: holes, welds
    and clamps at the fittings are for the safety factor. Shear of the cross force is left out, as
    limbs are many diameters long.

    References
    ----------
    Navier's bending formula.

    Examples
    --------
    >>> outer_stress(np.array(1000.0), np.array(120.0), np.array(0.06), np.array(0.002)).round(-4)
    np.float64(26210000.0)
    """
    along = force / section_area(outer_diameter, wall)
    return along + moment * outer_diameter / (2.0 * second_moment(outer_diameter, wall))


def column_use(
    force: Array, modulus: Array, second_moment: Array, effective_length: Array
) -> Array:
    """Force along a slender column, over the one at which it buckles.

    Parameters
    ----------
    force : Array, shape (...)
        Size of the force [N].
    modulus : Array, shape (...)
        Young's modulus [Pa].
    second_moment : Array, shape (...)
        Second moment of area about the weakest axis [m^4].
    effective_length : Array, shape (...)
        Length between the points without moment of the buckled shape [m]: the length itself with
        both ends pinned, twice of it with one end clamped and the other free to sway.

    Returns
    -------
    Array, shape (...)
        1 where it buckles [1].

    Notes
    -----
    F over pi^2 E I/L^2. For slender columns: of a stocky one the material yields first, which is
    for the stress to say.

    References
    ----------
    Euler's column, as in Timoshenko, Gere, "Theory of Elastic Stability", chapter 2 (from memory).

    Examples
    --------
    >>> column_use(np.array(1000.0), np.array(70e9), np.array(1.534e-7), np.array(0.8)).round(6)
    np.float64(0.006039)
    """
    use: Array = force * np.square(effective_length) / (np.pi**2 * modulus * second_moment)
    return use


def wall_stress(modulus: Array, outer_diameter: Array, wall: Array) -> Array:
    """Compressive stress at which the wall of a tube buckles by itself.

    Parameters
    ----------
    modulus : Array, shape (...)
        Young's modulus [Pa].
    outer_diameter : Array, shape (...)
        Outside [m].
    wall : Array, shape (...)
        Wall thickness [m].

    Returns
    -------
    Array, shape (...)
        Critical stress of a wall with the dents of an ordinary one [Pa].

    Notes
    -----
    0.605 g E t/r, r = (D - t)/2, with g = 1 - 0.901 (1 - exp(-sqrt(r/t)/16)) for the dents. Meant
    for r/t below 1500; isotropic walls, axial compression; bending alone stands somewhat more.
    Keeps a search from trading wall for diameter without end.

    References
    ----------
    NASA SP-8007, "Buckling of thin-walled circular cylinders" (from memory).

    Examples
    --------
    >>> wall_stress(np.array(70e9), np.array(0.06), np.array([0.0005, 0.002])).round(-6)
    array([4.660e+08, 2.363e+09])
    """
    slenderness = np.maximum(outer_diameter - wall, 0.0) / (2.0 * wall)
    dents = 1.0 - _KNOCKDOWN_DEPTH * (1.0 - np.exp(-np.sqrt(slenderness) / _KNOCKDOWN_SCALE))
    # a rod has no wall to buckle: from a wall of the radius on, the formula stays at its end
    stress: Array = _PLATE_FACTOR * dents * modulus / np.maximum(slenderness, 0.5)
    return stress


def end_deflection(moment: Array, length: Array, bending_stiffness: Array) -> Array:
    """Sideways deflection of one end of a beam from the tangent at its other end.

    Parameters
    ----------
    moment : Array, shape (...)
        Bending moment, constant along the beam [N*m]; of one that goes from `a` at the clamped end
        to `b` at the free one, (2 a + b)/3 does as much.
    length : Array, shape (...)
        Length [m].
    bending_stiffness : Array, shape (...)
        Young's modulus times second moment of area [N*m^2].

    Returns
    -------
    Array, shape (...)
        Deflection [m].

    Notes
    -----
    M L^2/(2 E I). With a force F on the free end, a = F L and b = 0 give F L^3/(3 E I). Small
    deflections; shear deflection is left out.

    References
    ----------
    Euler-Bernoulli beam, cantilever cases as in Young, Budynas, "Roark's Formulas for Stress and
    Strain" (from memory).

    Examples
    --------
    >>> end_deflection(np.array(120.0), np.array(0.4), np.array(10738.0)).round(6)
    np.float64(0.000894)
    """
    return moment * np.square(length) / (2.0 * bending_stiffness)


def twist_angle(moment: Array, length: Array, torsional_stiffness: Array) -> Array:
    """Angle by which a tube twists from end to end.

    Parameters
    ----------
    moment : Array, shape (...)
        Twisting moment, constant along the tube [N*m].
    length : Array, shape (...)
        Length [m].
    torsional_stiffness : Array, shape (...)
        Shear modulus times polar second moment of area [N*m^2].

    Returns
    -------
    Array, shape (...)
        Angle [rad].

    Notes
    -----
    T L/(G J), with J twice the second moment about a diameter for a round tube.

    References
    ----------
    Saint-Venant torsion of a round shaft.

    Examples
    --------
    >>> twist_angle(np.array(20.0), np.array(0.4), np.array(8000.0)).round(6)
    np.float64(0.001)
    """
    return moment * length / torsional_stiffness
