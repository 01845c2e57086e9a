"""What mechanisms are worth, against the study with them left out."""

import numpy as np
import pytest
from numpy.testing import assert_allclose, assert_array_equal

from tests.report.test_front import Outline
from tradeopt.insight.worth import Swap, Worth, found_with, worth
from tradeopt.search.designs import Designs
from tradeopt.services.evaluate import changed
from tradeopt.study.problem import Objective, Variable
from tradeopt.study.study import Study


@pytest.fixture(scope="module")
def told(study: Study) -> Worth:
    return worth(study.problem, study.problem.baseline)


def row_of(told: Worth, path: str, after: str) -> int:
    return next(
        row for row, one in enumerate(told.swaps) if (one.path, one.after) == (path, after)
    )


def test_the_design_itself_is_evaluated_as_it_is(told: Worth, study: Study) -> None:
    same = study.problem.score(study.problem.baseline[None])
    assert_allclose(told.nominal.objectives, same.objectives, rtol=1e-12)
    assert_allclose(told.nominal.violations, same.violations, rtol=1e-12)


@pytest.mark.parametrize(
    ("path", "after"),
    [
        ("robot.drives.hip_pitch.spring", "none"),
        ("robot.drives.ankle_pitch.spring", "one_sided"),
        ("robot.drives.knee.cooling", "fan"),
    ],
)
def test_another_choice_of_a_variable_is_that_design(
    told: Worth, study: Study, path: str, after: str
) -> None:
    same, design = changed(study, {f"{path}.kind": after})
    assert same is study
    row = row_of(told, path, after)
    assert_allclose(told.scores.objectives[row], study.problem.score(design[None]).objectives[0])


def test_a_ring_left_out_is_a_study_without_it(told: Worth, study: Study) -> None:
    path = "robot.drives.knee.cooling.ring"
    other, design = changed(study, {path: "0 W/K"})
    row = row_of(told, path, "none")
    assert told.swaps[row] == Swap(path, "0.6 W/K", "none")
    expected = other.problem.score(design[None]).objectives[0]
    # the other study balances its gaits for 0.08 kg less
    assert_allclose(told.scores.objectives[row], expected, rtol=2e-3)
    lighter = told.nominal.objectives[0, 1] - told.scores.objectives[row, 1]
    # two legs, 0.6 W/K at 0.06 kg*K/W, and the growth of what is off the shelf, 5 %
    assert lighter == pytest.approx(2 * 0.6 * 0.06 * 1.05, rel=1e-9)


def test_a_kind_that_lacks_numbers_is_not_tried(told: Worth) -> None:
    """Only the knee says how a fan would blow, and no file gives the end stops of a model."""
    fans = [one.path for one in told.swaps if one.after == "fan"]
    assert fans == ["robot.drives.knee.cooling"]
    assert not [one for one in told.swaps if one.after == "from_model"]


def test_best_found_is_told_by_choice() -> None:
    kind = Variable("robot.drives.knee.spring.kind", "", 0.0, 1.0, choices=("none", "two_way"))
    wanted = (Objective("range", "m", highest=True), Objective("mass", "kg", highest=False))
    outline = Outline(variables=(kind,), objectives=wanted, limits=())
    tried = Designs(
        numbers=np.arange(4),
        values=np.array([[0.0], [0.0], [1.0], [1.0]]),
        objectives=np.array([[5.0, 80.0], [7.0, 90.0], [6.0, 70.0], [99.0, 1.0]]),
        violations=np.array([[0.0], [-1.0], [-0.1], [0.5]]),
    )
    without, with_spring = found_with(outline, tried)
    assert (without.choice, without.designs) == ("none", 2)
    assert_array_equal(without.best, [7.0, 80.0])
    assert (with_spring.choice, with_spring.designs) == ("two_way", 1)
    assert_array_equal(with_spring.best, [6.0, 70.0])
