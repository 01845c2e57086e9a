"""Reading the curve of a ratio over the joint angle."""

import numpy as np
import pytest

from tests.stages.drivetrains import TABLE, with_knee_source
from tests.stages.studies import EXAMPLE
from tradeopt import quantities as q
from tradeopt.errors import Problem, StudyError
from tradeopt.study.read import loads

NAME = "knee_ratio.csv"
GOOD = "joint_angle [deg],ratio [1]\n-80,18\n-50,21\n-30,27\n-10,30\n5,30\n"
PATH = "robot.drives.knee.transmission.curve"


def read(csv: str) -> dict[str, np.ndarray]:
    contents = loads(with_knee_source(TABLE), {**EXAMPLE.files, NAME: csv}).problem.contents
    return dict(contents[PATH])


def problems_of(csv: str) -> tuple[Problem, ...]:
    with pytest.raises(StudyError, match=NAME) as told:
        read(csv)
    return told.value.problems


def test_a_curve_meets_its_rows_and_keeps_their_course() -> None:
    curve = read(GOOD)
    assert (curve["lowest"], curve["highest"]) == pytest.approx(np.radians([-80.0, 5.0]))
    places = np.degrees(np.linspace(curve["lowest"], curve["highest"], q.PLACES))
    rows = [places.searchsorted(angle - 1e-9) for angle in (-80.0, 5.0)]
    np.testing.assert_allclose(curve["ratio"][rows], [18.0, 30.0])
    # it neither overshoots nor turns between the rows
    assert (np.diff(curve["ratio"]) >= -1e-12).all()
    assert curve["ratio"].max() == pytest.approx(30.0)
    assert (np.abs(curve["slope"][places > -10.0]) < 1e-12).all()


def test_slopes_are_by_radians() -> None:
    straight = "joint_angle [deg],ratio [1]\n-90,10\n-60,20\n-30,30\n0,40\n"
    np.testing.assert_allclose(read(straight)["slope"], 30.0 / np.radians(90.0))


@pytest.mark.parametrize(
    ("csv", "line", "got", "want"),
    [
        (
            GOOD.replace("-30,27", "-60,27"),
            4,
            "-1.0472 rad after -0.872665 rad",
            "angles that rise from row to row",
        ),
        (GOOD.replace("-10,30", "-10,-30"), 5, "-30", "a ratio that keeps its sign and is not 0"),
        (GOOD.replace("-50,21", "-50,0"), 3, "0", "a ratio that keeps its sign and is not 0"),
        ("\n".join(GOOD.split("\n")[:4]), 1, "3 rows", "at least 4"),
        (
            GOOD.replace("[deg]", "[rad]"),
            2,
            "-80 rad, which looks like degrees in a column that says rad",
            "at most 2.6 rad, or the header 'joint_angle [deg]'",
        ),
    ],
    ids=["order", "sign", "zero", "short", "degrees"],
)
def test_a_bad_curve_is_told_in_its_own_file(csv: str, line: int, got: str, want: str) -> None:
    problem = problems_of(csv)[0]
    assert (problem.file, problem.line, problem.got, problem.want) == (NAME, line, got, want)


def test_all_that_is_wrong_is_told_at_once() -> None:
    csv = GOOD.replace("-30,27", "-60,-27")
    assert len(problems_of(csv)) == 2


def test_a_column_that_is_missing_is_told() -> None:
    (problem,) = problems_of(GOOD.replace("ratio [1]", "ratios [1]"))[:1]
    assert problem.want.startswith("one of joint_angle, ratio")
