"""Ropes on sheaves: what they hold without slipping, how they wear, and how much they give.

A joint's sheave is pulled by the difference of two strands. *Anchored* ropes are fixed at both
sheaves and cannot slip; a *friction* drive holds by its turns around the drum alone.
"""

from typing import Final, NamedTuple

import numpy as np

from tradeopt.arrays import Array

REFERENCE_WIRE_STRENGTH: Final = 1770e6
"""Nominal strength of wires that the law of life is normalised to [Pa]; see `bending_cycles`."""

LEAST_SWING: Final = 1e-6
"""Range below which a joint stands still and its angles are rounding noise [rad]."""


class LifeLaw(NamedTuple):
    """Constants of `bending_cycles`; they belong to one construction of rope.

    Attributes
    ----------
    constant, load, diameter, mixed : Array, shape (...)
        b0 with the logarithms of all factors; b1, of the load; b2, of D/d; b3, of both [1].
    """

    constant: Array
    load: Array
    diameter: Array
    mixed: Array


def friction_hold(friction: Array, turns: Array) -> Array:
    """Share of the summed strand tensions that a friction drive passes on before it slips.

    Parameters
    ----------
    friction : Array, shape (...)
        Coefficient of friction of rope and drum [1].
    turns : Array, shape (...)
        Turns of the rope around the drum [1].

    Returns
    -------
    Array, shape (...)
        Share [1], below 1.

    Notes
    -----
    At slip the tensions are as T1/T2 = e^(mu beta), so that (T1 - T2)/(T1 + T2) = tanh(mu beta/2),
    beta = 2 pi turns. Even friction, a rope without bending stiffness.

    References
    ----------
    Euler and Eytelwein's law of belt friction; any text on engineering mechanics.

    Examples
    --------
    >>> friction_hold(np.array(0.15), np.array(2.0)).round(4)
    np.float64(0.7364)
    """
    return np.tanh(np.pi * friction * turns)


def pull(torque: Array, sheave_diameter: Array) -> Array:
    """Largest difference of the two strands' tensions.

    Parameters
    ----------
    torque : Array, shape (..., phase)
        Torque on the driven sheave [N*m].
    sheave_diameter : Array, shape (...)
        Diameter of the driven sheave [m].

    Returns
    -------
    Array, shape (...)
        Pull, size only [N].

    Notes
    -----
    2 max |tau|/D.

    Examples
    --------
    >>> pull(np.array([40.0, -60.0]), np.array(0.1)).round(4)
    np.float64(1200.0)
    """
    force: Array = 2.0 * np.abs(torque).max(axis=-1) / sheave_diameter
    return force


def pretension_margin(pull: Array, pretension: Array, hold: Array) -> Array:
    """How far a rope drive is from a slack strand or from slipping.

    Parameters
    ----------
    pull : Array, shape (...)
        Largest difference of the two strands' tensions [N].
    pretension : Array, shape (...)
        Tension of each strand without load [N].
    hold : Array, shape (...)
        `friction_hold`, or 1 for an anchored rope [1].

    Returns
    -------
    Array, shape (...)
        Share of the largest pull left [1].

    Notes
    -----
    Strands of equal stiffness keep their sum 2 F0: the slack one is taut up to a pull of 2 F0, a
    friction drive slips at 2 F0 tanh(mu beta/2).

    References
    ----------
    Derived; for drives of this kind: Werkmeister and Slocum, Precision Engineering 31:55-67, 2007
    (from memory).

    Examples
    --------
    >>> pretension_margin(np.array(1200.0), np.array(800.0), np.array(1.0)).round(4)
    np.float64(0.25)
    """
    margin: Array = 1.0 - pull / (2.0 * pretension * hold)
    return margin


def tight_tension(pull: Array, pretension: Array) -> Array:
    """Tension of the tighter strand.

    Parameters
    ----------
    pull : Array, shape (...)
        Difference of the two strands' tensions [N].
    pretension : Array, shape (...)
        Tension of each strand without load [N].

    Returns
    -------
    Array, shape (...)
        Tension [N].

    Notes
    -----
    F0 + pull/2 while the other strand is taut, the whole pull once it is slack.

    Examples
    --------
    >>> tight_tension(np.array([600.0, 2000.0]), np.array(800.0))
    array([1100., 2000.])
    """
    return np.maximum(pretension + pull / 2.0, pull)


def bending_stress(modulus: Array, wire_diameter: Array, sheave_diameter: Array) -> Array:
    """Stress in the outer fibre of a wire that is laid around a sheave.

    Parameters
    ----------
    modulus : Array, shape (...)
        Young's modulus of the wire [Pa].
    wire_diameter : Array, shape (...)
        Diameter of the thickest wire [m].
    sheave_diameter : Array, shape (...)
        Diameter of the sheave, centre to centre of the rope [m].

    Returns
    -------
    Array, shape (...)
        Stress [Pa].

    Notes
    -----
    E d/D: the wire as a beam by itself, free of the others. Lay and friction between the wires are
    left out; it compares ropes and does not foretell a life.

    References
    ----------
    Reuleaux's formula, in any text on wire ropes.

    Examples
    --------
    >>> (bending_stress(np.array(200e9), np.array(0.1e-3), np.array(20e-3)) / 1e6).round(4)
    np.float64(1000.0)
    """
    stress: Array = modulus * wire_diameter / sheave_diameter
    return stress


def bending_cycles(
    tension: Array,
    rope_diameter: Array,
    sheave_diameter: Array,
    wire_strength: Array,
    law: LifeLaw,
) -> Array:
    """Bends over a sheave that a running rope stands.

    Parameters
    ----------
    tension : Array, shape (...)
        Tension of the rope [N], above 0.
    rope_diameter, sheave_diameter : Array, shape (...)
        Of the rope and of the sheave [m].
    wire_strength : Array, shape (...)
        Nominal strength of the wires [Pa].
    law : LifeLaw
        Constants of the rope's construction [1].

    Returns
    -------
    Array, shape (...)
        Bending cycles [1].

    Notes
    -----
    lg N = b0 + (b1 + b3 lg(D/d)) (lg(S/d^2) - 0.4 lg(R0/1770)) + b2 lg(D/d), S/d^2 and R0 in
    N/mm^2. b0 differs from rope to rope, and with it the whole number: it must come from the
    rope's maker, a test or the book. Thin ropes of robots lie outside the tests behind the law.

    References
    ----------
    K. Feyrer, "Wire Ropes", 2nd edition, Springer 2015, chapter 3; b1 = 1.290, b2 = 8.149, b3 =
    -2.313 there (from memory).

    Examples
    --------
    >>> law = LifeLaw(*(np.array(b) for b in (-3.0, 1.290, 8.149, -2.313)))
    >>> sizes = np.array(2e-3), np.array(50e-3), np.array(1770e6)
    >>> bending_cycles(np.array([400.0, 800.0]), *sizes, law).round(0)
    array([31985.,  8316.])
    """
    ratio = np.log10(sheave_diameter / rope_diameter)
    stress = np.log10(tension / np.square(rope_diameter) / 1e6)
    strength = 0.4 * np.log10(wire_strength / REFERENCE_WIRE_STRENGTH)
    exponent = law.constant + (law.load + law.mixed * ratio) * (stress - strength)
    cycles: Array = 10.0 ** (exponent + law.diameter * ratio)
    return cycles


def swings(angle: Array) -> Array:
    """How often a joint goes to and fro in a stride, counted in whole ranges.

    Parameters
    ----------
    angle : Array, shape (..., phase)
        Joint angle over one stride [rad].

    Returns
    -------
    Array, shape (...)
        Swings a stride [1]; 0 for a joint that keeps still.

    Notes
    -----
    Distance covered over twice the range: 1 for one flexing and extending, more where smaller
    swings come on top, each by its share of the range.

    Examples
    --------
    >>> swings(np.array([[0.0, 1.0, 0.5, 1.0], [0.3, 0.3, 0.3, 0.3]]))
    array([1.5, 0. ])
    """
    covered = np.abs(angle - np.roll(angle, 1, axis=-1)).sum(axis=-1)
    reach = angle.max(axis=-1) - angle.min(axis=-1)
    moves = reach > LEAST_SWING
    return np.where(moves, covered / np.where(moves, 2.0 * reach, 1.0), 0.0)


def over_distance(by_gait: Array, strides: Array, distance: Array) -> Array:
    """Add up over a round what strides spend, by distance walked.

    Parameters
    ----------
    by_gait : Array, shape (..., gait)
        Amount a stride [any unit].
    strides : Array, shape (..., gait)
        Strides of each gait in a round of the mission [1].
    distance : Array, shape (...)
        Distance of the round [m].

    Returns
    -------
    Array, shape (...)
        Amount per distance [unit/m]; infinite where something is spent without any distance.

    Notes
    -----
    Wear adds up linearly, whatever the order of the gaits (Miner's rule).

    Examples
    --------
    >>> over_distance(np.array([1.0, 1.5]), np.array([1000.0, 400.0]), np.array(1600.0))
    np.float64(1.0)
    """
    spent = (by_gait * strides).sum(axis=-1)
    walks = distance > 0.0
    still = np.where(spent > 0.0, np.inf, 0.0)
    return np.where(walks, spent / np.where(walks, distance, 1.0), still)[()]


def rope_length(
    strand: Array, turns: Array, drum_diameter: Array, sheave_diameter: Array
) -> Array:
    """Length of rope in one stage.

    Parameters
    ----------
    strand : Array, shape (...)
        Free length of each of the two strands [m].
    turns : Array, shape (...)
        Turns around the drum [1].
    drum_diameter, sheave_diameter : Array, shape (...)
        Of the drum and of the driven sheave [m].

    Returns
    -------
    Array, shape (...)
        Length [m].

    Notes
    -----
    Two strands, the turns on the drum and one turn on the sheave.

    Examples
    --------
    >>> sizes = np.array(0.02), np.array(0.1)
    >>> rope_length(np.array(0.25), np.array(4.0), *sizes).round(4)
    np.float64(1.0655)
    """
    length: Array = 2.0 * strand + np.pi * (turns * drum_diameter + sheave_diameter)
    return length


def drive_stiffness(
    axial_stiffness: Array,
    strand: Array,
    sheave_diameter: Array,
    stage_ratio: Array,
    stages: Array,
) -> Array:
    """Stiffness of one or two equal rope stages at the joint, the motor held.

    Parameters
    ----------
    axial_stiffness : Array, shape (...)
        Force per strain of the rope, E A [N].
    strand : Array, shape (...)
        Free length of each strand [m].
    sheave_diameter : Array, shape (...)
        Of the driven sheave of a stage [m].
    stage_ratio : Array, shape (...)
        Ratio of each stage [1].
    stages : Array, shape (...)
        One or two [1].

    Returns
    -------
    Array, shape (...)
        Stiffness [N*m/rad].

    Notes
    -----
    A stage has 2 E A r^2/l as long as both strands are taut; the one before it feels stiffer by
    the square of the ratio between them. Rope on drum and sheave is taken as held.

    References
    ----------
    Derived from Hooke's law for two strands.

    Examples
    --------
    >>> sizes = np.array(60e3), np.array(0.25), np.array(0.1), np.array(5.0)
    >>> [float(drive_stiffness(*sizes, np.array(n)).round(4)) for n in (1.0, 2.0)]
    [1200.0, 1153.8462]
    """
    last = axial_stiffness * np.square(sheave_diameter) / (2.0 * strand)
    stiffness: Array = last / (1.0 + (stages - 1.0) / np.square(stage_ratio))
    return stiffness
