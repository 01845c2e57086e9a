"""Designs picked by hand."""

import numpy as np
import pytest
from numpy.testing import assert_array_equal

from tradeopt.errors import StudyError
from tradeopt.services.starts import budget_of, from_baseline, picked_by_hand, plan_of
from tradeopt.study.read import load, loads
from tradeopt.study.study import Study

CELLS = "robot.battery.parallel"


@pytest.fixture(scope="module")
def study() -> Study:
    return load("levee_rounds")


def test_a_picked_design_differs_from_the_baseline_where_it_says(study: Study) -> None:
    picked = picked_by_hand(study, {CELLS: "14"})
    column = [one.path for one in study.problem.variables].index(CELLS)
    assert picked[column] == 14.0
    others = np.arange(len(picked)) != column
    assert_array_equal(picked[others], study.problem.baseline[others])
    seeds = from_baseline(study.problem, [picked]).seeds
    assert seeds.origins == ("baseline", "picked")
    assert_array_equal(seeds.values, [study.problem.baseline, picked])


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"robot.battery.series": "14"}, "robot.battery.series: got a path that no variable has"),
        ({CELLS: "99"}, "got '99', want 4 to 24"),
    ],
)
def test_what_cannot_be_picked_is_told(study: Study, changes: dict[str, str], told: str) -> None:
    with pytest.raises(StudyError, match=told):
        picked_by_hand(study, changes)


def test_plan_and_budget_are_those_of_the_study(study: Study) -> None:
    said = "search: {designs: 5000, seed: 3, method: trials, "
    said += "sampler: tpe, islands: 2, stop: budget}"
    text = study.text.replace("search: {time: 2 min, seed: 7}", said)
    other = loads(text, study.files)
    plan, budget = plan_of(other), budget_of(other)
    assert (plan.method, plan.sampler, plan.islands, plan.seed) == ("trials", "tpe", 2, 3)
    assert (budget.seconds, budget.designs, budget.early) == (None, 5000, False)
    assert plan_of(study).method == "bursts"
    assert budget_of(study).early
