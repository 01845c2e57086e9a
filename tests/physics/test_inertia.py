"""Laws of inertial parameters: they add, they come back, and such bodies can exist."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from tradeopt.arrays import Array
from tradeopt.physics import inertia

law = settings(deadline=None, max_examples=60)
masses = arrays(np.float64, (4,), elements=st.floats(0.01, 50.0))
centres = arrays(np.float64, (4, 3), elements=st.floats(-1.0, 1.0))
sides = arrays(np.float64, (4, 3), elements=st.floats(0.0, 1.0))


@law
@given(mass=masses, centre=centres, side=sides)
def test_mass_centre_and_inertia_come_back(mass: Array, centre: Array, side: Array) -> None:
    body = inertia.box_parameters(mass, centre, side)
    np.testing.assert_array_equal(body[:, 0], mass)
    np.testing.assert_allclose(inertia.centre_of_mass(body), centre, atol=1e-12)
    expected = inertia.box_inertia(mass, side[:, 0], side[:, 1], side[:, 2])
    np.testing.assert_allclose(inertia.inertia_about_centre(body), expected, atol=1e-10)


@law
@given(mass=masses, centre=centres, side=sides)
def test_what_boxes_add_up_to_can_exist(mass: Array, centre: Array, side: Array) -> None:
    # tr(I)/2 E - I without negative eigenvalue: Wensing, Kim, Slotine, IEEE RA-L 3(1):60-67
    # (2018), from memory.
    about_centre = inertia.inertia_about_centre(
        inertia.box_parameters(mass, centre, side).sum(axis=0)
    )
    spread = np.trace(about_centre) / 2.0 * np.eye(3) - about_centre
    assert np.linalg.eigvalsh(spread).min() >= -1e-9


@law
@given(
    mass=masses, centre=centres, side=sides, shift=arrays(np.float64, 3, elements=st.floats(-1, 1))
)
def test_inertia_about_the_centre_does_not_depend_on_the_frame(
    mass: Array, centre: Array, side: Array, shift: Array
) -> None:
    here = inertia.box_parameters(mass, centre, side).sum(axis=0)
    there = inertia.box_parameters(mass, centre + shift, side).sum(axis=0)
    np.testing.assert_allclose(
        inertia.inertia_about_centre(here), inertia.inertia_about_centre(there), atol=1e-9
    )


def test_eight_small_boxes_are_one_large_box() -> None:
    corners = np.array([[x, y, z] for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)])
    small, large = np.array([0.1, 0.2, 0.3]), np.array([0.2, 0.4, 0.6])
    parts = inertia.box_parameters(np.full(8, 0.5), corners * small / 2, np.tile(small, (8, 1)))
    whole = inertia.box_parameters(np.array(4.0), np.zeros(3), large)
    np.testing.assert_allclose(parts.sum(axis=0), whole, atol=1e-12)


def test_designs_lead_and_broadcast() -> None:
    mass = np.array([1.0, 2.0, 3.0])[:, np.newaxis]
    centre = np.array([[0.1, 0.0, 0.0], [0.0, 0.2, 0.0]])
    body = inertia.box_parameters(mass, centre, np.array([0.1, 0.1, 0.1]))
    assert body.shape == (3, 2, 10)
    assert body[2, 1, 2] == pytest.approx(0.6)


def test_a_body_without_mass_has_no_centre() -> None:
    nothing = np.zeros((2, 10))
    assert np.isnan(inertia.centre_of_mass(nothing)).all()
    assert np.isnan(inertia.inertia_about_centre(nothing)).all()
