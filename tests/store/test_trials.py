"""What the sampler library sees of a run."""

import numpy as np
import optuna
import pytest

from tests.services.toy import SMALL, ToyProblem
from tradeopt.search.burst import unknown_gains
from tradeopt.search.designs import Designs, join, no_designs, score
from tradeopt.search.epoch import run_slice
from tradeopt.search.samplers import quiet
from tradeopt.search.slices import SliceTask, no_seeds
from tradeopt.store import trials
from tradeopt.store.database import Database
from tradeopt.store.runs import Run
from tradeopt.store.trials import add, promoted

PROBLEM = ToyProblem()


@pytest.fixture(scope="module")
def found() -> Designs:
    nothing = (no_designs(PROBLEM), no_seeds(PROBLEM), unknown_gains())
    return run_slice(PROBLEM, SMALL, SliceTask(0, 0, *nothing)).designs


def promote(database: Database, run: Run, designs: Designs, origins: list[str]) -> int:
    return add(database, run, promoted(run, designs, origins))


def opened(database: Database, run: Run) -> optuna.Study:
    with quiet():
        return optuna.load_study(study_name=run.id, storage=database.url)


@pytest.mark.parametrize("known", [True, False])
def test_designs_become_trials_that_say_the_same(
    database: Database, run: Run, found: Designs, monkeypatch: pytest.MonkeyPatch, *, known: bool
) -> None:
    """In bulk, and as the library writes them where its tables are not those known here."""
    if not known:
        strange = {**trials.COLUMNS, "trials": trials.COLUMNS["trials"] | {"colour"}}
        monkeypatch.setattr(trials, "COLUMNS", strange)
    origins = ["baseline"] + ["front"] * 31
    assert promote(database, run, found, origins) == 32
    study = opened(database, run)
    assert study.user_attrs["study_digest"] == run.digest
    assert study.user_attrs["objectives"] == ["range", "mass"]
    assert [d.name for d in study.directions] == ["MAXIMIZE", "MINIMIZE"]
    for row, trial in enumerate(study.trials):
        assert trial.user_attrs == {
            "design": row,
            "origin": origins[row],
            "epoch": 0,
            "island": 0,
        }
        assert trial.params["gear.ratio"] == found.values[row, 0]
        assert trial.params["fan"] == ("no", "yes")[int(found.values[row, 3])]
        assert list(trial.constraints.values()) == pytest.approx(found.violations[row])
        if np.isnan(found.objectives[row, 0]):
            assert trial.state is optuna.trial.TrialState.FAIL
        else:
            assert trial.values == list(found.objectives[row])


def test_a_design_is_promoted_once(database: Database, run: Run, found: Designs) -> None:
    part = found.take(np.arange(4))
    assert promote(database, run, part, ["front"] * 4) == 4
    assert promote(database, run, found.take(np.arange(6)), ["front"] * 6) == 2
    assert [trial.user_attrs["design"] for trial in opened(database, run).trials] == list(range(6))


def test_a_design_out_of_bounds_is_left_out(database: Database, run: Run) -> None:
    outside = score(PROBLEM, np.array([[500.0, 0.5, 4.0, 0.0]]), first_number=0)
    inside = score(PROBLEM, PROBLEM.baseline[np.newaxis], first_number=1)
    assert promote(database, run, join([outside, inside]), ["baseline", "front"]) == 1
