"""Tubes against handbook tables and textbook examples, all from memory and recomputed."""

import numpy as np
import pytest

from tradeopt.physics import tube
from tradeopt.physics.inertia import tube_inertia

INCH = 0.0254
KIP = 4448.22
KSI = 6.894757e6


@pytest.mark.parametrize(
    ("outer", "wall", "area", "second_moment"),
    [
        # Dimensions and properties of schedule 40 steel pipe (ASME B36.10M), inches: 2, 3 and 4 in
        pytest.param(2.375, 0.154, 1.075, 0.666, id="2 in"),
        pytest.param(3.500, 0.216, 2.228, 3.017, id="3 in"),
        pytest.param(4.500, 0.237, 3.174, 7.233, id="4 in"),
    ],
)
def test_sections_of_standard_pipe(
    outer: float, wall: float, area: float, second_moment: float
) -> None:
    size = np.array(outer * INCH), np.array(wall * INCH)
    assert tube.section_area(*size) / INCH**2 == pytest.approx(area, abs=1e-3)
    assert tube.second_moment(*size) / INCH**4 == pytest.approx(second_moment, abs=1e-3)


def test_hibbeler_steel_tube_column() -> None:
    # R. C. Hibbeler, "Mechanics of Materials", 8th ed., example 13.1: tube of 24 ft, radii 3 and
    # 2.75 in, E = 29,000 ksi, pinned ends: 64.5 kip, 14.3 ksi.
    outer, wall = np.array(6.0 * INCH), np.array(0.25 * INCH)
    second = tube.second_moment(outer, wall)
    force = np.array(64.5 * KIP)
    use = tube.column_use(force, np.array(29e3 * KSI), second, np.array(288.0 * INCH))
    assert use == pytest.approx(1.0, abs=1e-3)
    straight = tube.outer_stress(force, np.array(0.0), outer, wall)
    assert straight / KSI == pytest.approx(14.3, abs=0.05)


def test_hibbeler_wide_flange_column_about_its_weak_axis() -> None:
    # the same book, 9th ed., example 13.1: W8 x 31, I = 37.1 in^4, 12 ft, E = 29,000 ksi: 512 kip
    second = np.array(37.1 * INCH**4)
    length = np.array(144.0 * INCH)
    use = tube.column_use(np.array(512.0 * KIP), np.array(29e3 * KSI), second, length)
    assert use == pytest.approx(1.0, abs=1e-3)


def test_beer_johnston_hollow_shaft() -> None:
    # F. P. Beer, E. R. Johnston, "Mechanics of Materials", examples 3.01 and 3.02: hollow shaft of
    # 1.5 m, 40 and 60 mm: J = 1.021e-6 m^4; 120 MPa of shear at 4.08 kN m; G = 77 GPa, 2 deg at
    # 1.829 kN m.
    outer, wall = np.array(0.060), np.array(0.010)
    polar = 2.0 * tube.second_moment(outer, wall)
    assert polar == pytest.approx(1.021e-6, abs=5e-10)
    moment = tube.equivalent_moment(np.array(0.0), np.array(4080.0))
    stress = tube.outer_stress(np.array(0.0), moment, outer, wall)
    assert stress / np.sqrt(3.0) == pytest.approx(120e6, rel=2e-3)
    angle = tube.twist_angle(np.array(1829.0), np.array(1.5), 77e9 * polar)
    assert np.rad2deg(angle) == pytest.approx(2.0, abs=1e-3)


def test_cantilever_cases_of_roark() -> None:
    # W. C. Young, R. G. Budynas, "Roark's Formulas for Stress and Strain", straight beams that are
    # clamped at one end: end load W L^3/(3 E I), end moment M L^2/(2 E I). 2 m, 1 kN, 1 kN m,
    # E I = 1e5 N m^2: 26.667 mm and 20 mm.
    length, stiffness = np.array(2.0), np.array(1e5)
    end_load = np.array((2.0 * 1e3 * 2.0 + 0.0) / 3.0)
    assert tube.end_deflection(end_load, length, stiffness) == pytest.approx(26.667e-3, abs=1e-6)
    assert tube.end_deflection(np.array(1e3), length, stiffness) == pytest.approx(20e-3)


def test_wall_of_a_thin_cylinder_stands_less_than_the_classic_stress() -> None:
    # NASA SP-8007, axial compression: correlation factor 1 - 0.901 (1 - exp(-sqrt(r/t)/16)), which
    # is 0.357 at r/t = 400; classic stress E t/(r sqrt(3 (1 - 0.3^2))) = 0.605 E t/r.
    wall = np.array(1e-3)
    outer = np.array(0.8 + 1e-3)
    found = tube.wall_stress(np.array(7e10), outer, wall)
    assert found / 7e10 * 400.0 == pytest.approx(0.605 * 0.357, abs=3e-4)


def test_inertia_of_rod_ring_and_tube() -> None:
    # Beer, Johnston, "Vector Mechanics for Engineers: Dynamics", mass moments of inertia: slender
    # rod m L^2/12, thin ring m r^2 about its axis, disc m r^2/2; a tube is a rod less its bore.
    zero = np.array(0.0)
    rod = tube_inertia(np.array(3.0), zero, zero, np.array(2.0))
    np.testing.assert_allclose(rod.diagonal(), [1.0, 1.0, 0.0])
    ring = tube_inertia(np.array(3.0), np.array(2.0), np.array(2.0), zero)
    np.testing.assert_allclose(ring.diagonal(), [1.5, 1.5, 3.0])
    whole = tube_inertia(np.array(9.0), np.array(0.3), zero, np.array(0.4))
    bore = tube_inertia(np.array(4.0), np.array(0.2), zero, np.array(0.4))
    tubular = tube_inertia(np.array(5.0), np.array(0.3), np.array(0.2), np.array(0.4))
    np.testing.assert_allclose(tubular, whole - bore, atol=1e-12)
