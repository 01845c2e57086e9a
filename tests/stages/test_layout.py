"""Layout in the chain: what fits beside what, and how near the legs come."""

from collections.abc import Callable

import numpy as np
import pytest

from tradeopt import quantities as q
from tradeopt.study.compiled import Evaluation
from tradeopt.study.read import load, loads

Vary = Callable[[str, list[float]], Evaluation]
HIP_ROLL, PITCH, ROLL = (
    q.JOINTS.index(name) for name in ("hip_roll", "ankle_pitch", "ankle_roll")
)
STEADY, STANDING = 0, 2
MARGINS = (
    "drive_gap_margin",
    "hip_gap_margin",
    "shank_width_margin",
    "knee_gap_margin",
    "leg_clearance_margin",
)


def baseline_of(*changes: tuple[str, str]) -> dict[str, np.ndarray]:
    study = load("levee_rounds")
    text = study.text
    for before, after in changes:
        assert before in text
        text = text.replace(before, after)
    problem = loads(text, study.files).problem
    return dict(problem.evaluate(problem.baseline[None]).values)


def test_standing_upright_the_gaps_are_plain_sums() -> None:
    """Hips and feet 180 mm apart, legs upright; sizes as the example gives them."""
    v = baseline_of()
    # knee drive: housing of 34 mm per 16 mm stack, 22 mm of stack, and 30 mm of transmission
    drive = 34.0 / 16.0 * 22.0 + 30.0
    assert v["drive_size"][0, q.JOINTS.index("knee"), 1] == pytest.approx(drive * 1e-3)
    assert v["knee_gap"][0, STANDING] == pytest.approx((180.0 - drive) * 1e-3, abs=1e-9)
    # feet of 100 mm
    assert v["leg_clearance"][0, STANDING] == pytest.approx(0.080, abs=1e-9)
    # hip bodies of 110 mm at 180 mm; the hip pitch drives, 68.25 mm long, 85 mm outside the hips
    assert v["hip_gap"][0] == pytest.approx(0.070, abs=1e-9)
    outside = 34.0 / 16.0 * 18.0 + 30.0
    assert v["hip_width"][0] == pytest.approx((180.0 + 2 * 85.0 + outside) * 1e-3, abs=1e-9)


def test_nested_ankle_drives_narrow_the_shank(vary: Vary) -> None:
    nested, beside = 0, 1
    v = vary("robot.layout.ankle_drives", [nested, beside]).values
    size, place = v["drive_size"][:, [PITCH, ROLL]], v["drive_position"][:, [PITCH, ROLL]]
    assert v["shank_width"][nested] < v["shank_width"][beside]
    assert v["shank_width"][beside] == pytest.approx(size[beside, :, 1].sum() + 0.005)
    # one below the other, or one beside the other, with the clearance of 5 mm between
    below = np.abs(np.diff(place[nested], axis=0))[0]
    across = np.abs(np.diff(place[beside], axis=0))[0]
    assert below == pytest.approx([0.0, 0.0, size[nested, :, 2].mean() + 0.005])
    assert across == pytest.approx([0.0, size[beside, :, 1].mean() + 0.005, 0.0])
    # where the feet are what comes closest, the sway that follows the masses moves them a little
    assert (v["leg_clearance"][nested] >= v["leg_clearance"][beside] - 1e-4).all()
    assert v["total_mass"][nested] == v["total_mass"][beside]
    # the lower roll drive makes the swinging shank heavier about the knee
    shank = q.BODIES.index("shank")
    assert v["inertia"][nested, shank, 6] > v["inertia"][beside, shank, 6]


def test_as_mounted_every_drive_stays_at_its_mount() -> None:
    v = baseline_of(
        ("ankle_drives: nested", "ankle_drives: as_mounted"),
        ("choices: [nested, side_by_side]", "choices: [nested, as_mounted]"),
    )
    np.testing.assert_array_equal(v["drive_position"], v["mount_position"])
    np.testing.assert_array_equal(v["drive_body"], v["mount_body"])


def test_narrower_hips_ask_less_roll_torque_and_leave_less_room() -> None:
    found = [
        baseline_of(
            ("hip_spacing: 180 mm", f"hip_spacing: {spacing} mm"),
            # the yaw drive stays above its hip
            (
                "offset: {x: 0 mm, y: 90 mm, z: 90 mm}",
                f"offset: {{x: 0 mm, y: {spacing / 2} mm, z: 90 mm}}",
            ),
        )
        for spacing in (200, 180, 160)
    ]
    roll = [np.abs(v["joint_torque"][0, HIP_ROLL, STEADY]) for v in found]
    assert (np.diff([one.max() for one in roll]) < 0.0).all()
    assert (np.diff([np.sqrt(np.mean(one**2)) for one in roll]) < 0.0).all()
    assert np.diff([v["hip_gap"][0] for v in found]) == pytest.approx([-0.02, -0.02])
    assert (np.diff([v["knee_gap"][0, STEADY] for v in found]) < 0.0).all()


def test_narrower_steps_bring_the_swinging_leg_closer() -> None:
    found = [
        baseline_of(("step_width: 160 mm", f"step_width: {width} mm")) for width in (160, 120, 80)
    ]
    clearance = np.array([v["leg_clearance"][0, STEADY] for v in found])
    assert (np.diff(clearance) < 0.0).all()
    # soles of 100 mm cannot pass each other 80 mm apart: 50 mm of lift do not clear them
    assert found[2]["leg_clearance_margin"][0, STEADY] < 0.0


def test_a_longer_knee_motor_closes_the_knee_gap(vary: Vary) -> None:
    v = vary("robot.drives.knee.motor.stack_length", [0.012, 0.022, 0.032]).values
    assert (np.diff(v["knee_gap"][:, STANDING]) < 0.0).all()


def test_a_knee_drive_sits_wider_where_the_hips_are_wider() -> None:
    narrow = ("step_width: 180 mm", "step_width: 120 mm")
    slim = ("outer_diameter: 70 mm", "outer_diameter: 50 mm")
    high, low = (
        baseline_of(narrow, slim, ("body: thigh, along: 25 %", f"body: thigh, along: {place} %"))
        for place in (10, 60)
    )
    assert high["knee_gap"][0, STANDING] > low["knee_gap"][0, STANDING]


def test_drives_in_one_place_are_a_negative_margin() -> None:
    v = baseline_of(
        ("offset: {x: 0 mm, y: 85 mm, z: 0 mm}", "offset: {x: -90 mm, y: 0 mm, z: 0 mm}")
    )
    assert v["drive_gap"][0] < 0.0
    assert v["drive_gap_margin"][0] < 0.0


def test_margins_are_gaps_less_what_is_asked(evaluation: Evaluation) -> None:
    v = evaluation.values
    for name in ("drive_gap", "hip_gap", "knee_gap", "leg_clearance"):
        np.testing.assert_allclose(v[f"{name}_margin"], (v[name] - 0.005) / 0.180, atol=1e-12)
    np.testing.assert_allclose(v["shank_width_margin"], 1.0 - v["shank_width"] / 0.180)


@pytest.mark.parametrize("name", MARGINS)
def test_the_search_has_designs_on_either_side_or_close(evaluation: Evaluation, name: str) -> None:
    assert evaluation.values[name].min() < 0.6
    assert evaluation.values[name].max() > 0.0


def test_designs_that_move_alike_and_those_that_do_not_agree() -> None:
    """A batch whose frame varies gives each row what it gets alone."""
    study = load("levee_rounds")
    text = study.text.replace(
        "variables:\n", "variables:\n  robot.frame.hip_spacing: {from: 150 mm, to: 210 mm}\n"
    )
    problem = loads(text, study.files).problem
    column = [one.path for one in problem.variables].index("robot.frame.hip_spacing")
    rows = np.repeat(problem.baseline[None], 3, axis=0)
    rows[:, column] = [0.18, 0.16, 0.18]
    many = problem.evaluate(rows).values
    for row in range(3):
        alone = problem.evaluate(rows[row : row + 1]).values
        for name in ("knee_gap", "leg_clearance", "hip_gap"):
            np.testing.assert_allclose(alone[name][0], many[name][row], rtol=1e-12)
