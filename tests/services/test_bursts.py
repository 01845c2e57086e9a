"""A run by bursts: trials for real, re-use, kills, and its end."""

import os
import signal
import sqlite3
import threading
import time
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import numpy as np
import optuna
import pytest
from numpy.testing import assert_array_equal

from tests.services.test_pool import assert_same, children_of, everything
from tests.services.toy import BURSTS, ToyProblem, ToyStudy, read_toy
from tests.services.workers import do_steps, finish
from tradeopt.errors import NotFoundError
from tradeopt.search.front import non_dominated
from tradeopt.search.samplers import quiet
from tradeopt.services import runs, steps
from tradeopt.services.pool import run_local
from tradeopt.services.progress import Progress, status
from tradeopt.services.starts import from_baseline, from_elsewhere, reusing
from tradeopt.store import results
from tradeopt.store import runs as store
from tradeopt.store.database import Database
from tradeopt.store.runs import Budget, Run, RunState
from tradeopt.study.problem import Limit

EPOCH = BURSTS.first_number(1, 0)
PICKED = np.array([3.0, 0.1, 2.0, 0.0])


def ignore(_progress: Progress) -> None:
    """Nobody looks."""


def start(database: Database, name: str = "toy", epochs: int = 9, text: str = "toy") -> Run:
    study = ToyStudy(text, name=name)
    first = from_baseline(study.problem, [PICKED])
    return runs.start_or_resume(
        database, study, plan=BURSTS, budget=Budget(None, epochs * EPOCH), start=first
    )


def search(database: Database, run: Run, workers: int = 1) -> Progress:
    return run_local(
        database.url, run.id, workers=workers, on_progress=ignore, read_study=read_toy
    ).progress


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A database with a run that this process alone has brought to its end."""
    path: Path = tmp_path_factory.mktemp("kept") / "runs.db"
    with closing(Database(f"sqlite:///{path}")) as database:
        finish(database, start(database).id)
    return path


@pytest.fixture
def searched(database: Database, kept: Path, tmp_path: Path) -> Run:
    """The same run, in the database of a test."""
    with (
        closing(sqlite3.connect(kept)) as source,
        closing(sqlite3.connect(tmp_path / "runs.db")) as target,
    ):
        source.backup(target)
    return store.get(database, "toy-1")


def test_the_stored_study_shows_the_front_as_its_best_trials(
    database: Database, searched: Run
) -> None:
    with quiet():
        study = optuna.load_study(study_name=searched.id, storage=database.url)
    trials = study.get_trials()
    assert [trial.number for trial in trials] == list(range(len(trials)))
    origins = {trial.user_attrs["origin"] for trial in trials}
    assert origins == {"baseline", "picked", "sampler", "front"}
    front = runs.front(database, searched.id)
    best = {tuple(trial.values) for trial in study.best_trials}
    # a long front is thinned; what was promoted before stays among the best trials
    assert {tuple(row) for row in front.objectives.tolist()} <= best
    costs = np.array(sorted(best)) * [-1.0, 1.0]
    assert np.all(non_dominated(costs))
    for trial in trials:
        kept = runs.design(database, searched.id, trial.user_attrs["design"])
        assert trial.values == kept.objectives[0].tolist()
        assert trial.constraints == dict(
            zip(("heat", "speed"), kept.violations[0].tolist(), strict=True)
        )


def test_a_picked_design_is_tried_first_and_kept(database: Database, searched: Run) -> None:
    second = BURSTS.first_number(0, 1)
    assert_array_equal(runs.design(database, searched.id, second).values[0], PICKED)


def test_the_front_is_certified_at_the_end(database: Database, searched: Run) -> None:
    front = runs.front(database, searched.id)
    certificate = results.certificate(database, searched, 6)
    # a tenth of 2,560 designs lets it look at 51 of the front: each takes itself and steps to both
    # sides in both smooth variables
    assert len(set(certificate.numbers.tolist())) == 51
    assert set(certificate.numbers.tolist()) <= set(front.numbers.tolist())
    now = status(database, searched.id)
    assert now.certified == len(certificate.numbers)
    assert now.stationary == int(certificate.stationary.sum())
    assert 0 < now.stationary < now.certified


def test_old_epochs_lose_their_designs_and_keep_their_numbers(
    database: Database, searched: Run
) -> None:
    assert len(results.epoch(database, searched, 5).front)
    with pytest.raises(NotFoundError, match="got 0, want one of the last 2"):
        results.epoch(database, searched, 0)


@pytest.mark.parametrize("workers", [2, 4])
def test_kills_change_nothing(database: Database, searched: Run, workers: int) -> None:
    run = start(database, "wild", text="pause 0.002")
    killed: list[int] = []
    over = threading.Event()

    def kill() -> None:
        while len(killed) < 2 and not over.is_set():
            time.sleep(0.4)
            workers = children_of(os.getpid())
            if workers and len(everything(database, run.id)):
                os.kill(workers[0], signal.SIGKILL)
                killed.append(workers[0])

    killer = threading.Thread(target=kill)
    killer.start()
    assert search(database, run, workers=workers).state is RunState.FINISHED
    over.set()
    killer.join()
    assert killed
    assert_same(everything(database, run.id), everything(database, searched.id))
    with quiet():
        one, other = (
            optuna.load_study(study_name=name, storage=database.url).trials
            for name in (searched.id, run.id)
        )
    assert [trial.user_attrs for trial in one] == [trial.user_attrs for trial in other]
    assert [trial.params for trial in one] == [trial.params for trial in other]


def test_going_on_gives_what_one_sitting_gives(database: Database, searched: Run) -> None:
    short = start(database, "short", epochs=1)
    search(database, short)
    search(database, start(database, "short", epochs=9))
    assert_same(everything(database, short.id), everything(database, searched.id))


def test_a_run_stops_early_and_says_by_which_rule(database: Database) -> None:
    run = start(database, epochs=400)
    now = search(database, run, workers=2)
    assert (now.state, now.epochs < 60) == (RunState.FINISHED, True)
    assert now.note.startswith("stopped early: the hypervolume of the front grew by less than 0.1")
    again = start(database, epochs=400)
    assert again.state is RunState.FINISHED
    on = runs.start_or_resume(
        database,
        ToyStudy(),
        plan=BURSTS,
        budget=Budget(None, 400 * EPOCH, early=False),
        start=from_baseline(ToyProblem(), [PICKED]),
    )
    assert (on.id, on.state) == (run.id, RunState.RUNNING)


def test_a_tighter_limit_reuses_the_designs_of_an_old_run(
    database: Database, searched: Run
) -> None:
    tight = replace(ToyProblem(), limits=(Limit("heat", "K", 76.0, at_most=True, scale=80.0),) * 2)
    began = reusing(database, tight, from_baseline(tight), searched.id)
    front = runs.front(database, searched.id)
    brought = {tuple(row) for row in began.seeds.values.tolist()}
    assert {tuple(row) for row in front.values.tolist()} <= brought
    count = len(began.seeds) - 1
    assert began.seeds.origins == ("baseline", *["reused"] * count)
    assert began.note == f"{count} designs of run {searched.id} scored again"
    study = ToyStudy("tight")
    run = runs.start_or_resume(
        database, study, plan=BURSTS, budget=Budget(None, EPOCH), start=began
    )
    assert run.id != searched.id
    assert status(database, run.id).start_note == began.note


def test_a_study_made_elsewhere_is_brought_in(database: Database) -> None:
    with quiet():
        other = optuna.create_study(study_name="mine", storage=database.url)

        def objective(trial: optuna.Trial) -> float:
            cells = trial.suggest_int("cells", 1, 12)
            return float(cells) + trial.suggest_float("share", 0.0, 1.0)

        other.optimize(objective, n_trials=5)
    began = from_elsewhere(ToyProblem(), from_baseline(ToyProblem()), database.url, "mine")
    assert began.seeds.origins == ("baseline", *["elsewhere"] * 5)
    shares = {trial.params["share"] for trial in other.trials}
    assert set(began.seeds.values[1:, 1].tolist()) == shares
    assert np.all(began.seeds.values[1:, 2] <= 9.0)
    assert "gear.ratio as in the baseline in 5 of 5" in began.note
    with pytest.raises(NotFoundError, match="study: got 'yours'"):
        from_elsewhere(ToyProblem(), from_baseline(ToyProblem()), database.url, "yours")


def test_a_slice_that_cannot_be_certified_does_not_keep_the_run(database: Database) -> None:
    run = start(database, epochs=1)
    do_steps(database, run.id, BURSTS.islands + 1)  # its slices, and the close of its epoch
    for part in range(BURSTS.islands):
        runs.set_aside(database, run.id, 0, steps.certifying(part), "out of memory")
    assert store.state(database, run.id) is RunState.RUNNING
    do_steps(database, run.id, 1)
    now = status(database, run.id)
    assert (now.state, now.certified) == (RunState.FINISHED, 0)
