"""Peaks of a study: from the joints through any transmission to the motor, its bus and heat."""

import re
from math import cos, hypot, sin, sqrt

import numpy as np
import pytest

from tests.stages.studies import EXAMPLE
from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.errors import ChainError, StudyError
from tradeopt.stages.in_peaks import InPeaks
from tradeopt.study.compiled import CompiledStudy
from tradeopt.study.read import loads

KNEE = q.JOINTS.index("knee")
AIR = 273.15 + 28.0
RISE = re.compile(r"  rise: \{.*\}\n")
PUSH = (
    "{{kind: load_case, after: {after}, time: {time} s, "
    "torque: {{hip_yaw: 0 N*m, hip_roll: -30 N*m, hip_pitch: 20 N*m, knee: {knee} N*m, "
    "ankle_pitch: 35 N*m, ankle_roll: 5 N*m}}, "
    "speed: {{hip_yaw: 0 rad/s, hip_roll: 0.5 rad/s, hip_pitch: -1 rad/s, knee: {speed} rad/s, "
    "ankle_pitch: 0 rad/s, ankle_roll: 0 rad/s}}, "
    "angle: {{hip_yaw: 0 deg, hip_roll: 0 deg, hip_pitch: -40 deg, knee: -70 deg, "
    "ankle_pitch: -20 deg, ankle_roll: 0 deg}}}}"
)


def study(peaks: str) -> CompiledStudy:
    text, count = RISE.subn(peaks, EXAMPLE.text)
    assert count == 1
    return loads(text, EXAMPLE.files).problem


def values(*peaks: str) -> dict[str, Array]:
    lines = "".join(f"  p{place}: {said}\n" for place, said in enumerate(peaks))
    problem = study(lines)
    return dict(problem.evaluate(problem.baseline[None]).values)


def push(knee: float = 90.0, time: float = 2.0, speed: float = 1.5, after: str = "brisk") -> str:
    return PUSH.format(knee=knee, time=time, speed=speed, after=after)


def said(found: dict[str, Array], path: str) -> float:
    return float(found[f"robot.{path}"][0])


def test_a_peak_passes_the_gears_as_a_gait_does() -> None:
    found = values(push(), push(knee=-40.0, speed=0.8))
    ratio = said(found, "drives.knee.transmission.ratio")
    stages = said(found, "drives.knee.transmission.stages")
    efficiency = said(found, "drives.knee.transmission.stage_efficiency") ** stages
    drag = said(found, "drives.knee.transmission.drag")
    wanted = [90.0 / efficiency / ratio + drag, -40.0 * (2.0 - 1.0 / efficiency) / ratio + drag]
    assert found["peak_shaft_torque"][0, KNEE] == pytest.approx(wanted)
    assert found["peak_shaft_speed"][0, KNEE] == pytest.approx([1.5 * ratio, 0.8 * ratio])
    rated = said(found, "drives.knee.transmission.rated_torque")
    largest = said(found, "drives.knee.transmission.largest_stage_ratio")
    room = 1.0 - ratio ** (1.0 / stages) / largest
    left = found["peak_transmission_margin"][0, KNEE]
    assert left == pytest.approx(min(1.0 - 90.0 / rated, room))
    hard = values(push(knee=170.0))["peak_transmission_margin"][0, KNEE]
    assert hard == pytest.approx(min(1.0 - 170.0 / rated, room))
    assert hard < left


def test_current_torque_and_voltage_of_a_peak() -> None:
    found = values(push())

    def one(name: str) -> float:
        return float(found[name][0, KNEE])

    torque, speed = (float(found[f"peak_shaft_{n}"][0, KNEE, 0]) for n in ("torque", "speed"))
    straight = (torque + one("motor_friction")) / one("torque_constant")
    current = straight * (1.0 + (straight / one("saturation_current")) ** 2)
    assert found["peak_current"][0, KNEE, 0] == pytest.approx(current)
    left = 1.0 - torque / one("peak_motor_torque")
    assert found["peak_torque_margin"][0, KNEE, 0] == pytest.approx(left)
    largest = said(found, "electronics.peak_current")
    assert found["peak_current_margin"][0, KNEE, 0] == pytest.approx(1.0 - current / largest)
    warm = float(found["peak_winding_temperature"][0, KNEE, 0])
    resistance = one("phase_resistance") * (1.0 + 0.00393 * (warm - 293.15))
    w = speed * one("pole_pairs")
    linkage = one("torque_constant") / 1.5 / one("pole_pairs")
    needed = hypot(resistance * current + w * linkage, w * one("phase_inductance") * current)
    there = float(found["low_bus_voltage"][0]) / sqrt(3.0)
    assert found["peak_voltage_margin"][0, KNEE, 0] == pytest.approx(1.0 - needed / there)
    limit = one("winding_limit")
    assert found["peak_heat_margin"][0, KNEE, 0] == pytest.approx(
        (limit - warm) / (limit - 293.15)
    )


def test_a_short_peak_heats_the_copper_alone() -> None:
    """Adiabatic limit: loss times time over the winding's heat capacity."""
    found = values(push(time=0.2))
    start = found["mission_winding_temperature"][0, KNEE, 2]
    assert np.flatnonzero(found["leg_gait"][0, :, 1]).tolist() == [2]  # brisk is the way back
    current = float(found["peak_current"][0, KNEE, 0])
    hot = float(found["phase_resistance"][0, KNEE]) * (1.0 + 0.00393 * (start - 293.15))
    lost = (start - found["mission_housing_temperature"][0, KNEE, 2]) / found["winding_to_housing"]
    net = 1.5 * hot * current**2 - lost[0, KNEE]
    rise = net * 0.2 / found["winding_capacity"][0, KNEE]
    end = found["peak_winding_temperature"][0, KNEE, 0]
    assert end - start == pytest.approx(rise, rel=0.03)


def test_a_longer_peak_and_a_warmer_start_are_warmer() -> None:
    temperature = values(push(time=1.0), push(time=5.0), push(time=1.0, after="steady"))[
        "peak_winding_temperature"
    ][0, KNEE]
    assert temperature[1] > temperature[0] + 1.0
    assert temperature[2] > temperature[0] + 1.0  # the steady gait warms the knee more


def test_after_a_gait_of_no_leg_it_starts_as_warm_as_that_would_get_for_ever() -> None:
    text = EXAMPLE.text.replace("gait: brisk, distance", "gait: steady, distance")
    text = RISE.sub(f"  p: {push(time=1e-6)}\n", text)
    problem = loads(text, EXAMPLE.files).problem
    found = problem.evaluate(problem.baseline[None]).values
    brisk = problem.layout.gaits.index("brisk")
    wanted = found["winding_temperature"][0, :, brisk]
    assert found["peak_winding_temperature"][0, :, 0] == pytest.approx(wanted, rel=1e-6)


def test_standing_up_lifts_the_weight() -> None:
    """The knee's power is the share of the weight, its load factor, and how fast the hip rises."""
    problem = study(
        "  rise: {kind: stand_up, after: standing, time: 2 s, knee_flexion: 100 deg, "
        "knee_speed: 1.2 rad/s, share: 60 %, load_factor: 1.3, payload: 5 kg}\n"
    )
    found = problem.evaluate(problem.baseline[None]).values
    bend = 100.0 * np.pi / 180.0
    length = hypot(0.4 + 0.4 * cos(bend), 0.4 * sin(bend))
    rising = 0.4 * 0.4 * sin(bend) / length * 1.2
    weight = (float(found["total_mass"][0]) + 5.0) * 9.81
    power = found["peak_torque"][0, KNEE, 0] * found["peak_speed"][0, KNEE, 0]
    assert power == pytest.approx(0.6 * 1.3 * weight * rising, rel=1e-9)
    others = np.delete(found["peak_torque"][0, :, 0], KNEE)
    assert (others == 0.0).all()
    angles = dict(zip(q.JOINTS, found["peak_angle"][0, :, 0], strict=True))
    assert angles["knee"] == pytest.approx(-bend)
    assert angles["hip_pitch"] + angles["ankle_pitch"] == pytest.approx(-bend)
    # upright torso over flat foot, as in the gait that stands
    standing = found["joint_angle"][0, :, problem.layout.gaits.index("standing"), 0]
    bent = dict(zip(q.JOINTS, standing, strict=True))
    assert bent["hip_pitch"] + bent["ankle_pitch"] == pytest.approx(bent["knee"])


def test_a_study_without_peaks_has_none_of_their_limits() -> None:
    text = RISE.sub("", EXAMPLE.text).replace("peaks:", "#", 1)
    problem = loads(text, EXAMPLE.files).problem
    assert not [one.name for one in problem.limits if one.name.startswith("peak_")]
    score = problem.score(problem.baseline[None])
    whole = EXAMPLE.problem.score(EXAMPLE.problem.baseline[None])
    np.testing.assert_allclose(score.objectives, whole.objectives, rtol=1e-12)
    own = [one.name for one in EXAMPLE.problem.limits]
    assert {"peak_heat_margin", "peak_transmission_margin"} <= set(own)


def test_a_peak_that_is_too_much_misses_a_limit() -> None:
    problem = study(f"  p: {push(knee=400.0)}\n")
    missed = problem.score(problem.baseline[None]).violations[0]
    names = [one.name for one in problem.limits]
    assert missed[names.index("peak_transmission_margin")] > 0.5
    assert missed[names.index("peak_torque_margin")] > 0.0


def test_what_a_peak_lacks_is_told_at_its_line() -> None:
    with pytest.raises(StudyError, match=r"peaks\.p\.time: got nothing") as caught:
        study("  p: {kind: stand_up, after: jog, knee_flexion: 100 deg}\n")
    wheres = [problem.where for problem in caught.value.problems]
    assert {"peaks.p.after", "peaks.p.share", "peaks.p.knee_speed"} <= set(wheres)


def test_transmissions_that_need_more_of_a_gait_are_refused() -> None:
    class Odd:
        name = "transmission duty (odd)"
        needs = (q.DRIVE_TORQUE, q.FRICTION_USE)
        gives = ()

        def compute(self, values: object) -> dict[str, Array]:
            raise AssertionError(values)

    with pytest.raises(ChainError, match=r"odd.* in peaks: got a need of friction_use"):
        InPeaks(Odd())
