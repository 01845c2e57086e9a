"""Warmth and regions on the sheet: the same numbers by another way."""

from math import hypot, sqrt

import numpy as np
import pytest

from tests.report.cells import number
from tradeopt import quantities as q
from tradeopt.physics import heat
from tradeopt.report.regions import lasting_torque_at, peak_torque_at, region_section
from tradeopt.report.view import View
from tradeopt.report.warmth import mission_course, warmth_sections
from tradeopt.study.read import load

STUDY = load("levee_rounds")
VIEW = View(STUDY.problem.evaluate(STUDY.problem.baseline[None]), 0)
ROUNDS = 8
KNEE = q.JOINTS.index("knee")
HOT = VIEW.of(q.PHASE_RESISTANCE)[KNEE] * (
    1.0 + 0.00393 * (VIEW.of(q.WINDING_LIMIT)[KNEE] - 293.15)
)


def one(quantity: q.Quantity) -> float:
    return float(VIEW.of(quantity)[KNEE])


def test_the_course_is_as_warm_in_each_leg_of_the_last_round_as_the_chain_says() -> None:
    """Twin: rounds summed in closed form in the chain, walked leg by leg here."""
    moments, legs = 200, len(VIEW.of(q.LEG_TIME))
    course = mission_course(VIEW, rounds=ROUNDS, moments=moments)
    assert course.time[-1] == pytest.approx(ROUNDS * VIEW.of(q.LEG_TIME).sum())
    for leg in range(legs):
        first = (len(course.time) - 1) - (legs - leg) * moments
        within = slice(first, first + moments + 1)
        for found, wanted in (
            (course.winding, q.MISSION_WINDING_TEMPERATURE),
            (course.housing, q.MISSION_HOUSING_TEMPERATURE),
        ):
            peak = found[:, within].max(axis=1)
            np.testing.assert_allclose(peak, VIEW.of(wanted)[:, leg], atol=2e-2)


def test_the_course_starts_as_cold_as_the_air() -> None:
    course = mission_course(VIEW, rounds=1, moments=3)
    air = float(VIEW.of(q.AMBIENT_TEMPERATURE))
    assert course.winding[:, 0] == pytest.approx(np.full(6, air))
    assert course.housing.shape == (6, 1 + 3 * 4)
    assert (course.winding[:, 1:] >= air).all()


def test_a_lasting_torque_settles_at_its_temperature() -> None:
    """Twin: the steady state of the same loss, with copper that warms."""
    speed, wanted = 120.0, 273.15 + 130.0
    torque = float(lasting_torque_at(VIEW, KNEE, np.array([speed]), wanted)[0])
    straight = (torque + one(q.MOTOR_FRICTION)) / one(q.TORQUE_CONSTANT)
    current = straight * (1.0 + (straight / one(q.SATURATION_CURRENT)) ** 2)
    drag = one(q.HYSTERESIS_TORQUE) + one(q.MOTOR_FRICTION)
    steady = heat.steady_temperatures(
        np.array(1.5 * one(q.PHASE_RESISTANCE) * current**2),
        np.array(drag * speed + one(q.EDDY_COEFFICIENT) * speed**2),
        winding_to_housing=np.array(one(q.WINDING_TO_HOUSING)),
        housing_to_ambient=np.array(one(q.HOUSING_TO_AIR)),
        ambient=VIEW.of(q.AMBIENT_TEMPERATURE),
        reference_temperature=np.array(293.15),
        coefficient=np.array(0.00393),
    )
    assert steady.winding == pytest.approx(wanted, abs=1e-6)


def test_a_peak_torque_at_speed_takes_the_whole_voltage() -> None:
    speed = 190.0
    torque = float(peak_torque_at(VIEW, KNEE, np.array([speed]), HOT)[0])
    assert 0.0 < torque < one(q.PEAK_MOTOR_TORQUE)
    straight = (torque + one(q.MOTOR_FRICTION)) / one(q.TORQUE_CONSTANT)
    current = straight * (1.0 + (straight / one(q.SATURATION_CURRENT)) ** 2)
    w = one(q.POLE_PAIRS) * speed
    linkage = one(q.TORQUE_CONSTANT) / 1.5 / one(q.POLE_PAIRS)
    needed = hypot(HOT * current + w * linkage, w * one(q.PHASE_INDUCTANCE) * current)
    assert needed == pytest.approx(float(VIEW.of(q.LOW_BUS_VOLTAGE)) / sqrt(3.0), rel=1e-9)


def test_a_motor_pulls_less_the_faster_it_turns() -> None:
    speeds = np.linspace(0.0, 400.0, 41)
    for place in range(len(q.JOINTS)):
        for torque in (
            peak_torque_at(VIEW, place, speeds, HOT),
            lasting_torque_at(VIEW, place, speeds, 273.15 + 150.0),
        ):
            assert (np.diff(torque) <= 1e-9).all()
            assert torque[0] > 0.0
            assert (torque >= 0.0).all()


def test_the_sheet_says_what_the_chain_says() -> None:
    sections = {section.name: section for section in warmth_sections(VIEW)}
    legs = VIEW.evaluation.entries["leg"]
    warm = sections["mission_winding_temperatures"].row("knee")
    wanted = VIEW.of(q.MISSION_WINDING_TEMPERATURE)[KNEE]
    assert [number(warm[leg]) for leg in legs] == pytest.approx(wanted.tolist())
    heat_row = sections["motor_heat"].row("knee")
    assert number(heat_row["touch_margin"]) == pytest.approx(one(q.TOUCH_MARGIN))
    assert number(heat_row["first_round"]) <= max(wanted) + 1e-6
    rise = next(row for row in sections["peaks"].rows if row[:2] == ("rise", "knee"))
    heads = sections["peaks"].heads
    margin = float(VIEW.of(q.PEAK_HEAT_MARGIN)[KNEE, 0])
    assert number(rise[heads.index("heat_margin")]) == pytest.approx(margin)


def test_what_lasts_is_never_more_than_the_peak() -> None:
    section = region_section(VIEW)
    for place in ("standing", "at_fastest"):
        peaks, lasting = (
            [number(cell) for cell in section.column(f"{which}_{place}")]
            for which in ("peak", "lasting")
        )
        assert all(most >= some for most, some in zip(peaks, lasting, strict=True))
