"""Laws of tubes as limbs, and their thin-walled twins."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tradeopt.physics import tube

law = settings(deadline=None, max_examples=80)
diameters = st.floats(0.03, 0.12)
walls = st.floats(0.0005, 0.01)


@law
@given(diameter=diameters, share=st.floats(1e-4, 1e-2))
def test_a_thin_tube_is_a_ring_of_its_mean_diameter(diameter: float, share: float) -> None:
    # thin-wall formulas of every handbook: A = pi d t (exact), I = pi d^3 t/8 (1 + (t/d)^2)
    wall = share * diameter
    mean = diameter - wall
    outer, thickness = np.array(diameter), np.array(wall)
    assert tube.section_area(outer, thickness) == pytest.approx(np.pi * mean * wall, rel=1e-9)
    thin = np.pi / 8.0 * mean**3 * wall
    assert tube.second_moment(outer, thickness) == pytest.approx(thin, rel=1.1 * share**2 + 1e-9)


@law
@given(diameter=diameters, wall=walls)
def test_a_thicker_wall_is_heavier_stronger_and_stiffer(diameter: float, wall: float) -> None:
    outer, thickness = np.array(diameter), np.array([wall, 1.2 * wall])
    force, moment = np.array(1200.0), np.array(100.0)
    assert np.diff(tube.section_area(outer, thickness)) > 0.0
    second = tube.second_moment(outer, thickness)
    assert np.diff(second) > 0.0
    assert np.diff(tube.outer_stress(force, moment, outer, thickness)) < 0.0
    assert np.diff(tube.wall_stress(np.array(7e10), outer, thickness)) > 0.0
    assert np.diff(tube.column_use(force, np.array(7e10), second, np.array(0.8))) < 0.0
    assert np.diff(tube.end_deflection(moment, np.array(0.4), 7e10 * second)) < 0.0
    assert np.diff(tube.twist_angle(moment, np.array(0.4), 2.7e10 * second)) < 0.0


def test_a_wall_beyond_the_radius_is_a_rod() -> None:
    outer = np.array(0.04)
    assert tube.bore(outer, np.array(0.03)) == 0.0
    assert tube.section_area(outer, np.array(0.03)) == pytest.approx(np.pi * 0.02**2)
    assert tube.second_moment(outer, np.array(0.03)) == pytest.approx(np.pi * 0.02**4 / 4.0)
    ends = tube.wall_stress(np.array(7e10), outer, np.array([0.02, 0.05]))
    assert ends[0] == pytest.approx(ends[1], rel=0.05)


@law
@given(bending=st.floats(0.0, 200.0), twisting=st.floats(-80.0, 80.0), force=st.floats(0.0, 3e3))
def test_stress_is_never_below_von_mises(bending: float, twisting: float, force: float) -> None:
    outer, wall = np.array(0.06), np.array(0.002)
    area, second = tube.section_area(outer, wall), tube.second_moment(outer, wall)
    normal = force / area + bending * 0.03 / second
    shear = twisting * 0.03 / (2.0 * second)
    moment = tube.equivalent_moment(np.array(bending), np.array(twisting))
    found = tube.outer_stress(np.array(force), moment, outer, wall)
    von_mises = np.sqrt(normal**2 + 3.0 * shear**2)
    # squares of less than 1e-150 Pa are too small for numbers of 64 bits
    assert von_mises * (1.0 - 1e-12) <= found + 1e-150
    # with either the force or the twist alone beside the bending, it is exact
    if force == 0.0 or twisting == 0.0:
        assert found == pytest.approx(von_mises, rel=1e-9, abs=1e-150)


def test_deflection_is_the_integral_of_the_moment() -> None:
    # unit-load method, 10,000 strips: a moment from 80 at the clamp to -20 N m at the free end
    length, stiffness = 0.4, 9e3
    place = (np.arange(10_000) + 0.5) * length / 10_000
    moment = 80.0 + (-20.0 - 80.0) * place / length
    integral = (moment * (length - place)).sum() * length / 10_000 / stiffness
    constant = (2.0 * 80.0 - 20.0) / 3.0
    found = tube.end_deflection(np.array(constant), np.array(length), np.array(stiffness))
    assert found == pytest.approx(integral, rel=1e-6)


def test_a_column_of_no_length_does_not_buckle() -> None:
    assert tube.column_use(np.array(1e3), np.array(7e10), np.array(1e-7), np.array(0.0)) == 0.0
