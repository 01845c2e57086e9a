"""Laws of springs: torque is the slope of the energy, and the best spring is the best."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from tradeopt.arrays import Array
from tradeopt.physics import spring, spring_material

law = settings(deadline=None, max_examples=60)
curves = arrays(
    np.float64, (2, 12), elements=st.floats(-2.0, 2.0).map(lambda value: round(value, 6))
)


def _left(torque: Array, angle: Array, share: Array, best: spring.TwoWaySpring) -> float:
    rest = torque - spring.two_way_torque(angle, best.stiffness, best.rest_angle)
    return float((share * rest**2).sum())


@law
@given(
    torque=curves,
    angle=curves,
    weight=st.floats(0.1, 5.0),
    stiffer=st.floats(-20.0, 20.0),
    turn=st.floats(-1.0, 1.0),
)
def test_no_other_spring_leaves_less(
    torque: Array, angle: Array, weight: float, stiffer: float, turn: float
) -> None:
    share = np.array([[1.0], [weight]])
    best = spring.best_two_way(torque, angle, share)
    assume(best.stiffness > 0.0)
    other = spring.TwoWaySpring(np.maximum(best.stiffness + stiffer, 0.0), best.rest_angle + turn)
    best_left = _left(torque, angle, share, best)
    assert best_left <= _left(torque, angle, share, other) * (1 + 1e-9) + 1e-9


@law
@given(torque=curves, angle=curves)
def test_what_is_left_is_the_part_that_does_not_follow_the_angle(
    torque: Array, angle: Array
) -> None:
    assume(np.std(angle) > 0.01)
    assume(np.std(torque) > 0.01)
    best = spring.best_two_way(torque, angle, np.ones((2, 1)))
    assume(best.stiffness > 0.0)
    left = _left(torque, angle, np.full((2, 12), 1 / 24), best)
    correlation = np.corrcoef(torque.ravel(), angle.ravel())[0, 1]
    assert left == pytest.approx(np.var(torque) * (1 - correlation**2), rel=1e-6, abs=1e-9)


def test_torque_that_rises_with_the_angle_wants_no_spring() -> None:
    angle = np.linspace(-0.5, 0.7, 20)[np.newaxis]
    best = spring.best_two_way(30.0 * angle, angle, np.array([[1.0]]))
    assert best.stiffness == 0.0
    assert best.rest_angle == pytest.approx(0.1)


def test_joint_that_stands_still_wants_no_spring() -> None:
    torque = np.linspace(-40.0, -20.0, 20)[np.newaxis]
    rounding = 1e-12 * torque
    best = spring.best_two_way(torque, 0.3 - rounding, np.array([[1.0]]))
    assert best.stiffness == 0.0
    assert best.rest_angle == pytest.approx(0.3)


def test_designs_do_not_mix() -> None:
    angle = np.linspace(-0.5, 0.5, 30)
    stiffness = np.array([10.0, 80.0])
    torque = -stiffness[:, np.newaxis, np.newaxis] * (angle - 0.2)
    best = spring.best_two_way(torque, angle, np.array([[0.5]]))
    np.testing.assert_allclose(best.stiffness, stiffness)
    np.testing.assert_allclose(best.rest_angle, [0.2, 0.2])


def test_a_gait_without_weight_does_not_count() -> None:
    angle = np.tile(np.linspace(-0.5, 0.5, 30), (2, 1))
    torque = np.array([[-40.0], [-5.0]]) * angle
    best = spring.best_two_way(torque, angle, np.array([[1.0], [0.0]]))
    assert best.stiffness == pytest.approx(40.0)


def test_axes_that_share_a_spring_can_be_chosen() -> None:
    angle = np.tile(np.linspace(-0.5, 0.5, 30), (2, 1))
    torque = np.array([[-40.0], [-5.0]]) * angle
    best = spring.best_two_way(torque, angle, np.array([[1.0], [1.0]]), axis=(-1,))
    np.testing.assert_allclose(best.stiffness, [40.0, 5.0])


@law
@given(
    angle=st.floats(-1.5, 1.5),
    engagement=st.floats(-1.0, 1.0),
    direction=st.sampled_from([-1.0, 1.0]),
    stiffness=st.floats(0.0, 300.0),
)
def test_one_sided_torque_is_minus_the_slope_of_the_energy(
    angle: float, engagement: float, direction: float, stiffness: float
) -> None:
    assume(abs(angle - engagement) > 1e-3)
    step = 1e-5
    places = np.array([angle - step, angle, angle + step])
    touched, side, rate = np.array(engagement), np.array(direction), np.array(stiffness)
    energy = spring.stored_energy(rate, spring.one_sided_deflection(places, touched, side))
    torque = spring.one_sided_torque(places, rate, touched, side)[1]
    assert torque == pytest.approx(-(energy[2] - energy[0]) / (2 * step), abs=1e-4)


@law
@given(angle=st.floats(-1.5, 1.5), direction=st.sampled_from([-1.0, 1.0]))
def test_one_sided_spring_pushes_back_or_not_at_all(angle: float, direction: float) -> None:
    place, side = np.array(angle), np.array(direction)
    torque = spring.one_sided_torque(place, np.array(50.0), np.array(0.1), side)
    assert torque * direction <= 0.0
    assert (torque != 0.0) == (direction * (angle - 0.1) > 0.0)


def test_two_one_sided_springs_make_a_two_way_spring() -> None:
    angle, rate, rest = np.linspace(-1, 1, 41), np.array(70.0), np.array(0.15)
    both = sum(spring.one_sided_torque(angle, rate, rest, np.array(side)) for side in (-1.0, 1.0))
    np.testing.assert_allclose(both, spring.two_way_torque(angle, rate, rest), atol=1e-12)


def test_mounts_and_energy_scale_the_mass() -> None:
    mass = spring_material.spring_mass(
        np.array([10.0, 20.0]),
        energy_density=np.array(1.5e6),
        density=np.array(7500.0),
        mount_factor=np.array([1.0, 1.5]),
    )
    np.testing.assert_allclose(mass, [0.05, 0.15])
