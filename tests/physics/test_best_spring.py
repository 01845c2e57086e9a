"""The best one-sided spring is the best, and a clutch holds what it took."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from tradeopt.arrays import Array
from tradeopt.physics import spring

law = settings(deadline=None, max_examples=60)
curves = arrays(
    np.float64, (2, 12), elements=st.floats(-2.0, 2.0).map(lambda value: round(value, 3))
)
signs = st.sampled_from([-1.0, 1.0]).map(np.array)


def left(
    torque: Array, angle: Array, share: Array, one: spring.OneSidedSpring, sign: Array
) -> float:
    given = spring.one_sided_torque(angle, one.stiffness, one.engagement_angle, sign)
    return float((share * (torque - given) ** 2).sum())


@law
@given(
    torque=curves,
    angle=curves,
    weight=st.floats(0.1, 5.0),
    sign=signs,
    stiffness=st.floats(0.0, 30.0),
    at=st.floats(0.0, 1.0),
)
def test_no_other_one_sided_spring_leaves_less(
    *, torque: Array, angle: Array, weight: float, sign: Array, stiffness: float, at: float
) -> None:
    """Any stiffness, engaged anywhere from one range before the angles to their far end."""
    share = np.array([[1.0], [weight]])
    best = spring.best_one_sided(torque, angle, share, sign)
    low, high = (float(end) for end in ((sign * angle).min(), (sign * angle).max()))
    engagement = sign * (low - (high - low) + 2.0 * at * (high - low))
    other = spring.OneSidedSpring(np.array(stiffness), engagement)
    found = left(torque, angle, share, best, sign)
    assert found <= left(torque, angle, share, other, sign) * (1 + 1e-9) + 1e-6


@law
@given(torque=curves, angle=curves, sign=signs)
def test_small_changes_of_the_best_only_cost(torque: Array, angle: Array, sign: Array) -> None:
    share = np.ones((2, 1))
    best = spring.best_one_sided(torque, angle, share, sign)
    assume(best.stiffness > 1e-3)
    found = left(torque, angle, share, best, sign)
    for stiffer in (0.99, 1.0, 1.01):
        for moved in (-0.003, 0.0, 0.003):
            other = spring.OneSidedSpring(
                best.stiffness * stiffer, best.engagement_angle + sign * np.array(moved)
            )
            if sign * other.engagement_angle >= 2.0 * (sign * angle).min() - (sign * angle).max():
                assert found <= left(torque, angle, share, other, sign) * (1 + 1e-9) + 1e-6


@pytest.mark.parametrize("sign", [-1.0, 1.0])
def test_a_one_sided_spring_is_found_again(sign: float) -> None:
    angle = 0.4 * np.sin(2 * np.pi * np.arange(100) / 100)[None]
    torque = spring.one_sided_torque(angle, np.array(90.0), np.array(0.1), np.array(sign))
    best = spring.best_one_sided(torque, angle, np.array([[1.0]]), np.array(sign))
    assert (best.stiffness, best.engagement_angle) == pytest.approx((90.0, 0.1))


def test_a_torque_that_a_spring_cannot_give_wants_none() -> None:
    angle = np.linspace(-0.5, 0.5, 30)[None]
    best = spring.best_one_sided(40.0 * (angle + 0.6), angle, np.array([[1.0]]), np.array(1.0))
    assert best.stiffness == 0.0
    still = spring.best_one_sided(angle, np.full((1, 30), 0.3), np.array([[1.0]]), np.array(1.0))
    assert still.stiffness == 0.0


def test_designs_find_their_own_spring() -> None:
    angle = np.tile(0.4 * np.sin(2 * np.pi * np.arange(60) / 60), (3, 2, 1))
    rate, touched, sign = np.array([20.0, 60.0, 90.0]), np.array([0.1, -0.1, 0.2]), np.ones(3)
    sign[1] = -1.0
    place = (one[:, None, None] for one in (rate, touched, sign))
    best = spring.best_one_sided(
        spring.one_sided_torque(angle, *place), angle, np.ones((3, 2, 1)), sign
    )
    np.testing.assert_allclose(best.stiffness, rate)
    np.testing.assert_allclose(best.engagement_angle, touched)


def test_a_mission_without_walking_wants_no_spring() -> None:
    angle = np.linspace(-0.5, 0.5, 30)[None]
    nothing = np.zeros((1, 1))
    assert spring.best_one_sided(-angle, angle, nothing, np.array(1.0)).stiffness == 0.0
    assert spring.best_two_way(-angle, angle, nothing).stiffness == 0.0


@law
@given(engaged=st.floats(0.0, 0.999), held=st.floats(0.0, 1.0), lift=st.floats(-1.0, 1.0))
def test_a_clutch_counts_from_where_it_took_hold(engaged: float, held: float, lift: float) -> None:
    phase = np.arange(200) / 200
    angle = lift + 0.3 * np.sin(2 * np.pi * phase)
    turned = spring.clutched_deflection(angle, np.array(engaged), np.array(held))
    taken = lift + 0.3 * np.sin(2 * np.pi * engaged)
    open_ = (phase - engaged) % 1.0 >= held
    assert (turned[open_] == 0.0).all()
    np.testing.assert_allclose(turned[~open_], (angle - taken)[~open_], atol=2e-4)


def test_a_clutch_that_holds_over_the_end_of_the_stride() -> None:
    angle = np.arange(10.0)
    turned = spring.clutched_deflection(angle, np.array(0.8), np.array(0.35))
    np.testing.assert_allclose(turned, [-8.0, -7.0, 0, 0, 0, 0, 0, 0, 0.0, 1.0])
