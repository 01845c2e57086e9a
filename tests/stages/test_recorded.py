"""Recorded gaits inside a study: the same walk laid out, recorded, and recorded in part."""

import re

import numpy as np
import pytest

from tests.oracles.gait_log import log_table, phase_table
from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.errors import StudyError
from tradeopt.physics.walking.frame import Frame
from tradeopt.physics.walking.gait import WalkingGait
from tradeopt.physics.walking.pattern import walk
from tradeopt.physics.walking.stride import Stride
from tradeopt.report.sheet import design_sheet
from tradeopt.study.compiled import Evaluation
from tradeopt.study.read import load, loads
from tradeopt.study.study import Study

EXAMPLE = load("levee_rounds")
STEADY = 0
ROLLING = EXAMPLE.text.replace("toe_off_angle: 0 deg", "toe_off_angle: 20 deg")


def baseline(study: Study) -> Evaluation:
    return study.problem.evaluate(study.problem.baseline[None])


def angle_columns(found: Evaluation) -> dict[str, Array]:
    angle = found.values["joint_angle"][0, :, STEADY]
    return {f"{joint}_angle [rad]": angle[k] for k, joint in enumerate(q.JOINTS)}


def with_motion(text: str, content: str, *, sole: str = "flat", more: str = "") -> Study:
    """Return the example with its laid-out walk followed from a recording."""
    gait = (
        f"steady: {{kind: recorded_motion, stride: steady.csv, stride_time: 1.5 s, "
        f"double_support: 25 %, slope: 0 deg, harmonics: 50, torso_harmonics: 50, "
        f"torso: over_flat_foot, support: by_rule, sole: {sole}, spread_allowed: 3 deg, "
        f"payload: {{mass: 0 kg, x: 0 mm, z: 250 mm}}}}"
    )
    changed, count = re.subn(r"steady: \{kind: pattern, .*\}", gait, text)
    assert count == 1
    return loads(changed + more, dict(EXAMPLE.files) | {"steady.csv": content})


@pytest.mark.parametrize(("text", "sole"), [(EXAMPLE.text, "flat"), (ROLLING, "rolling")])
def test_a_followed_walk_costs_what_the_walk_costs(text: str, sole: str) -> None:
    """Twin: the whole chain for a laid-out walk, and for a recording of its joint angles."""
    walked = baseline(loads(text, EXAMPLE.files))
    followed = baseline(with_motion(text, phase_table(angle_columns(walked)), sole=sole))
    for name in ("joint_torque", "mean_power", "walking_speed", "ground_load_margin"):
        gait = (0, slice(None), STEADY) if name == "joint_torque" else (0, STEADY)
        one, two = (found.values[name][gait] for found in (walked, followed))
        np.testing.assert_allclose(two, one, rtol=1e-4, atol=1e-3, err_msg=name)
    assert followed.values["range"][0] == pytest.approx(walked.values["range"][0], rel=1e-4)
    assert followed.values["recorded_strides"][0].tolist() == [1.0, 1.0, 0.0]
    assert followed.values["scaled_torque"][0].tolist() == [0.0, 1.0, 0.0]


def walked_stride(found: Evaluation) -> Stride:
    """Lay the rolling walk of the example out once more, for what the chain does not tell."""
    v = {name: array[0] for name, array in found.values.items()}
    lengths = ("thigh_length", "shank_length", "ankle_height", "hip_spacing")
    soles = ("foot_length", "foot_width", "heel_length")
    frame = Frame(*(float(v[name]) for name in (*lengths, *soles)))
    gait = WalkingGait(
        speed=0.5,
        step_time=0.75,
        double_support=0.25,
        knee_flexion_min=np.radians(15.0),
        foot_clearance=0.05,
        step_width=0.16,
        toe_off_angle=np.radians(20.0),
        body_lean=np.radians(2.0),
        gravity=9.81,
    )
    return walk(frame, gait, v["reference_inertia"], q.PHASES)


@pytest.mark.parametrize(
    ("torso", "support", "late", "bound"),
    [
        ("attitude", "by_rule", 0, 1e-5),
        ("motion", "by_rule", 0, 1e-5),
        # a twentieth of the peak is taken off the load: it begins later, and the shares differ
        ("motion", "foot_load", 2, 0.05),
    ],
)
def test_recorded_torso_and_loads_are_followed(
    torso: str, support: str, late: int, bound: float
) -> None:
    walked = baseline(loads(ROLLING, EXAMPLE.files))
    stride = walked_stride(walked)
    columns = angle_columns(walked) | {
        "torso_roll [deg]": np.zeros(q.PHASES),
        "torso_pitch [deg]": np.full(q.PHASES, 2.0),
        "torso_yaw [deg]": np.full(q.PHASES, 40.0),
        "torso_x [mm]": 1e3 * stride.base_position[0] + 50.0,
        "torso_y [mm]": 1e3 * stride.base_position[1],
        "torso_z [mm]": 1e3 * stride.base_position[2],
        "foot_load [N]": 780.0 * stride.load_share,
    }
    study = with_motion(ROLLING, phase_table(columns), sole="rolling")
    text = study.text.replace("over_flat_foot", torso).replace("by_rule", support)
    followed = baseline(loads(text, study.files))
    one, two = (found.values["joint_torque"][0, :, STEADY] for found in (walked, followed))
    error = np.sqrt(((np.roll(two, late, axis=1) - one) ** 2).mean(axis=1))
    # ankle roll has a peak of 6 N m only, which is no measure
    assert (error < bound * np.abs(one).max(axis=1))[:5].all(), error


def test_the_sheet_says_what_a_followed_gait_takes_for_granted() -> None:
    walked = baseline(EXAMPLE)
    columns = angle_columns(walked) | {
        f"torso_{turn} [deg]": np.zeros(q.PHASES) for turn in ("roll", "pitch", "yaw")
    }
    flat = with_motion(EXAMPLE.text, phase_table(columns))
    upright = loads(flat.text.replace("over_flat_foot", "attitude"), flat.files)
    notes = [
        next(
            one
            for one in design_sheet(study, baseline(study), study.problem.baseline[None]).notes
            if "steady" in one
        )
        for study in (flat, upright)
    ]
    assert "mirror images" in notes[0]
    assert "flat" in notes[0]
    assert "flat" not in notes[1]


def test_torques_of_a_followed_walk_feel_where_a_drive_sits() -> None:
    content = phase_table(angle_columns(baseline(EXAMPLE)))
    study = with_motion(EXAMPLE.text, content)
    column = [one.path for one in study.problem.variables].index("robot.drives.knee.mount.along")
    rows = np.repeat(study.problem.baseline[None], 2, axis=0)
    rows[:, column] = 0.05, 0.70
    values = study.problem.evaluate(rows).values
    hip = q.JOINTS.index("hip_pitch")
    swing = (values["joint_torque"][:, hip, STEADY] ** 2).mean(axis=-1)
    assert swing[1] > swing[0]
    brisk = 1
    np.testing.assert_array_equal(*values["joint_torque"][:, hip, brisk])


def test_two_recordings_do_not_mix() -> None:
    walked, rolled = (baseline(loads(text, EXAMPLE.files)) for text in (EXAMPLE.text, ROLLING))
    study = with_motion(EXAMPLE.text, phase_table(angle_columns(walked)))
    line = next(one for one in study.text.splitlines() if "steady.csv" in one)
    second = line.replace("steady:", "swift:").replace("steady.csv", "swift.csv")
    text = study.text.replace(line, f"{line}\n{second}").replace(
        "steady: {share: 60 %}", "steady: {share: 30 %}\n  swift: {share: 30 %}"
    )
    files = dict(study.files) | {"swift.csv": phase_table(angle_columns(rolled))}
    both = baseline(loads(text, files))
    alone = baseline(study)
    swift = both.gaits.index("swift")
    for name in ("joint_torque", "joint_angle"):
        np.testing.assert_allclose(
            both.values[name][0, :, STEADY], alone.values[name][0, :, STEADY], rtol=1e-9
        )
    different = both.values["joint_angle"][0, :, STEADY] - both.values["joint_angle"][0, :, swift]
    assert np.abs(different).max() > 0.05


def test_a_log_tells_its_strides_and_a_wide_spread_is_a_negative_margin() -> None:
    columns = angle_columns(baseline(EXAMPLE))
    noise = {"knee_angle [rad]": 0.08}
    content = log_table(columns, [1.5] * 12, noise=noise)
    study = with_motion(EXAMPLE.text, content)
    values = baseline(study).values
    knee, hip = q.JOINTS.index("knee"), q.JOINTS.index("hip_yaw")
    assert 10.0 <= values["recorded_strides"][0, STEADY] <= 12.0
    assert values["stride_spread"][0, knee, STEADY] == pytest.approx(0.08, rel=0.1)
    assert values["stride_spread_margin"][0, knee, STEADY] < 0.0
    assert values["stride_spread_margin"][0, hip, STEADY] > 0.9
    scores = study.problem.score(study.problem.baseline[None])
    assert np.isfinite(scores.violations).all()
    assert not scores.feasible[0]


def test_a_spread_can_be_a_limit_of_the_study() -> None:
    content = phase_table(angle_columns(baseline(EXAMPLE)))
    limited = EXAMPLE.text.replace("limits:", 'limits:\n  stride_spread.knee: "<= 2 deg"\n  # ')
    study = with_motion(limited, content)
    assert "stride_spread.knee" in [one.name for one in study.problem.limits]


def test_a_recording_without_what_its_words_ask_for_is_refused() -> None:
    content = phase_table(angle_columns(baseline(EXAMPLE)))
    study = with_motion(EXAMPLE.text, content)
    asked = study.text.replace("torso: over_flat_foot", "torso: attitude")
    with pytest.raises(StudyError, match=r"steady\.csv:1:1: .*torso_roll \[rad\]"):
        loads(asked, study.files)
    chosen = study.text.replace(
        "variables:", "variables:\n  gaits.steady.support: {choices: [by_rule, foot_load]}", 1
    )
    with pytest.raises(StudyError, match=r"steady\.csv:1:1: .*foot_load \[N\]"):
        loads(chosen, study.files)


def test_a_longer_leg_walks_faster_on_recorded_angles() -> None:
    content = phase_table(angle_columns(baseline(EXAMPLE)))
    short = with_motion(EXAMPLE.text, content)
    longer = loads(
        short.text.replace("thigh: 400 mm", "thigh: 420 mm").replace("shank: 400", "shank: 420"),
        short.files,
    )
    speeds = [baseline(one).values["walking_speed"][0, STEADY] for one in (short, longer)]
    assert speeds[1] == pytest.approx(1.05 * speeds[0], rel=1e-3)
