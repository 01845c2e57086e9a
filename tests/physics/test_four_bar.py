"""Laws of the four-bar linkage: what it is worth at any angle, and what a bad one says."""

import warnings

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tradeopt.arrays import Array
from tradeopt.physics import four_bar, transmission

law = settings(deadline=None, max_examples=80)
sides = st.sampled_from([-1.0, 1.0]).map(np.array)
lengths = st.tuples(*(st.floats(0.02, 0.3) for _ in range(4)))
KNEE = four_bar.Links(*(np.array(length) for length in (0.05, 0.2, 0.06, 0.2)))


def linked(lengths: tuple[float, ...]) -> four_bar.Links:
    return four_bar.Links(*map(np.array, lengths))


def input_angle(links: four_bar.Links, angle: Array, side: Array) -> Array:
    """Angle of the input link [rad] by the law of cosines, one triangle at a time."""
    a, b, c, d = links
    diagonal = np.sqrt(c**2 + d**2 + 2 * c * d * np.cos(angle))
    lift = np.arctan2(c * np.sin(angle), d + c * np.cos(angle))
    corner = np.arccos((a**2 + diagonal**2 - b**2) / (2 * a * diagonal))
    return np.asarray(lift + side * corner)


def well_inside(links: four_bar.Links, angle: float, side: Array) -> bool:
    stands = four_bar.posture(links, np.array(angle), side)
    return bool(stands.reach > 0.05 and abs(np.sin(stands.transmission_angle)) > 0.1)


@law
@given(lengths=lengths, angle=st.floats(-3.0, 3.0), side=sides)
def test_ratio_and_slope_are_derivatives_of_the_turn(
    lengths: tuple[float, ...], angle: float, side: Array
) -> None:
    links = linked(lengths)
    assume(well_inside(links, angle, side))
    step = 1e-5
    places = angle + step * np.array([-1.0, 0.0, 1.0])
    turn = np.unwrap(input_angle(links, places, side))
    drive = four_bar.link_drive(links, places, side)
    ratio, scale = drive.ratio[1], 1.0 + abs(drive.ratio[1])
    assert (turn[2] - turn[0]) / (2 * step) == pytest.approx(ratio, abs=1e-5 * scale**3)
    slope = (drive.ratio[2] - drive.ratio[0]) / (2 * step)
    assert slope == pytest.approx(drive.ratio_slope[1], rel=1e-4, abs=1e-4 * scale**3)


@law
@given(lengths=lengths, angle=st.floats(-3.0, 3.0), side=sides)
def test_links_keep_their_lengths(lengths: tuple[float, ...], angle: float, side: Array) -> None:
    links = linked(lengths)
    assume(well_inside(links, angle, side))
    stands = four_bar.posture(links, np.array(angle), side)
    joint = np.array([links.ground, 0.0])
    found = [stands.input_end, stands.input_end - stands.output_end, stands.output_end - joint]
    assert np.linalg.norm(found, axis=1) == pytest.approx(np.array(links[:3]), rel=1e-9)


@law
@given(lengths=lengths, angle=st.floats(-3.0, 3.0), side=sides)
def test_the_coupler_passes_torque_as_the_ratio_passes_speed(
    lengths: tuple[float, ...], angle: float, side: Array
) -> None:
    """A coupler force of tau/arm about the input's pivot is tau/r, by power."""
    links = linked(lengths)
    assume(well_inside(links, angle, side))
    drive = four_bar.link_drive(links, np.array(angle), side)
    stands = four_bar.posture(links, np.array(angle), side)
    along = (stands.output_end - stands.input_end) / links.coupler
    arm = abs(stands.input_end[0] * along[1] - stands.input_end[1] * along[0])
    assert arm / drive.arm == pytest.approx(1.0 / abs(drive.ratio), rel=1e-6)


@law
@given(
    angle_rate=st.floats(1.0, 8.0),
    torque=st.floats(-120.0, 120.0),
    efficiency=st.floats(0.6, 1.0),
    drag=st.floats(0.0, 0.2),
)
def test_power_in_is_power_out_and_losses_at_every_phase(
    angle_rate: float, torque: float, efficiency: float, drag: float
) -> None:
    time = 2 * np.pi * np.arange(60) / 60 / angle_rate
    angle = 1.9 + 0.4 * np.sin(angle_rate * time)
    speed = 0.4 * angle_rate * np.cos(angle_rate * time)
    acceleration = -(angle_rate**2) * (angle - 1.9)
    drive = four_bar.link_drive(KNEE, angle, np.array(1.0))
    load = np.full(60, torque)
    through = {
        "ratio": 9.0 * drive.ratio,
        "efficiency": np.array(efficiency),
        "drag_torque": np.array(drag),
    }
    motor = transmission.motor_torque(
        load,
        speed,
        acceleration,
        ratio_slope=9.0 * drive.ratio_slope,
        motor_inertia=np.array(3e-4),
        **through,
    )
    lost = transmission.loss(load, speed, **through)
    # growth of the rotor's energy by its speed a little before and after
    step = 1e-6
    energy = [
        0.5 * 3e-4 * np.square(9.0 * four_bar.link_drive(KNEE, at, np.array(1.0)).ratio * fast)
        for at, fast in (
            (angle - step * speed, speed - step * acceleration),
            (angle + step * speed, speed + step * acceleration),
        )
    ]
    stored = (energy[1] - energy[0]) / (2 * step)
    power = motor * transmission.motor_speed(speed, 9.0 * drive.ratio)
    np.testing.assert_allclose(power, load * speed + lost + stored, rtol=1e-5, atol=1e-5)
    assert (lost >= 0.0).all()


def test_long_links_tend_to_a_rack() -> None:
    """A coupler far longer than the cranks keeps its direction, like a rack between two wheels.

    Then c cos t4 = a cos t2, and the ratio is c sin t4/(a sin t2).
    """
    angle = np.pi / 2 + np.linspace(-0.3, 0.3, 31)
    rack = 0.06 * np.sin(angle) / (0.05 * np.sin(np.arccos(0.06 / 0.05 * np.cos(angle))))
    off = []
    for long in (0.5, 5.0, 50.0, 500.0):
        links = four_bar.Links(*map(np.array, (0.05, long, 0.06, long)))
        off.append(np.abs(four_bar.link_drive(links, angle, np.array(1.0)).ratio / rack - 1).max())
    # each time the links are ten times as long, a tenth is left
    np.testing.assert_allclose(np.array(off[1:]) / off[:-1], 0.1, rtol=0.2)


@law
@given(crank=st.floats(0.03, 0.1), other=st.floats(0.8, 1.25))
def test_long_links_of_small_turn_tend_to_a_constant_ratio(crank: float, other: float) -> None:
    """Both cranks about square to a long coupler: the ratio of their lengths."""
    links = four_bar.Links(*map(np.array, (crank, 100.0, crank * other, 100.0)))
    angle = np.pi / 2 + np.linspace(-0.02, 0.02, 9)
    drive = four_bar.link_drive(links, angle, np.array(1.0))
    np.testing.assert_allclose(drive.ratio, other, rtol=2e-3)


def test_a_parallelogram_passes_the_turn_as_it_is() -> None:
    links = four_bar.Links(*map(np.array, (0.06, 0.25, 0.06, 0.25)))
    drive = four_bar.link_drive(links, np.linspace(0.4, 2.7, 20), np.array(1.0))
    np.testing.assert_allclose(drive.ratio, 1.0, rtol=1e-12)
    np.testing.assert_allclose(drive.ratio_slope, 0.0, atol=1e-10)


def test_a_mirrored_linkage_has_the_ratio_of_its_mirror() -> None:
    angle = np.linspace(1.2, 2.4, 9)
    one = four_bar.link_drive(KNEE, angle, np.array(1.0))
    other = four_bar.link_drive(KNEE, -angle, np.array(-1.0))
    np.testing.assert_allclose(one.ratio, other.ratio)
    np.testing.assert_allclose(one.ratio_slope, -other.ratio_slope)
    np.testing.assert_allclose(one.arm, other.arm)


@law
@given(lengths=lengths, angle=st.floats(-4.0, 4.0), side=sides)
def test_any_linkage_has_finite_numbers(
    lengths: tuple[float, ...], angle: float, side: Array
) -> None:
    with warnings.catch_warnings(), np.errstate(all="raise", under="ignore"):
        warnings.simplefilter("error")
        links = linked(lengths)
        drive = four_bar.link_drive(links, np.array(angle), side)
        stands = four_bar.posture(links, np.array(angle), side)
    assert all(np.isfinite(part).all() for part in (*drive, *stands))
    assert drive.ratio != 0.0
    assert drive.arm > 0.0


@pytest.mark.parametrize(
    ("lengths", "angle"),
    [((0.05, 0.1, 0.06, 0.3), 1.0), ((0.05, 0.4, 0.06, 0.2), 1.0), ((0.1, 0.1, 0.2, 0.2), np.pi)],
    ids=["coupler too short", "coupler too long", "pivot met"],
)
def test_links_that_do_not_reach_have_a_negative_margin(
    lengths: tuple[float, ...], angle: float
) -> None:
    stands = four_bar.posture(linked(lengths), np.array(angle), np.array(1.0))
    assert stands.reach <= 0.0


def test_reach_ends_where_input_link_and_coupler_are_in_line() -> None:
    # the output link's end is 0.25 from the motor's pivot, as far as both links reach
    angle = np.arccos((0.25**2 - 0.06**2 - 0.2**2) / (2 * 0.06 * 0.2))
    stands = four_bar.posture(KNEE, angle + np.array([-0.01, 0.0, 0.01]), np.array(1.0))
    assert stands.reach[0] < -1e-3
    assert stands.reach[1] == pytest.approx(0.0, abs=1e-9)
    assert stands.reach[2] > 1e-3


def test_a_change_of_branch_is_a_negative_margin() -> None:
    """Output link and coupler in line at a dead centre, square on both sides of it."""
    angles = np.radians(
        np.array([[80.0, 60.0, 50.0], [80.0, -60.0, -80.0], [-60.0, -80.0, -90.0]])
    )
    margin = four_bar.transmission_angle_margin(angles, np.full(3, np.radians(40.0)))
    assert margin[1] < 0.0
    np.testing.assert_allclose(margin[[0, 2]], [10.0 / 50.0, 20.0 / 50.0])


def test_transmission_angle_is_good_at_both_bounds() -> None:
    """Within 40 and 140 deg by a rule of thumb (Norton, section 3.3, from memory)."""
    angles = np.radians(np.array([[40.0], [140.0], [90.0]]))
    margin = four_bar.transmission_angle_margin(angles, np.full(3, np.radians(40.0)))
    np.testing.assert_allclose(margin, [0.0, 0.0, 1.0], atol=1e-12)


def test_room_is_that_of_the_corners() -> None:
    """A parallelogram that stands upright and turned by a right angle."""
    links = four_bar.Links(*map(np.array, (0.06, 0.25, 0.06, 0.25)))
    stands = four_bar.posture(links, np.array([[np.pi / 2]]), np.array([[1.0]]))
    along, across = four_bar.swept_room(stands, links.ground, np.array([0.0]))
    assert (along[0], across[0]) == pytest.approx((0.25, 0.06))
    along, across = four_bar.swept_room(stands, links.ground, np.array([np.pi / 2]))
    assert (along[0], across[0]) == pytest.approx((0.06, 0.25))
