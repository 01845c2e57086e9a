"""Laws of a screw on a lever."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tradeopt.physics import screw_lever

law = settings(deadline=None, max_examples=60)
triangles = {
    "ground": st.floats(0.1, 0.4).map(np.array),
    "lever": st.floats(0.02, 0.08).map(np.array),
    "angle": st.one_of(st.floats(0.3, 2.8), st.floats(-2.8, -0.3)),
}


def length(ground: np.ndarray, lever: np.ndarray, angle: float) -> float:
    """Between two points, not by the law of cosines."""
    end = lever * np.array([np.cos(angle), np.sin(angle)])
    return float(np.hypot(end[0] - ground, end[1]))


@law
@given(**triangles)
def test_arm_and_slope_are_derivatives_of_the_length(
    ground: np.ndarray, lever: np.ndarray, angle: float
) -> None:
    step = 1e-4
    near = [length(ground, lever, angle + move) for move in (-step, 0.0, step)]
    drive = screw_lever.lever_drive(ground, lever, np.array(angle))
    assert drive.length == pytest.approx(near[1], rel=1e-12)
    assert drive.arm == pytest.approx((near[2] - near[0]) / (2 * step), rel=1e-5, abs=1e-8)
    bent = (near[2] - 2 * near[1] + near[0]) / step**2
    assert drive.arm_slope == pytest.approx(bent, rel=1e-4, abs=1e-5)


@law
@given(**triangles)
def test_arm_is_the_distance_of_the_screw_from_the_joint(
    ground: np.ndarray, lever: np.ndarray, angle: float
) -> None:
    """Force times arm is the torque: the lever times the sine of the push angle."""
    drive = screw_lever.lever_drive(ground, lever, np.array(angle))
    pushed = screw_lever.push_angle(ground, lever, np.array(angle))
    assert drive.arm == pytest.approx(lever * np.sin(pushed), rel=1e-9)


@law
@given(
    ground=st.floats(0.05, 0.4).map(np.array),
    lever=st.floats(0.02, 0.4).map(np.array),
    angle=st.floats(-7.0, 7.0).map(np.array),
)
def test_any_triangle_has_finite_numbers(
    ground: np.ndarray, lever: np.ndarray, angle: np.ndarray
) -> None:
    with np.errstate(all="raise", under="ignore"):
        drive = screw_lever.lever_drive(ground, lever, angle)
    assert all(np.isfinite(part).all() for part in drive)
    assert drive.length > 0.0
    assert drive.arm != 0.0


def test_a_screw_through_the_joint_has_finite_numbers() -> None:
    drive = screw_lever.lever_drive(np.array(0.1), np.array(0.1), np.array(0.0))
    assert all(np.isfinite(part).all() for part in drive)


def test_one_turn_moves_the_nut_by_its_lead() -> None:
    """Over a small joint turn: screw turns times lead is the change of length."""
    ground, lever, lead = np.array(0.25), np.array(0.05), 5e-3
    angles = np.linspace(1.0, 2.2, 4001)
    drive = screw_lever.lever_drive(ground, lever, angles)
    ratio = screw_lever.screw_ratio(drive.arm, np.array(lead))
    turned = np.trapezoid(ratio, angles)
    assert turned / (2 * np.pi) * lead == pytest.approx(drive.length[-1] - drive.length[0])


def test_stroke_ends_where_the_screw_is_in_or_out() -> None:
    lengths = np.array([[0.2, 0.3], [0.25, 0.4], [0.25, 0.3]])
    margin = screw_lever.stroke_margin(lengths, np.full(3, 0.2), np.full(3, 0.4))
    np.testing.assert_allclose(margin, [0.0, 0.0, 0.125], atol=1e-12)
    outside = screw_lever.stroke_margin(lengths[:2], np.full(2, 0.21), np.full(2, 0.39))
    assert (outside < 0.0).all()
