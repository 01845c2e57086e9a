"""The example with a catalogue of fifty motor families for each joint that chooses one."""

import numpy as np

from tests.bench.problems import MOTORS, with_catalogue
from tradeopt.search.epoch import beginning, merge, run_slice, task_of
from tradeopt.search.plan import SearchPlan
from tradeopt.search.slices import Seeds


def test_fifty_motors_are_searched_by_size_and_many_of_them_tried() -> None:
    study = with_catalogue()
    columns = [place for place, one in enumerate(study.variables) if one.path.endswith("family")]
    assert len(columns) == 2
    for place in columns:
        assert len(study.variables[place].choices) == len(study.variables[place].sizes) == MOTORS
    plan = SearchPlan(seed=1, islands=2, evaluations=32_768)
    now = beginning(study, Seeds(study.baseline[None], ("baseline",)))
    found = [run_slice(study, plan, task_of(plan, now, island)) for island in range(2)]
    now, _ = merge(study, plan, now, found)
    assert now.tried == 512
    families = now.population.values[:, columns]
    # the shipped families are the first three of the table
    assert np.all(families == np.round(families))
    assert families.min() >= 0.0
    assert 3.0 < families.max() < MOTORS
    assert len(np.unique(families)) > 10
