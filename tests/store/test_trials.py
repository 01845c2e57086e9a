"""What the sampler library sees of a run."""

import numpy as np
import optuna
import pytest

from tests.services.toy import SMALL, ToyProblem
from tradeopt.search.burst import SliceTask, run_slice
from tradeopt.search.designs import join, no_designs, score
from tradeopt.search.samplers import quiet
from tradeopt.store.database import Database
from tradeopt.store.runs import Run
from tradeopt.store.trials import promote

PROBLEM = ToyProblem()


def opened(database: Database, run: Run) -> optuna.Study:
    with quiet():
        return optuna.load_study(study_name=run.id, storage=database.url)


def test_designs_become_trials_that_say_the_same(database: Database, run: Run) -> None:
    found = run_slice(PROBLEM, SliceTask(SMALL, 0, 0, no_designs(PROBLEM)))
    origins = ["baseline"] + ["front"] * 31
    assert promote(database, run, found, origins) == 32
    study = opened(database, run)
    assert study.user_attrs["study_digest"] == run.digest
    assert study.user_attrs["objectives"] == ["range", "mass"]
    assert [d.name for d in study.directions] == ["MAXIMIZE", "MINIMIZE"]
    for row, trial in enumerate(study.trials):
        assert trial.user_attrs == {"design": row, "origin": origins[row]}
        assert trial.params["gear.ratio"] == found.values[row, 0]
        assert trial.params["fan"] == ("no", "yes")[int(found.values[row, 3])]
        assert list(trial.constraints.values()) == pytest.approx(found.violations[row])
        if np.isnan(found.objectives[row, 0]):
            assert trial.state is optuna.trial.TrialState.FAIL
        else:
            assert trial.values == list(found.objectives[row])


def test_a_design_is_promoted_once(database: Database, run: Run) -> None:
    found = run_slice(PROBLEM, SliceTask(SMALL, 0, 0, no_designs(PROBLEM)))
    part = found.take(np.arange(4))
    assert promote(database, run, part, ["front"] * 4) == 4
    assert promote(database, run, found.take(np.arange(6)), ["front"] * 6) == 2
    assert [trial.user_attrs["design"] for trial in opened(database, run).trials] == list(range(6))


def test_a_design_out_of_bounds_is_left_out(database: Database, run: Run) -> None:
    outside = score(PROBLEM, np.array([[500.0, 0.5, 4.0, 0.0]]), first_number=0)
    inside = score(PROBLEM, PROBLEM.baseline[np.newaxis], first_number=1)
    assert promote(database, run, join([outside, inside]), ["baseline", "front"]) == 1
