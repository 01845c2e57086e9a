"""Recorded gaits read from CSV: one stride or a log of many, one leg or both."""

import numpy as np
import pytest

from tests.oracles.gait_log import angle_columns, log_table, phase_table
from tests.oracles.robot import FRAME, INERTIA
from tradeopt.arrays import Array
from tradeopt.chain.kind import File
from tradeopt.errors import Problem, StudyError
from tradeopt.physics.walking.gait import WalkingGait
from tradeopt.physics.walking.pattern import walk
from tradeopt.quantities import JOINTS, PHASES
from tradeopt.stages.recorded import RECORDED
from tradeopt.stages.recorded_motion import RECORDED_MOTION
from tradeopt.study.stride import read_stride
from tradeopt.study.text import read
from tradeopt.study.told import Told

GAIT = WalkingGait(0.8, 0.6, 0.25, 0.25, 0.05, 0.18, toe_off_angle=0.4, gravity=9.81)
WALK = walk(FRAME, GAIT, INERTIA, PHASES)
ANGLES = angle_columns(WALK)
LENGTHS = (1.2 + 0.024 * np.random.default_rng(7).normal(size=22)).tolist()
NOISE = dict.fromkeys(
    [*ANGLES, *angle_columns(WALK, "left_"), *angle_columns(WALK, "right_")], 5e-3
)


def leaf_of(kind) -> File:
    return next(one for one in kind.parameters if isinstance(one, File))


def told(torso: str = "over_flat_foot", support: str = "by_rule", **numbers: float) -> Told:
    words = {"torso": frozenset({torso}), "support": frozenset({support})}
    return Told(numbers, words, {}, "gaits.walk", read("{}", file="study"))


def motion(content: str, beside: Told | None = None) -> dict[str, Array]:
    return read_stride(content, "walk.csv", leaf_of(RECORDED_MOTION), beside or told())


def angles_of(found: dict[str, Array]) -> Array:
    return np.stack([found[f"{joint}_angle"] for joint in JOINTS])


def aligned_error(found: Array) -> Array:
    """Rms error by joint [rad] where the recording fits best: it may start at any phase."""
    spectrum = np.fft.rfft(found, axis=1)
    order = np.arange(spectrum.shape[1])
    errors = [
        np.fft.irfft(spectrum * np.exp(2j * np.pi * order * start), n=PHASES, axis=1)
        - WALK.joint_angle
        for start in np.linspace(0.0, 1.0, 10 * PHASES, endpoint=False)
    ]
    return min(
        (np.sqrt((one**2).mean(axis=1)) for one in errors), key=lambda one: float(one.sum())
    )


def problems_of(content: str, beside: Told | None = None) -> tuple[Problem, ...]:
    with pytest.raises(StudyError, match=r"walk\.csv:\d+:\d+: ") as caught:
        motion(content, beside)
    return caught.value.problems


def test_one_stride_over_phase_comes_back() -> None:
    found = motion(phase_table(ANGLES))
    np.testing.assert_allclose(angles_of(found), WALK.joint_angle, atol=1e-8)
    assert (float(found["strides"]), found["spread"].tolist()) == (1.0, [0.0] * 6)
    assert np.isnan(found["foot_load"]).all()


def test_both_legs_over_phase_are_one_mirrored_half_a_stride_later() -> None:
    found = motion(phase_table(angle_columns(WALK, "left_") | angle_columns(WALK, "right_")))
    np.testing.assert_allclose(angles_of(found), WALK.joint_angle, atol=1e-4)
    assert float(found["strides"]) == 2.0
    assert found["spread"].max() < 1e-4


def test_legs_that_differ_have_a_spread() -> None:
    columns = angle_columns(WALK, "left_") | angle_columns(WALK, "right_")
    columns["right_knee_angle [rad]"] = columns["right_knee_angle [rad]"] - 0.1
    found = motion(phase_table(columns))
    # two strides 0.1 rad apart: the deviation of a sample of two is 0.1 / sqrt(2)
    assert found["spread"][3] == pytest.approx(0.1 / np.sqrt(2), rel=1e-3)


def test_a_log_of_noisy_strides_gives_the_stride_back() -> None:
    """22 strides of 1.2 s +- 2 %, 0.29 deg of noise a sample at 100 Hz.

    Noise alone leaves 0.29 / sqrt(21) = 0.06 deg, and that is what is found: 0.054 to 0.078 deg.
    """
    found = motion(log_table(ANGLES, LENGTHS, noise=NOISE, lead=0.4))
    assert np.degrees(aligned_error(angles_of(found))).max() < 0.15
    assert 19 <= float(found["strides"]) <= 21
    assert (found["spread"] > 0.9 * 5e-3).all()
    assert (found["spread"] < 0.03).all()


def test_more_strides_make_a_smaller_error() -> None:
    errors = [
        aligned_error(angles_of(motion(log_table(ANGLES, [1.2] * count, noise=NOISE)))).mean()
        for count in (5, 60)
    ]
    assert errors[1] < 0.5 * errors[0]


def test_a_log_of_both_legs_has_twice_the_strides() -> None:
    columns = angle_columns(WALK, "left_") | angle_columns(WALK, "right_")
    found = motion(log_table(columns, LENGTHS, noise=NOISE))
    assert np.degrees(aligned_error(angles_of(found))).max() < 0.15
    assert float(found["strides"]) >= 40


def test_a_log_with_foot_load_is_cut_where_the_foot_strikes() -> None:
    load = 790.0 * WALK.load_share
    columns = ANGLES | {"foot_load [N]": load}
    found = motion(log_table(columns, LENGTHS, noise=NOISE | {"foot_load [N]": 3.0}, lead=0.3))
    assert np.degrees(aligned_error(angles_of(found))).max() < 0.15
    # the smooth rise of the load passes a tenth of its peak 3 % of the stride after it begins
    assert int(np.argmax(found["hip_roll_angle"])) == pytest.approx(
        int(np.argmax(WALK.joint_angle[1])) - 3, abs=1
    )
    assert found["foot_load"].max() == pytest.approx(790.0, rel=0.02)


def test_standing_before_and_after_a_walk_is_left_out() -> None:
    still = {name: np.full(50, column[0]) for name, column in ANGLES.items()}
    walked = log_table(ANGLES, [1.2] * 15, noise=NOISE).splitlines()
    count = len(next(iter(still.values())))
    before = [f"{-0.01 * (count - k):.6g},{walked[1].partition(',')[2]}" for k in range(count)]
    found = motion("\n".join([walked[0], *before, *walked[1:]]))
    assert 12 <= float(found["strides"]) <= 14
    assert np.degrees(aligned_error(angles_of(found))).max() < 0.15


def test_a_drifting_log_is_closed_and_the_drift_is_told() -> None:
    strides = 20
    content = log_table(ANGLES, [1.2] * strides)
    header, *rows = content.splitlines()
    place = 1 + JOINTS.index("hip_yaw")
    moved = []
    for row in rows:
        cells = row.split(",")
        cells[place] = str(float(cells[place]) + 0.002 * float(cells[0]) / 1.2)
        moved.append(",".join(cells))
    found = motion("\n".join([header, *moved]))
    assert found["drift"][0] == pytest.approx(0.002, rel=0.05)
    assert np.abs(found["drift"][1:]).max() < 5e-4
    first, last = found["hip_yaw_angle"][[0, -1]]
    assert abs(last - first) < 0.02


def test_the_study_asks_for_torso_and_load_where_it_uses_them() -> None:
    plain = phase_table(ANGLES)
    asked = problems_of(plain, told(torso="attitude"))
    assert [one.want for one in asked] == [
        f"a column 'torso_{turn} [rad]'" for turn in ("roll", "pitch", "yaw")
    ]
    assert len(problems_of(plain, told(torso="motion"))) == 6
    (load,) = problems_of(plain, told(support="foot_load"))
    assert load.want == "a column 'foot_load [N]'"


def test_torques_are_asked_for_by_the_kind_that_scales_them() -> None:
    with pytest.raises(StudyError, match="want a column 'knee_torque"):
        read_stride(phase_table(ANGLES), "walk.csv", leaf_of(RECORDED), told())


def test_torque_columns_do_no_harm_where_only_the_motion_is_followed() -> None:
    columns = ANGLES | {f"{joint}_torque [N*m]": np.ones(PHASES) for joint in JOINTS}
    found = motion(phase_table(columns))
    np.testing.assert_allclose(angles_of(found), WALK.joint_angle, atol=1e-8)


def log_rows(count: int = 8) -> list[str]:
    return log_table(ANGLES, [1.2] * count).splitlines()


def swapped(rows: list[str], row: int) -> list[str]:
    return [*rows[:row], rows[row + 1], rows[row], *rows[row + 2 :]]


@pytest.mark.parametrize(
    ("rows", "line", "got", "want"),
    [
        (swapped(log_rows(), 40), 42, "0.39 s after 0.4 s", "times that rise"),
        (
            log_rows()[:300] + log_rows()[320:],
            300,
            "a gap of 0.21 s after 2.98 s",
            "at most 5% of the stride of 1.2 s between rows",
        ),
        (log_rows(3), 1, "2 whole strides of 1.", "3 strides or more"),
        (log_rows(1), 1, "angles that do not repeat", "3 strides or more of a steady walk"),
    ],
    ids=["disorder", "gap", "too few strides", "one stride"],
)
def test_a_bad_log_is_told_with_its_line(rows: list[str], line: int, got: str, want: str) -> None:
    problem = problems_of("\n".join(rows))[0]
    assert (problem.line, problem.where) == (line, "time")
    assert got in problem.got
    assert want in problem.want


def test_degrees_in_columns_of_radians_are_told() -> None:
    degrees = {name: np.degrees(column) for name, column in ANGLES.items()}
    problem = problems_of(log_table(degrees, [1.2] * 8))[0]
    assert "looks like degrees in a column that says rad" in problem.got


def test_a_log_without_a_clock_asks_for_one() -> None:
    content = "\n".join(row.partition(",")[2] for row in log_rows())
    (problem,) = problems_of(content)
    assert (problem.got, problem.want) == ("no such column", "a column 'phase [1]'")


def test_both_clocks_at_once_are_refused() -> None:
    (problem,) = problems_of(phase_table({"time [s]": np.arange(100.0)} | ANGLES))
    assert problem.got == "an unknown column 'time'"


def test_one_leg_named_left_misses_the_other() -> None:
    problems = problems_of(phase_table(angle_columns(WALK, "left_")))
    assert [one.want for one in problems] == [
        f"a column 'right_{joint}_angle [rad]'" for joint in JOINTS
    ]


def test_another_stride_time_than_the_log_has_is_refused() -> None:
    (problem,) = problems_of("\n".join(log_rows()), told(stride_time=1.3))
    assert problem.got == "strides of 1.2 s, where the study says 1.3 s"
    assert problem.want == "a stride_time within 2% of the recorded one"
    assert motion("\n".join(log_rows()), told(stride_time=1.21))


def test_a_run_is_refused() -> None:
    columns = ANGLES | {"foot_load [N]": np.where(np.arange(PHASES) < 40, 800.0, 0.0)}
    (problem,) = problems_of(phase_table(columns))
    assert (problem.where, problem.got) == ("foot_load", "a stride with both feet lifted")
