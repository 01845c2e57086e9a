"""Ropes against textbook examples and closed forms."""

import math

import numpy as np
import pytest

from tradeopt.arrays import Array
from tradeopt.physics import rope

LAW = rope.LifeLaw(*(np.array(b) for b in (-3.0, 1.290, 8.149, -2.313)))
"""K. Feyrer, "Wire Ropes", 2nd edition, chapter 3: b1, b2, b3 (from memory); b0 is invented, since
it depends on the rope, and no check depends on it."""


def slack_tension(tight: float, friction: float, turns: float) -> float:
    """Tension on the slack side at slip, from the share that is held."""
    hold = float(rope.friction_hold(np.array(friction), np.array(turns)))
    return tight * (1.0 - hold) / (1.0 + hold)


@pytest.mark.parametrize(
    ("friction", "turns", "expected"),
    [
        pytest.param(0.25, 0.5, 455.9, id="Ex. 7.4"),
        pytest.param(0.3, 3.0, 3.50, id="Ex. 7.6"),
    ],
)
def test_tayal_examples_of_belt_friction(friction: float, turns: float, expected: float) -> None:
    # Tayal, "Engineering Mechanics", Ex. 7.4 and 7.6, 1000 N on the tight side; inputs from a
    # public worked solution, recomputed. Books that use e = 2.718, pi = 3.14 allow 0.3 %.
    assert slack_tension(1000.0, friction, turns) == pytest.approx(expected, rel=3e-3)


def test_tayal_example_7_5_band_brake() -> None:
    # Same book, Ex. 7.5: drum radius 0.25 m, tight side 200 N, 225 deg, friction 0.5 -> 42.98 N m
    # (inputs from a public worked solution, recomputed).
    slack = slack_tension(200.0, 0.5, 225.0 / 360.0)
    assert 0.25 * (200.0 - slack) == pytest.approx(42.98, rel=3e-3)


def test_friction_drive_slips_at_twice_the_pretension_times_the_hold() -> None:
    # T = 2 F0 r tanh(mu beta/2): 100 N, 20 mm, 0.15, two turns -> 2.9454 N m (derived, verified
    # numerically).
    hold = rope.friction_hold(np.array(0.15), np.array(2.0))
    torque = np.array([[2.9454]])
    pull = rope.pull(torque, np.array([0.04]))
    assert rope.pretension_margin(pull, np.array(100.0), hold)[0] == pytest.approx(0.0, abs=2e-5)


def test_anchored_rope_is_taut_up_to_half_the_torque_by_the_radius() -> None:
    # F0 >= T/(2 r) (derived, verified numerically): 60 N m on a radius of 50 mm -> 600 N.
    pull = rope.pull(np.array([60.0]), np.array(0.1))
    margin = rope.pretension_margin(pull, np.array([600.0, 500.0, 1200.0]), np.array(1.0))
    assert margin == pytest.approx([0.0, -0.2, 0.5])


def test_reuleaux_stress_of_a_thin_wire() -> None:
    # E d/D: 0.1 mm steel wire (E 200 GPa) on 20 mm -> 1000 MPa (recomputed).
    stress = rope.bending_stress(np.array(200e9), np.array(1e-4), np.array(0.02))
    assert stress == pytest.approx(1000e6)


def cycles(stress: float, ratio: float) -> Array:
    """Bending cycles at a tension per squared diameter [N/mm^2] and a ratio of diameters."""
    diameter = 2e-3
    return rope.bending_cycles(
        np.array(stress * 1e6 * diameter**2),
        np.array(diameter),
        np.array(ratio * diameter),
        np.array(1770e6),
        LAW,
    )


def slope(first: Array, second: Array, step: float) -> float:
    return math.log10(float(second) / float(first)) / math.log10(step)


def test_life_falls_with_the_load_as_published() -> None:
    # d lg N/d lg S = b1 + b3 lg 25 = -1.943 at D/d 25 (recomputed from the constants).
    assert slope(cycles(100.0, 25.0), cycles(130.0, 25.0), 1.3) == pytest.approx(-1.943, abs=1e-3)


def test_life_grows_with_the_sheave_as_published() -> None:
    # d lg N/d lg(D/d) = b2 + b3 lg 100 = 3.52 at S/d^2 = 100 (recomputed from the constants).
    assert slope(cycles(100.0, 20.0), cycles(100.0, 30.0), 1.5) == pytest.approx(3.52, abs=5e-3)
