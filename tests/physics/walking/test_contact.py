import numpy as np
import pytest

from tests.oracles.robot import FRAME
from tests.oracles.state import random_stride
from tradeopt.arrays import Array
from tradeopt.physics.walking.contact import (
    friction_use,
    least_load,
    left_foot_share,
    sole_room,
    zero_moment_point,
)
from tradeopt.physics.walking.vectors import cross, mirrored, skew

STRIDE = random_stride(11)


def mirrored_wrench(wrench: Array) -> Array:
    moment = mirrored(wrench[..., 3:, :], axial=True)
    return np.concatenate((mirrored(wrench[..., :3, :]), moment), axis=-2)


def symmetric_wrench() -> Array:
    half = np.random.default_rng(5).normal(size=(4, 6, STRIDE.phases))
    return half + mirrored_wrench(half)


def test_the_two_feet_carry_the_whole_wrench() -> None:
    total = symmetric_wrench()
    left = left_foot_share(FRAME, STRIDE, total)
    np.testing.assert_allclose(left + mirrored_wrench(left), total, atol=1e-12)


def test_a_foot_alone_carries_all_and_a_lifted_foot_nothing() -> None:
    total = symmetric_wrench()
    left = left_foot_share(FRAME, STRIDE, total)
    alone, lifted = STRIDE.load_share == 1.0, STRIDE.load_share == 0.0
    assert alone.any()
    assert lifted.any()
    np.testing.assert_array_equal(left[..., alone], total[..., alone])
    np.testing.assert_array_equal(left[..., lifted], 0.0)


def test_a_load_between_the_feet_is_carried_without_tilting_moments() -> None:
    right_share = np.roll(STRIDE.load_share, STRIDE.phases // 2)
    force = np.repeat([[30.0], [-20.0], [600.0]], STRIDE.phases, axis=1)
    between = STRIDE.load_share * STRIDE.pressure_point
    between = between + right_share * mirrored(STRIDE.pressure_point)
    total = np.concatenate((force, cross(between, force)))
    left = left_foot_share(FRAME, STRIDE, total)
    carried = STRIDE.load_share * force
    np.testing.assert_allclose(left[:3], carried, atol=1e-9)
    np.testing.assert_allclose(left[3:], cross(STRIDE.pressure_point, carried), atol=1e-9)


def test_no_other_split_between_the_feet_is_milder() -> None:
    """Weighted least squares over the wrench of the left foot, by a general solver."""
    total = symmetric_wrench()[0]
    found = left_foot_share(FRAME, STRIDE, total)
    width, length = FRAME.foot_width, FRAME.foot_length
    # radii of gyration of a rectangle: side over root 12
    radii = np.array([width, length, np.hypot(width, length)]) / np.sqrt(12)
    weigh = np.diag(np.concatenate((np.ones(3), 1 / radii)))
    right_point = mirrored(STRIDE.pressure_point)
    both = np.flatnonzero((STRIDE.load_share > 0) & (STRIDE.load_share < 1))
    assert both.size
    for n in both:
        rows, wanted = [], []
        feet = (
            (STRIDE.pressure_point, STRIDE.load_share[n], 1.0, np.zeros(6)),
            (right_point, 1 - STRIDE.load_share[n], -1.0, total[:, n]),
        )
        for point, share, sign, rest in feet:
            to_foot = np.eye(6)
            to_foot[3:, :3] = -skew(point[:, n][np.newaxis])[0]
            block = weigh @ to_foot / np.sqrt(share)
            rows.append(sign * block)
            wanted.append(-block @ rest)
        split = np.linalg.lstsq(np.vstack(rows), np.concatenate(wanted), rcond=None)[0]
        np.testing.assert_allclose(found[:, n], split, atol=1e-8)


def test_the_zero_moment_point_of_a_single_force_is_where_it_acts() -> None:
    place = np.array([[0.2], [-0.1], [0.0]])
    force = np.array([[40.0], [10.0], [700.0]])
    wrench = np.concatenate((force, cross(place, force)))
    np.testing.assert_allclose(zero_moment_point(wrench, least_force=1.0), place[:2])


def test_the_zero_moment_point_of_a_force_on_a_step_is_at_the_height_of_the_step() -> None:
    place = np.array([[0.2], [-0.1], [0.17]])
    force = np.array([[40.0], [10.0], [700.0]])
    wrench = np.concatenate((force, cross(place, force)))
    found = zero_moment_point(wrench, least_force=1.0, height=np.array([0.17]))
    np.testing.assert_allclose(found, place[:2])


def test_the_zero_moment_point_stays_finite_without_a_normal_force() -> None:
    wrench = np.array([[0.0], [0.0], [-5.0], [2.0], [4.0], [0.0]])
    np.testing.assert_allclose(zero_moment_point(wrench, least_force=10.0), [[-0.4], [0.2]])


MID_SOLE = np.full((2, 1), 0.12)
"""Room before and behind the middle of a sole of 0.24 m."""


def pressed(ahead: float, aside: float, force: float = 400.0) -> Array:
    return np.array([0.0, 0.0, force, aside * force, -ahead * force, 0.0])[:, np.newaxis]


def room_of(wrench: Array, room: Array) -> float:
    limits = {"foot_width": np.array(0.10), "least_force": np.array(40.0)}
    return float(sole_room(wrench, room=room, **limits))


@pytest.mark.parametrize(
    ("ahead", "aside", "margin"),
    [
        # sole 0.24 m by 0.10 m, pressed at its middle: 0.12 m before and behind, 0.05 m aside
        (0.10, 0.0, 0.02),
        (-0.13, 0.0, -0.01),
        (0.0, 0.02, 0.03),
        (0.0, -0.06, -0.01),
    ],
)
def test_the_sole_room_is_the_distance_to_the_nearest_rim(
    ahead: float, aside: float, margin: float
) -> None:
    assert room_of(pressed(ahead, aside), MID_SOLE) == pytest.approx(margin)


def test_the_sole_room_tells_front_from_rear() -> None:
    # pressed 0.02 m further ahead of 0.03 m of room
    found = room_of(pressed(0.02, 0.0), np.array([[0.03], [0.21]]))
    assert found == pytest.approx(0.01)


def test_an_unloaded_foot_has_no_say_in_the_sole_room() -> None:
    wrench = np.concatenate((pressed(0.0, 0.0), pressed(0.5, 0.0, force=30.0)), axis=1)
    assert room_of(wrench, MID_SOLE.repeat(2, axis=1)) == pytest.approx(0.05)


def test_the_sole_room_of_many_is_that_of_each() -> None:
    wrenches = np.stack([pressed(0.10, 0.0), pressed(0.0, 0.02)])
    rooms = np.stack([MID_SOLE, MID_SOLE / 2])
    found = sole_room(
        wrenches, room=rooms, foot_width=np.array([0.1, 0.06]), least_force=np.full(2, 40.0)
    )
    np.testing.assert_allclose(found, [0.02, 0.01])


def test_the_least_load_is_negative_where_the_ground_would_have_to_pull() -> None:
    normal = np.array([[500.0, 400.0, 600.0], [900.0, -50.0, 300.0]])
    found = least_load(normal, weight=np.array([500.0, 1000.0]))
    np.testing.assert_allclose(found, [0.8, -0.05])


def test_friction_counts_loaded_phases_only() -> None:
    wrench = np.zeros((6, 3))
    wrench[0] = 30.0, 9.0, 0.0
    wrench[1] = 40.0, 0.0, 50.0
    wrench[2] = 250.0, 1.0, 500.0
    assert friction_use(wrench, least_force=np.array(50.0)) == pytest.approx(0.2)
