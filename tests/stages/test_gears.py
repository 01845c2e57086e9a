"""A knee behind gears: the same physics as a constant ratio, with what each construction adds."""

import math
from collections.abc import Mapping

import numpy as np
import pytest

from tests.stages.drivetrains import (
    CONSTANT,
    CYCLOID,
    KNEE,
    PLANETARY,
    SPUR,
    STRAIN_WAVE,
    at_knee,
)

FIRST = 5.0 / math.sqrt(1.2)
"""Ratio of the first of two stages of 25 whose second is 1.2 times as high."""


PLANETARY_EFFICIENCY = math.prod((1.0 + 0.97 * (n - 1.0)) / n for n in (FIRST, 1.2 * FIRST))
KINDS = {
    "spur": (SPUR, 25.0, 0.97**2),
    "planetary": (PLANETARY, 25.0, PLANETARY_EFFICIENCY),
    "strain_wave": (STRAIN_WAVE, 50.0, 0.75),
    "cycloid": (CYCLOID, 25.0, 0.80),
}


def knee_of(values: Mapping[str, np.ndarray], name: str) -> float:
    return float(values[name][0, KNEE])


@pytest.mark.parametrize("kind", KINDS)
def test_loss_speed_and_backdriving_are_those_of_a_ratio(kind: str) -> None:
    text, ratio, efficiency = KINDS[kind]
    values = at_knee(text).values
    torque, speed = values["drive_torque"][0, KNEE], values["joint_speed"][0, KNEE]
    lost = np.abs(torque * speed) * (1.0 / efficiency - 1.0) + 0.03 * ratio * np.abs(speed)
    np.testing.assert_allclose(values["transmission_loss"][0, KNEE], lost.mean(axis=1))
    np.testing.assert_allclose(values["motor_speed"][0, KNEE], ratio * speed)
    assert knee_of(values, "transmission_efficiency") == pytest.approx(efficiency)
    assert knee_of(values, "backdriving_efficiency") == pytest.approx(2.0 - 1.0 / efficiency)
    torque_back = 0.03 * ratio / (2.0 - 1.0 / efficiency)
    assert values["backdriving_torque"][0, KNEE] == pytest.approx(torque_back)
    np.testing.assert_allclose(values["swing_ratio"][0, KNEE], ratio)


def test_own_inertia_of_the_stages_turns_with_the_motor() -> None:
    first, second = FIRST, 1.2 * FIRST
    spur = 2e-7 * (1.0 + first**2 + (1.0 + second**2) / first**2)
    planetary = 2e-7 * (
        1.0 + 9.0 / 16.0 * (first - 2.0) ** 2 + (1.0 + 9.0 / 16.0 * (second - 2.0) ** 2) / first**2
    )
    for text, own in ((SPUR, spur), (PLANETARY, planetary), (CYCLOID, 0.0)):
        values = at_knee(text).values
        expected = (values["rotor_inertia"][0, KNEE] + 1e-5 + own) * 25.0**2
        assert values["reflected_inertia"][0, KNEE] == pytest.approx(expected)


def test_stages_weigh_by_the_torque_that_they_carry() -> None:
    first, second = FIRST, 1.2 * FIRST
    torques = 180.0 / 25.0, 180.0 / second  # at the pinion, or sun, of each stage
    spur = sum(t * (1.0 + n**2) for t, n in zip(torques, (first, second), strict=True))
    planetary = sum(
        t * (1.0 / 3.0 + (n - 2.0) ** 2 / 4.0)
        for t, n in zip(torques, (first, second), strict=True)
    )
    for text, wheels in ((SPUR, 0.0013 * spur), (PLANETARY, 0.013 * planetary)):
        mass = at_knee(text).values["transmission_mass"][0, KNEE]
        assert mass == pytest.approx(2 * 0.2 + wheels)
    single = at_knee(CYCLOID).values["transmission_mass"][0, KNEE]
    assert single == pytest.approx(0.3 + 0.007 * 180.0)


def test_a_ratio_that_cannot_be_made_is_a_negative_margin() -> None:
    for text, before, after in (
        (SPUR, "largest_stage_ratio: 8", "largest_stage_ratio: 5"),
        (PLANETARY, "least_stage_ratio: 3", "least_stage_ratio: 5"),
        (STRAIN_WAVE, "ratio: 50", "ratio: 25"),
        (CYCLOID, "ratio: 25", "ratio: 90"),
    ):
        assert text.count(before)
        sound, bad = (
            at_knee(one).values["transmission_ratio_margin"][0, KNEE]
            for one in (text, text.replace(before, after, 1))
        )
        assert bad < 0.0 < sound


def test_a_wide_gear_takes_room_beside_a_slim_motor() -> None:
    slim, wide = (
        at_knee(PLANETARY.replace("diameter: 90", f"diameter: {size}")).values["drive_size"]
        for size in (20, 170)
    )
    # the drive's axis is y: it is round in x and z
    np.testing.assert_allclose(wide[0, KNEE, [0, 2]], 0.170)
    plain = at_knee(CONSTANT).values
    np.testing.assert_allclose(slim[0, KNEE, [0, 2]], plain["motor_diameter"][0, KNEE])
