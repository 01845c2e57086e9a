"""Mass roll-up against worked numbers, another program and segment tables."""

import numpy as np
import pinocchio
import pytest

from tradeopt.arrays import Array
from tradeopt.physics import inertia

UPPER_BODY = (2.0, np.array([0.0, 0.0, 0.1]), np.diag([0.02, 0.02, 0.01]))
LOWER_BODY = (3.0, np.array([0.1, 0.0, -0.2]), np.diag([0.03, 0.04, 0.02]))

# Share of body mass [%], male. de Leva, "Adjustments to Zatsiorsky-Seluyanov's segment inertia
# parameters", J. Biomechanics 29:1223-1230 (1996); seen in several public programs, not on the
# page.
DE_LEVA_MALE = {
    "head": 6.94,
    "trunk": 43.46,
    "upper_arm": 2.71,
    "forearm": 1.62,
    "hand": 0.61,
    "thigh": 14.16,
    "shank": 4.33,
    "foot": 1.37,
}
# Share of body mass [%]. Dempster as given by Winter, "Biomechanics and Motor Control of Human
# Movement", 4th ed., Table 4.1; foot and shank seen at second hand, the others from memory.
DEMPSTER = {
    "head_and_neck": 8.1,
    "trunk": 49.7,
    "upper_arm": 2.8,
    "forearm": 1.6,
    "hand": 0.6,
    "thigh": 10.0,
    "shank": 4.65,
    "foot": 1.45,
}
MIDDLE = ("head", "head_and_neck", "trunk")


def _two_bodies() -> Array:
    upper, lower = (
        inertia.inertial_parameters(np.array(mass), centre, about_centre)
        for mass, centre, about_centre in (UPPER_BODY, LOWER_BODY)
    )
    return upper + lower


def test_two_bodies_roll_up_to_the_worked_numbers() -> None:
    # Derived by hand with the parallel-axis rule and verified numerically with pinocchio 4.1.0.
    whole = _two_bodies()
    about_centre = inertia.inertia_about_centre(whole)
    assert whole[0] == pytest.approx(5.0, abs=1e-12)
    assert inertia.centre_of_mass(whole) == pytest.approx([0.06, 0.0, -0.08], abs=1e-12)
    expected = [[0.1580, 0.0, 0.0360], [0.0, 0.1800, 0.0], [0.0360, 0.0, 0.0420]]
    np.testing.assert_allclose(about_centre, expected, atol=1e-9)


def test_two_bodies_roll_up_as_in_pinocchio() -> None:
    # Oracle: the sum of two pinocchio.Inertia and its toDynamicParameters(), which has the same
    # order of the ten.
    upper, lower = (pinocchio.Inertia(*body) for body in (UPPER_BODY, LOWER_BODY))
    np.testing.assert_allclose(_two_bodies(), (upper + lower).toDynamicParameters(), atol=1e-12)


def test_box_is_the_box_of_pinocchio() -> None:
    # Oracle: pinocchio.Inertia.FromBox(mass, x, y, z).
    oracle = pinocchio.Inertia.FromBox(4.2, 0.11, 0.23, 0.37).toDynamicParameters()
    ours = inertia.box_parameters(np.array(4.2), np.zeros(3), np.array([0.11, 0.23, 0.37]))
    np.testing.assert_allclose(ours, oracle, atol=1e-14)


@pytest.mark.parametrize(
    ("shares", "thigh_mass"),
    [
        pytest.param(DE_LEVA_MALE, 9.912, id="de Leva male"),
        pytest.param(DEMPSTER, 7.0, id="Dempster"),
    ],
)
def test_segments_of_a_person_add_up_to_the_body(
    shares: dict[str, float], thigh_mass: float
) -> None:
    # 70 kg person: all segments of one table sum to 100 % (the sets must not be mixed), and the
    # thigh is 14.16 % or 10.0 % of 70 kg.
    body_mass = 70.0
    names = [name for name in shares for _ in range(1 if name in MIDDLE else 2)]
    masses = np.array([body_mass * shares[name] / 100.0 for name in names])
    sides = np.full((len(names), 3), 0.1)
    segments = inertia.box_parameters(masses, np.zeros((len(names), 3)), sides)
    assert segments.sum(axis=0)[0] == pytest.approx(body_mass, abs=1e-4)
    assert segments[names.index("thigh"), 0] == pytest.approx(thigh_mass, abs=1e-3)


def test_thigh_of_a_70_kg_man_keeps_its_inertia_on_the_way_to_the_hip_and_back() -> None:
    # de Leva 1996 (second hand): centre 40.95 % from the hip, sagittal radius of gyration 0.329 of
    # the length, length 0.2425 of the height 1.75 m; m (0.329 L)^2 = 0.1932 kg m^2 about the
    # centre.
    mass, length = 9.912, 0.2425 * 1.75
    gyration = np.array([0.329, 0.329, 0.149]) * length
    centre = np.array([0.0, 0.0, -0.4095 * length])
    about_hip = inertia.inertial_parameters(np.array(mass), centre, np.diag(mass * gyration**2))
    assert inertia.inertia_about_centre(about_hip)[0, 0] == pytest.approx(0.1932, abs=5e-5)
    # Parallel axis by hand: 0.1932 + 9.912 (0.4095 x 0.424375)^2 = 0.4925 kg m^2.
    assert about_hip[4] == pytest.approx(0.4925, abs=1e-4)
