"""Recorded gaits inside a study: the same walk laid out, recorded, and recorded in part."""

import re

import numpy as np
import pytest

from tests.oracles.gait_log import log_table, phase_table
from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.errors import StudyError
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
        f"torso: over_flat_foot, support: by_rule, sole: {sole}, spread_allowed: 3 deg}}"
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
