"""Curves of a design, against the chain that they are drawn from."""

import json

import numpy as np
import pytest
from numpy.testing import assert_allclose

from tests.stages.studies import EXAMPLE
from tradeopt import quantities as q
from tradeopt.report.curves import (
    plain_curves,
    ratio_curves,
    torque_speed_maps,
    warming,
)
from tradeopt.report.view import View
from tradeopt.study.read import loads
from tradeopt.study.study import Study


def test_a_geared_joint_turns_its_motor_by_its_ratio(view: View, said: dict[str, float]) -> None:
    for joint, curve in zip(q.JOINTS, ratio_curves(view), strict=True):
        known = np.concatenate([loop.y[np.isfinite(loop.y)] for loop in curve.loops])
        assert_allclose(known, said[f"robot.drives.{joint}.transmission.ratio"], rtol=1e-9)
        assert all(np.all(np.diff(loop.x) >= 0.0) for loop in curve.loops)


def test_a_joint_that_stands_still_has_no_ratio(view: View) -> None:
    standing = view.gaits.index("standing")
    assert all(np.isnan(one.loops[standing].y).all() for one in ratio_curves(view))


def test_loops_keep_the_power_of_the_shaft(view: View, study: Study) -> None:
    """Speed without its sign and torque with the sign of driving: their product is the power."""
    for place, one in enumerate(torque_speed_maps(view, study.problem.limits)):
        power = view.of(q.MOTOR_TORQUE)[place] * view.of(q.MOTOR_SPEED)[place]
        for loop, expected in zip(one.loops, power, strict=True):
            assert_allclose(loop.x * loop.y, expected, atol=1e-12)
            assert loop.x.min() >= 0.0


def test_a_gait_within_its_margins_stays_within_the_limits(view: View, study: Study) -> None:
    assert view.of(q.MOTOR_TORQUE_MARGIN).min() > 0.0
    assert view.of(q.VOLTAGE_MARGIN).min() > 0.0
    for one in torque_speed_maps(view, study.problem.limits):
        for loop in one.loops:
            assert np.all(loop.y <= np.interp(loop.x, one.speed, one.driving))
            assert np.all(loop.y >= np.interp(loop.x, one.speed, one.braking))


def test_weakening_the_field_gives_torque_at_speed_and_none_at_rest(study: Study) -> None:
    weak = "stages:\n  field: {kind: weakened, bus_voltage: 40 V}\n"
    assert "stages:\n" in EXAMPLE.text
    weakened = loads(EXAMPLE.text.replace("stages:\n", weak, 1), EXAMPLE.files)
    plain, more = (
        torque_speed_maps(
            View(one.problem.evaluate(one.problem.baseline[None]), 0), one.problem.limits
        )
        for one in (study, weakened)
    )
    for less, now in zip(plain, more, strict=True):
        assert now.driving[0] == pytest.approx(less.driving[0])
    knee = q.JOINTS.index("knee")
    assert more[knee].driving[-1] > 1.05 * plain[knee].driving[-1]


def test_warmer_contours_allow_more_and_none_is_drawn_without_a_limit(
    view: View, study: Study
) -> None:
    limits = study.problem.limits
    for one in torque_speed_maps(view, limits):
        assert one.contours[-1].temperature == pytest.approx(393.15)  # the study says 120 degC
        torques = np.array([contour.torque for contour in one.contours])
        assert np.all(np.diff(torques, axis=0) > 0.0)
    without = tuple(limit for limit in limits if limit.name != q.WINDING_TEMPERATURE.name)
    assert all(one.contours == () for one in torque_speed_maps(view, without))


def test_temperatures_start_cold_and_come_back_each_round(view: View) -> None:
    found = warming(view)
    assert found.legs == ("out", "inspection", "back", "rest") * 3
    # a leg of 900 m at 0.5 m/s, ten minutes, 900 m at 0.75 m/s, five minutes
    assert_allclose(found.ends[:4], np.cumsum([1800.0, 600.0, 1200.0, 300.0]), rtol=1e-6)
    assert found.ends[-1] == pytest.approx(3.0 * 3900.0)
    assert found.course.time[-1] == pytest.approx(found.ends[-1])
    # 28 degC in this study
    assert_allclose(found.course.winding[:, 0], 301.15)
    # rounds are longer than motors take to warm, so that the last two hardly differ
    round_ = (len(found.course.time) - 1) // 3
    before, last = found.course.winding[:, -2 * round_ :].reshape(6, 2, round_).swapaxes(0, 1)
    assert_allclose(before, last, atol=0.1)
    # the chain's own rounds in closed form
    warmest = view.of(q.MISSION_WINDING_TEMPERATURE).max(axis=1)
    assert_allclose(last.max(axis=1), warmest, atol=0.2)


def test_curves_are_plain_for_json(view: View, study: Study) -> None:
    told = json.loads(json.dumps(plain_curves(view, study.problem.limits), allow_nan=False))
    knee = told["torque_speed"]["knee"]
    assert max(knee["gaits"]["steady"]["speed"]) == pytest.approx(
        float(np.abs(view.of(q.MOTOR_SPEED)[q.JOINTS.index("knee"), 0]).max())
    )
    assert set(told["ratio"]["knee"]["standing"]["ratio"]) == {None}
    warm = told["temperatures"]
    assert warm["legs"][:5] == ["out", "inspection", "back", "rest", "out"]
    assert len(warm["winding"]["knee"]) == len(warm["time"])
