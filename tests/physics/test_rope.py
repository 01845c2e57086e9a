"""Laws of ropes on sheaves: tensions, lives, swings and stiffness."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tradeopt.physics import rope

law = settings(deadline=None, max_examples=60)
LAW = rope.LifeLaw(*(np.array(b) for b in (-3.0, 1.290, 8.149, -2.313)))


@law
@given(friction=st.floats(0.01, 0.5), turns=st.floats(0.1, 4.0), pretension=st.floats(10.0, 3e3))
def test_tensions_at_slip_are_those_of_the_capstan(
    friction: float, turns: float, pretension: float
) -> None:
    """At the largest pull T1/T2 = e^(mu beta), and both strands together keep 2 F0."""
    hold = rope.friction_hold(np.array(friction), np.array(turns))
    pull = 2.0 * pretension * hold
    tight = rope.tight_tension(pull, np.array(pretension))
    slack = 2.0 * pretension - tight
    assert tight / slack == pytest.approx(np.exp(friction * 2 * np.pi * turns), rel=1e-6)


@law
@given(pull=st.floats(0.0, 5e3), pretension=st.floats(100.0, 2e3))
def test_a_slack_strand_leaves_the_pull_to_the_other(pull: float, pretension: float) -> None:
    tight = rope.tight_tension(np.array(pull), np.array(pretension))
    other = tight - pull
    assert other >= 0.0
    taut = rope.pretension_margin(np.array(pull), np.array(pretension), np.array(1.0)) > 1e-12
    assert taut == (other > 1e-9)


def test_friction_never_holds_more_than_an_anchor() -> None:
    hold = rope.friction_hold(np.array(0.15), np.array([0.5, 2.0, 8.0, 50.0]))
    assert (np.diff(hold) > 0.0)[:2].all()
    assert (hold <= 1.0).all()


@law
@given(tension=st.floats(50.0, 2e3), diameter=st.floats(1e-3, 4e-3), ratio=st.floats(12.0, 40.0))
def test_rope_lives_longer_with_less_load_larger_sheaves_and_stronger_wires(
    tension: float, diameter: float, ratio: float
) -> None:
    def cycles(load: float = 1.0, sheave: float = 1.0, wires: float = 1.0) -> float:
        found = rope.bending_cycles(
            np.array(load * tension),
            np.array(diameter),
            np.array(sheave * ratio * diameter),
            np.array(wires * 1770e6),
            LAW,
        )
        return float(found)

    assert cycles(load=1.2) < cycles()
    assert cycles(wires=1.1) > cycles()
    # a larger sheave helps as long as b2 + b3 lg(S/d^2) is positive, up to 3300 N/mm^2
    assert (cycles(sheave=1.1) > cycles()) == (tension / diameter**2 / 1e6 < 10 ** (8.149 / 2.313))


@law
@given(size=st.floats(0.01, 2.0), mean=st.floats(-1.0, 1.0), times=st.integers(1, 4))
def test_whole_swings_are_counted(size: float, mean: float, times: int) -> None:
    # 240 phases meet both ends of each swing
    angle = mean + size * np.cos(2 * np.pi * times * np.arange(240) / 240)
    assert rope.swings(angle) == pytest.approx(times, rel=1e-9)


def test_a_small_swing_on_top_counts_by_its_share() -> None:
    # from 0 to 60 deg and back, and again to 20 deg and back
    angle = np.radians(np.array([0.0, 30.0, 60.0, 30.0, 0.0, 20.0]))
    assert rope.swings(angle) == pytest.approx(1.0 + 20.0 / 60.0)


def test_a_joint_that_keeps_still_bends_no_rope() -> None:
    rounding = 0.3 + 1e-12 * np.sin(np.arange(50))
    assert rope.swings(rounding) == 0.0


def test_a_round_without_distance_spends_without_end_or_nothing() -> None:
    strides, still = np.array([[10.0], [10.0]]), np.zeros(2)
    spent = rope.over_distance(np.array([[2.0], [0.0]]), strides, still)
    assert spent[0] == np.inf
    assert spent[1] == 0.0


def test_two_stages_stretch_like_two_springs_in_a_row() -> None:
    """By energy: the same torque in each stage, scaled by the ratio between them."""
    axial, strand, sheave, each, torque = 8e4, 0.2, 0.12, 5.0, 30.0
    # two strands, one longer and one shorter by turn times radius
    turn = [load / (2 * axial / strand * (sheave / 2) ** 2) for load in (torque, torque / each)]
    expected = torque / (turn[0] + turn[1] / each)
    sizes = (np.array(one) for one in (axial, strand, sheave, each, 2.0))
    found = rope.drive_stiffness(*sizes)
    assert found == pytest.approx(expected, rel=1e-12)
