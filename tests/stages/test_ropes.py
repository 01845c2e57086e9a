"""A knee on ropes: what it holds, how it wears, and what it asks in the workshop."""

import math

import numpy as np
import pytest

from tests.stages.drivetrains import KNEE, ROPE, at_knee, with_knee_source
from tests.stages.studies import EXAMPLE
from tradeopt import quantities as q
from tradeopt.study.read import loads

SHEAVE = 0.036 * math.sqrt(20.0)


def peak_by_gait(name: str) -> list[float]:
    return [float(np.abs(one).max()) for one in at_knee(ROPE).values[name][0, KNEE]]


def test_strands_are_taut_and_strong_enough() -> None:
    values = at_knee(ROPE).values
    pull = 2.0 * max(peak_by_gait("drive_torque")) / SHEAVE
    assert values["pretension_margin"][0, KNEE] == pytest.approx(1.0 - pull / (2.0 * 1600.0))
    left = 1.0 - 4.0 * (1600.0 + pull / 2.0) / 13000.0
    assert values["transmission_torque_margin"][0, KNEE] == pytest.approx(left)


def test_a_friction_drive_holds_by_its_turns() -> None:
    values = at_knee(ROPE.replace("anchored", "friction")).values
    slip = math.exp(0.12 * 2.0 * math.pi * 6.0)
    held = 2.0 * 1600.0 * (slip - 1.0) / (slip + 1.0)
    pull = 2.0 * np.abs(values["drive_torque"][0, KNEE]).max() / SHEAVE
    assert values["pretension_margin"][0, KNEE] == pytest.approx(1.0 - pull / held)
    assert values["transmission_range_margin"][0, KNEE] == 1.0


def test_drum_and_sheave_have_room_for_the_rope() -> None:
    values = at_knee(ROPE).values
    angle = values["joint_angle"][0, KNEE]
    wound = 20.0 * (angle.max() - angle.min()) / (2.0 * math.pi)
    assert values["transmission_range_margin"][0, KNEE] == pytest.approx(1.0 - wound / 6.0)
    assert values["transmission_ratio_margin"][0, KNEE] == pytest.approx(1.0 - SHEAVE / 0.2)
    # drum of 36 mm, rope of 3 mm that asks for 11 times as much; wires of 0.15 mm at 200 GPa
    bent = max(11.0 * 3.0 / 36.0, 200e9 * 0.15 / 36.0 / 1.96e9)
    assert values["rope_bending_margin"][0, KNEE] == pytest.approx(1.0 - bent)


def test_every_wheel_costs_its_share() -> None:
    values = at_knee(ROPE).values
    torque, speed = values["drive_torque"][0, KNEE], values["joint_speed"][0, KNEE]
    through = 0.98**4  # two stages of two wheels
    lost = np.abs(torque * speed) * (1.0 / through - 1.0) + 0.03 * 20.0 * np.abs(speed)
    np.testing.assert_allclose(values["transmission_loss"][0, KNEE], lost.mean(axis=1))


def life_spent_by_distance() -> tuple[float, float]:
    """Bends and share of the life by metre, gait by gait, from the formulas of the trade."""
    values = at_knee(ROPE).values
    bends = worn = 0.0
    for gait, torque in enumerate(peak_by_gait("drive_torque")):
        angle = [float(one) for one in values["joint_angle"][0, KNEE, gait]]
        reach = max(angle) - min(angle)
        if reach < 1e-6:
            continue
        covered = sum(abs(b - a) for a, b in zip(angle, [*angle[1:], angle[0]], strict=True))
        seconds = values["gait_share"][0, gait] * values["round_time"][0]
        strides = seconds / values["stride_time"][0, gait]
        stress = math.log10((1600.0 + torque / SHEAVE) / 3.0**2)
        ratio = math.log10(36.0 / 3.0)
        strength = 0.4 * math.log10(1960.0 / 1770.0)
        lives = -1.0 + (1.29 - 2.313 * ratio) * (stress - strength) + 8.149 * ratio
        each = 2.0 * covered / (2.0 * reach) * strides / values["round_distance"][0]
        bends += each
        worn += each / 10.0**lives
    return bends, worn


def test_bends_and_wear_follow_the_mission() -> None:
    values = at_knee(ROPE).values
    bends, worn = life_spent_by_distance()
    assert values["rope_bends"][0, KNEE] == pytest.approx(bends, rel=1e-9)
    assert values["rope_wear"][0, KNEE] == pytest.approx(worn, rel=1e-9)
    others = [place for place in range(len(q.JOINTS)) if place != KNEE]
    assert (values["rope_wear"][0, others] == 0.0).all()


def test_retension_and_change_take_their_minutes() -> None:
    tasks = (
        "\nupkeep:\n"
        "  retension: {kind: by_bends, time: 6 min, every: 2e5}\n"
        "  rope_change: {kind: by_wear, time: 50 min, share: 60 %}\n"
    )
    text = with_knee_source(ROPE).replace("\nupkeep:\n", tasks, 1)
    problem = loads(text, EXAMPLE.files).problem
    evaluation = problem.evaluate(problem.baseline[None])
    times = dict(
        zip(evaluation.entries["task"], evaluation.values["task_time"][0].tolist(), strict=True)
    )
    bends, worn = life_spent_by_distance()
    # both legs, in 100 km
    assert times["retension"] == pytest.approx(2 * 100e3 * bends / 2e5 * 360.0, rel=1e-9)
    assert times["rope_change"] == pytest.approx(2 * 100e3 * worn / 0.6 * 3000.0, rel=1e-9)


@pytest.mark.parametrize(
    ("before", "after", "broken"),
    [
        ("pretension: 1600 N", "pretension: 300 N", "pretension_margin"),
        ("breaking_force: 13 kN", "breaking_force: 5 kN", "transmission_torque_margin"),
        ("drum_diameter: 36 mm", "drum_diameter: 25 mm", "rope_bending_margin"),
        ("wire_diameter: 0.15 mm", "wire_diameter: 0.5 mm", "rope_bending_margin"),
        ("largest_sheave: 200 mm", "largest_sheave: 120 mm", "transmission_ratio_margin"),
        ("turns: 6", "turns: 2", "transmission_range_margin"),
    ],
)
def test_a_bad_rope_has_a_negative_margin(before: str, after: str, broken: str) -> None:
    assert before in ROPE
    sound, bad = (
        at_knee(text).values[broken][0, KNEE] for text in (ROPE, ROPE.replace(before, after))
    )
    assert bad < 0.0 < sound


def test_one_stage_is_stiffer_and_needs_a_larger_sheave() -> None:
    one, two = (
        at_knee(ROPE.replace("rope_stages: 2", f"rope_stages: {count}")).values for count in (1, 2)
    )
    assert one["transmission_ratio_margin"][0, KNEE] < two["transmission_ratio_margin"][0, KNEE]
    assert one["transmission_stiffness"][0, KNEE] > two["transmission_stiffness"][0, KNEE]
    assert one["transmission_loss"][0, KNEE, 0] < two["transmission_loss"][0, KNEE, 0]
