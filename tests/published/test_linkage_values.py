"""Four-bar linkages against textbook examples and closed forms."""

import numpy as np
import pytest

from tradeopt.arrays import Array
from tradeopt.physics import four_bar, transmission

NORTON = four_bar.Links(*(np.array(length) for length in (0.04, 0.12, 0.08, 0.1)))
"""R. L. Norton, "Design of Machinery", Ex. 4-1 (from memory, recomputed): input 40, coupler 120,
output 80, ground 100, input link at 40 deg -> open 20.298 and 57.325 deg, crossed -60.978 and
-98.005 deg for coupler and output link."""
AHEAD, BEHIND = np.array(1.0), np.array(-1.0)


def followed(lengths: tuple[float, ...], known: float, side: Array) -> tuple[float, float]:
    """Angles [deg] of coupler and far link, seen from the link whose angle [deg] is known.

    Turned by half a turn, the known link is the one on the joint.
    """
    links = four_bar.Links(*(np.array(lengths[place]) for place in (2, 1, 0, 3)))
    stands = four_bar.posture(links, np.radians(np.array(known + 180.0)), side)
    coupler = stands.input_end - stands.output_end
    angles = np.degrees([np.arctan2(y, x) for x, y in (coupler, stands.input_end)])
    coupler_angle, far = (angles + 180.0) % 360.0
    return float(coupler_angle), float(far)


@pytest.mark.parametrize(
    ("side", "coupler", "output"),
    [(BEHIND, 20.298, 57.325), (AHEAD, 360.0 - 60.978, 360.0 - 98.005)],
    ids=["open", "crossed"],
)
def test_norton_example_4_1(side: Array, coupler: float, output: float) -> None:
    found = followed((40.0, 120.0, 80.0, 100.0), 40.0, side)
    assert found == pytest.approx((coupler, output), abs=0.01)


@pytest.mark.parametrize(
    ("side", "coupler", "output"),
    [(BEHIND, 254.1745, 334.0983), (AHEAD, 187.3223, 107.3985)],
    ids=["first", "second"],
)
def test_posted_coursework_linkage(side: Array, coupler: float, output: float) -> None:
    # Links 35/25/15/10, first at 30 deg: 254.1745/334.0983 and 187.3223/107.3985 deg, published
    # in a posted coursework problem, recomputed.
    found = followed((35.0, 25.0, 15.0, 10.0), 30.0, side)
    assert found == pytest.approx((coupler, output), abs=1e-4)


def output_angle(input_angle: float) -> Array:
    """Output link of Norton's linkage [rad] for an input link [deg], by Freudenstein's equation.

    Freudenstein, Trans. ASME 77:853-861 (1955), in the form of Norton, chapter 4 (from memory).
    """
    a, b, c, d = (float(length) for length in NORTON)
    turned = np.radians(input_angle)
    k1, k2, k3 = d / a, d / c, (a**2 - b**2 + c**2 + d**2) / (2 * a * c)
    first = np.cos(turned) - k1 - k2 * np.cos(turned) + k3
    second, third = -2 * np.sin(turned), k1 - (k2 + 1) * np.cos(turned) + k3
    root = np.sqrt(second**2 - 4 * first * third)
    return np.array(2 * np.arctan2(-second - root, 2 * first))


@pytest.mark.parametrize(
    ("input_angle", "side", "expected"),
    [(40.0, AHEAD, 37.03), (1e-4, BEHIND, 26.38), (180.0 - 1e-4, AHEAD, 86.42)],
)
def test_transmission_angle_of_nortons_linkage(
    input_angle: float, side: Array, expected: float
) -> None:
    # cos mu = (b^2 + c^2 - a^2 - d^2 + 2 a d cos t2)/(2 b c); recomputed: 37.03 deg at t2 = 40,
    # extremes 26.38 at 0 and 86.42 at 180.
    stands = four_bar.posture(NORTON, output_angle(input_angle), side)
    assert np.degrees(stands.transmission_angle) == pytest.approx(expected, abs=5e-3)


def test_velocity_ratio_of_nortons_linkage() -> None:
    # w4/w2 = a sin(t2 - t3)/(c sin(t4 - t3)) = 0.279919, and by the pole on the ground line at x =
    # -38.873: x/(x - d) with d = 100 (Aronhold-Kennedy); recomputed.
    drive = four_bar.link_drive(NORTON, output_angle(40.0), AHEAD)
    assert 1.0 / drive.ratio == pytest.approx(0.279919, abs=1e-6)
    assert 1.0 / drive.ratio == pytest.approx(-38.873 / (-38.873 - 100.0), abs=1e-5)


def test_rotor_behind_nortons_linkage() -> None:
    # As a joint drive N = 3.572457, N' = -33.9896 /rad; J = 1e-4, q' = 3, q'' = 10 -> tau =
    # -0.096521 N m at the joint, of the wrong sign if N' is dropped (derived, verified numerically
    # by finite differences to 1e-6).
    drive = four_bar.link_drive(NORTON, output_angle(40.0), AHEAD)
    assert drive.ratio == pytest.approx(3.572457, abs=1e-6)
    assert drive.ratio_slope == pytest.approx(-33.9896, abs=1e-4)
    motor = transmission.motor_torque(
        np.array(0.0),
        np.array(3.0),
        np.array(10.0),
        ratio=drive.ratio,
        ratio_slope=drive.ratio_slope,
        efficiency=np.array(1.0),
        motor_inertia=np.array(1e-4),
        drag_torque=np.array(0.0),
    )
    assert motor * drive.ratio == pytest.approx(-0.096521, abs=1e-6)
