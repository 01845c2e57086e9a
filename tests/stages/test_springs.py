"""Springs at the ankle: the best of them, behind a clutch, in series, and of a given size."""

from functools import cache
from math import pi, sqrt

import numpy as np
import pytest

from tests.stages.studies import EXAMPLE
from tradeopt import quantities as q
from tradeopt.study.compiled import Evaluation
from tradeopt.study.read import loads

ANKLE = q.JOINTS.index("ankle_pitch")
_SIZE = "energy_per_volume: 1.5 MJ/m^3, density: 7850 kg/m^3, mount_factor: 1.6, maturity: new"
_MATERIAL = "material: steel-spring-tempered, safety_factor: 1.5, mount_factor: 1.6, maturity: new"
NONE = "none"
TWO_WAY = f"{{kind: two_way, stiffness: 60 N*m/rad, rest_angle: 10 deg, travel: 50 deg, {_SIZE}}}"
ONE_SIDED = (
    "{kind: one_sided, stiffness: 60 N*m/rad, engagement_angle: -5 deg, wound_by: flexing, "
    f"travel: 50 deg, {_SIZE}}}"
)
BEST = f"{{kind: best, energy: 30 J, form: bent_round, {_MATERIAL}}}"
BEST_ONE_SIDED = (
    f"{{kind: best_one_sided, wound_by: flexing, energy: 30 J, form: twisted, {_MATERIAL}}}"
)
CLUTCHED = (
    "{kind: clutched, engaged_at: 10 %, held_for: 45 %, clutch_mass: 120 g, "
    f"clutch_torque: 60 N*m, stiffness: 80 N*m/rad, travel: 50 deg, {_SIZE}}}"
)
SERIES = f"{{kind: series, series_stiffness: 1500 N*m/rad, series_travel: 8 deg, {_SIZE}}}"
COIL = "wire_diameter: 6 mm, coil_diameter: 40 mm, coils: 4"
TORSION = f"{{kind: torsion, {COIL}, acts: both_ways, rest_angle: 5 deg, {_MATERIAL}}}"
ON_LEVER = (
    f"{{kind: compression_on_lever, {COIL}, coil_gap: 4 mm, lever: 45 mm, acts: flexing, "
    f"rest_angle: 0 deg, {_MATERIAL}}}"
)
LEAF = (
    "{kind: leaf, length: 200 mm, width: 35 mm, thickness: 3 mm, leaves: 2, lever: 40 mm, "
    f"acts: extending, rest_angle: -10 deg, {_MATERIAL}}}"
)


@cache
def with_spring(spring: str) -> Evaluation:
    """The baseline of the example with this spring at the ankle."""
    start = EXAMPLE.text.index("    ankle_pitch:\n")
    first = EXAMPLE.text.index("spring: {", start)
    line = EXAMPLE.text.index("\n", first)
    text = EXAMPLE.text[:first] + f"spring: {spring}" + EXAMPLE.text[line:]
    kept = [
        one for one in text.split("\n") if not one.startswith("  robot.drives.ankle_pitch.spring")
    ]
    problem = loads("\n".join(kept), EXAMPLE.files).problem
    return problem.evaluate(problem.baseline[None])


def ankle(spring: str, name: str) -> np.ndarray:
    return np.asarray(with_spring(spring).values[name][0, ANKLE])


def left(found: dict[str, np.ndarray], given: np.ndarray) -> float:
    """Mean square of what a spring torque leaves, by the mission's shares of time."""
    rest = np.square(found["torque"] - given).mean(axis=1)
    return float((found["share"] * rest).sum())


def loads_of(spring: str) -> dict[str, np.ndarray]:
    return {
        "torque": ankle(spring, "joint_torque"),
        "angle": ankle(spring, "joint_angle"),
        "share": np.asarray(with_spring(spring).values["gait_share"][0]),
    }


def test_no_two_way_spring_spares_more_than_the_best() -> None:
    found = loads_of(BEST)
    rate, rest = float(ankle(BEST, "spring_stiffness")), float(ankle(BEST, "spring_rest_angle"))
    best = left(found, ankle(BEST, "spring_torque"))
    assert best == pytest.approx(left(found, -rate * (found["angle"] - rest)))
    for stiffer in (0.5, 0.9, 0.99, 1.01, 1.1, 2.0):
        for turn in (-0.2, -0.01, 0.0, 0.01, 0.2):
            assert best < left(found, -stiffer * rate * (found["angle"] - rest - turn))
    assert best < 0.98 * left(found, np.zeros_like(found["angle"]))


def test_no_one_sided_spring_spares_more_than_the_best() -> None:
    found = loads_of(BEST_ONE_SIDED)
    rate = float(ankle(BEST_ONE_SIDED, "spring_stiffness"))
    touch = float(ankle(BEST_ONE_SIDED, "spring_rest_angle"))
    best = left(found, ankle(BEST_ONE_SIDED, "spring_torque"))
    for stiffness in np.linspace(0.0, 3.0 * rate, 40):
        for engagement in touch + np.linspace(-0.3, 0.3, 61):
            # a spring that flexing winds is pressed at angles below its touch
            given = -stiffness * np.minimum(found["angle"] - engagement, 0.0)
            assert best <= left(found, given) * (1 + 1e-9)


def test_the_best_spring_asks_for_the_energy_that_it_holds() -> None:
    rate, rest = float(ankle(BEST, "spring_stiffness")), float(ankle(BEST, "spring_rest_angle"))
    wound = np.abs(ankle(BEST, "joint_angle") - rest).max()
    margin = 1.0 - sqrt(rate * wound**2 / 2.0 / 30.0)
    assert ankle(BEST, "spring_travel_margin") == pytest.approx(margin)
    # round wire bent: an eighth of sigma^2/E; twisted: a quarter of tau^2/G at sigma/sqrt 3
    stress = 1400e6 / 1.5
    bent, twisted = stress**2 / 206e9 / 8.0, stress**2 / 3.0 / 79.3e9 / 4.0
    for spring, held in ((BEST, bent), (BEST_ONE_SIDED, twisted)):
        assert ankle(spring, "spring_mass") == pytest.approx(1.6 * 7850.0 * 30.0 / held)


def test_a_clutch_holds_over_its_part_of_the_stride() -> None:
    angle, torque = ankle(CLUTCHED, "joint_angle"), ankle(CLUTCHED, "spring_torque")
    phase = np.arange(q.PHASES) / q.PHASES
    held = (phase >= 0.1) & (phase < 0.55)
    expected = np.where(held, -80.0 * (angle - angle[:, 10:11]), 0.0)
    np.testing.assert_allclose(torque, expected, atol=1e-9)
    largest = np.abs(torque).max()
    margin = min(1.0 - largest / 80.0 / np.radians(50.0), 1.0 - largest / 60.0)
    assert ankle(CLUTCHED, "spring_travel_margin") == pytest.approx(margin)
    plain = 1.6 * 7850.0 * 80.0 * np.radians(50.0) ** 2 / 2.0 / 1.5e6
    assert ankle(CLUTCHED, "spring_mass") == pytest.approx(plain + 0.120)


def test_what_a_clutch_lets_go_is_lost() -> None:
    """The spring takes what it holds at the end of its part of the stride."""
    values = with_spring(CLUTCHED).values
    steady = 0
    angle = ankle(CLUTCHED, "joint_angle")[steady]
    taken = -(ankle(CLUTCHED, "spring_torque") * ankle(CLUTCHED, "joint_speed"))[steady].mean()
    turned = np.interp(0.55, np.arange(q.PHASES) / q.PHASES, angle) - angle[10]
    lost = 80.0 * turned**2 / 2.0 / values["stride_time"][0, steady]
    assert taken == pytest.approx(lost, abs=0.05 * 80.0 * np.ptp(angle) ** 2)
    assert taken > 0.0


def test_a_series_spring_has_its_motor_wind_it() -> None:
    speed, torque = ankle(SERIES, "joint_speed"), ankle(SERIES, "drive_torque")
    np.testing.assert_array_equal(torque, ankle(SERIES, "joint_torque"))
    stride = with_spring(SERIES).values["stride_time"][0, :, None]
    steady = 0
    wind = torque / 1500.0
    rate = (np.roll(wind, -1, axis=1) - np.roll(wind, 1, axis=1)) * q.PHASES / (2.0 * stride)
    moved = ankle(SERIES, "motor_speed") / 30.0 - speed
    # a difference over two phases has what is smooth within some percent of its peak
    away = np.abs(moved - rate)[steady]
    assert np.median(away) < 0.05 * np.abs(rate[steady]).max()
    assert np.corrcoef(moved[steady], rate[steady])[0, 1] > 0.95
    travel = 1.0 - np.abs(wind).max() / np.radians(8.0)
    assert ankle(SERIES, "spring_travel_margin") == pytest.approx(travel)


def test_a_series_spring_takes_nothing_over_a_stride() -> None:
    values = with_spring(SERIES).values
    joint = (values["drive_torque"] * values["joint_speed"]).mean(axis=-1)
    losses = values["copper_loss"] + values["iron_loss"].mean(axis=-1)
    drawn = joint + losses + values["transmission_loss"] + values["drive_loss"]
    np.testing.assert_allclose(values["drive_power"], drawn, rtol=1e-9, atol=1e-6)


def test_a_stiff_series_spring_is_as_good_as_none() -> None:
    light = SERIES.replace("1500 N*m/rad", "1e9 N*m/rad").replace("8 deg", "1e-6 deg")
    for name in ("motor_torque", "motor_speed", "transmission_loss"):
        np.testing.assert_allclose(ankle(light, name), ankle(NONE, name), rtol=1e-3, atol=1e-3)


def deflection(spring: str) -> np.ndarray:
    angle = ankle(spring, "joint_angle")
    turned = {
        TORSION: angle - np.radians(5.0),
        ON_LEVER: np.minimum(angle, 0.0),
        LEAF: np.maximum(angle + np.radians(10.0), 0.0),
    }
    return np.asarray(turned[spring])


RATES = {
    TORSION: 206e9 * 0.006**4 / (64.0 * 0.040 * 4.0),
    ON_LEVER: 79.3e9 * 0.006**4 / (8.0 * 0.040**3 * 4.0) * 0.045**2,
    LEAF: 2.0 * 206e9 * 0.035 * 0.003**3 / (4.0 * 0.2**3) * 0.040**2,
}
MASSES = {
    TORSION: 7850.0 * pi * 0.040 * 4.0 * pi * 0.006**2 / 4.0,
    ON_LEVER: 7850.0 * pi * 0.040 * 4.0 * pi * 0.006**2 / 4.0,
    LEAF: 7850.0 * 2.0 * 0.2 * 0.035 * 0.003,
}


@pytest.mark.parametrize("spring", RATES, ids=["torsion", "on_lever", "leaf"])
def test_a_spring_of_a_size_has_its_stiffness_and_mass(spring: str) -> None:
    assert ankle(spring, "spring_stiffness") == pytest.approx(RATES[spring])
    np.testing.assert_allclose(
        ankle(spring, "spring_torque"), -RATES[spring] * deflection(spring), atol=1e-9
    )
    assert ankle(spring, "spring_mass") == pytest.approx(1.6 * MASSES[spring])


@pytest.mark.parametrize("spring", RATES, ids=["torsion", "on_lever", "leaf"])
def test_a_spring_of_a_size_has_its_stress(spring: str) -> None:
    largest = np.abs(deflection(spring)).max()
    index = 40.0 / 6.0
    inner = (4 * index**2 - index - 1) / (4 * index * (index - 1))
    wahl = (4 * index - 1) / (4 * index - 4) + 0.615 / index
    torque = RATES[spring] * largest
    used = {
        TORSION: inner * 32.0 * torque / (pi * 0.006**3) / 1400e6,
        ON_LEVER: wahl * 8.0 * (torque / 0.045) * 0.040 / (pi * 0.006**3) * sqrt(3.0) / 1400e6,
        LEAF: 6.0 * (torque / 0.040 / 2.0) * 0.2 / (0.035 * 0.003**2) / 1400e6,
    }
    assert ankle(spring, "spring_stress_margin") == pytest.approx(1.0 - 1.5 * used[spring])
    if spring == ON_LEVER:
        room = 1.0 - 0.045 * largest / (4.0 * 0.004)
        assert ankle(spring, "spring_travel_margin") == pytest.approx(room)


def test_coils_that_push_both_ways_come_in_pairs() -> None:
    pair = ON_LEVER.replace("acts: flexing", "acts: both_ways")
    assert ankle(pair, "spring_mass") == pytest.approx(2.0 * ankle(ON_LEVER, "spring_mass"))
