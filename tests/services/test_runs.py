"""A run step by step in one process: what it needs next, and every step done twice."""

from dataclasses import replace

import numpy as np
import optuna
import pytest
from numpy.testing import assert_array_equal

from tests.services.toy import SMALL, ToyProblem, ToySearch, ToyStudy, read_toy
from tests.services.workers import do_steps, finish, worker
from tradeopt.errors import NotFoundError, StudyError
from tradeopt.search.designs import score
from tradeopt.search.epoch import beginning
from tradeopt.search.samplers import quiet
from tradeopt.services import runs, steps
from tradeopt.services.budgets import BudgetError, is_spent
from tradeopt.services.progress import status
from tradeopt.services.starts import plan_of
from tradeopt.store import results
from tradeopt.store import runs as store
from tradeopt.store.database import Database
from tradeopt.store.runs import Budget, Run, RunState


def start(database: Database, designs: int | None = 256, seconds: float | None = None) -> Run:
    return runs.start_or_resume(database, ToyStudy(), plan=SMALL, budget=Budget(seconds, designs))


def work_through(database: Database, run_id: str) -> RunState:
    """Let a worker do all that is needed, and do again what it did."""
    with worker(database, only=run_id) as one:
        while one.do_one():
            do_again(database, store.get(database, run_id))
    return store.state(database, run_id)


def do_again(database: Database, run: Run) -> None:
    """Do once more whatever is done of the last two epochs of a run."""
    closed = results.last_number(database, run.id)
    problem = ToyStudy().problem
    for epoch in range(max(0, closed), closed + 2):
        for island in results.islands_done(database, run, epoch):
            runs.do_slice(database, run, (epoch, island), problem)
        for part in results.certified_parts(database, run, epoch):
            runs.do_slice(database, run, (epoch, steps.certifying(part)), problem)
    if closed >= 0:
        runs.close_epoch(database, run.id, closed)
    if run.state is not RunState.RUNNING:
        runs.promote(database, run.id)
        runs.end(database, run.id, run.state, run.note)


def test_a_run_goes_through_whole_epochs_until_enough_designs(database: Database) -> None:
    run = start(database, designs=200)
    assert work_through(database, run.id) is RunState.FINISHED
    now = status(database, run.id)
    assert now.state is RunState.FINISHED
    # epochs of 128 designs: two of them make the 200
    assert (now.epochs, now.tried, now.designs_left) == (2, 256, 0)
    found = results.designs(database, run)
    assert_array_equal(found.numbers, np.arange(256))
    assert now.feasible == int(found.feasible.sum())
    assert now.missed == {
        name: int(np.sum(found.violations[:, place] > 0.0))
        for place, name in enumerate(("heat", "speed"))
    }
    assert now.tightest_limit == max(now.missed, key=lambda name: now.missed[name])
    assert now.growth is not None
    assert now.growth >= 1.0


def test_the_parents_of_an_epoch_are_the_survivors_of_the_one_before(database: Database) -> None:
    run = start(database)
    work_through(database, run.id)
    first = results.epoch(database, run, 0)
    assert len(first.population) == SMALL.population
    assert np.all(first.population.feasible)
    second = results.designs(database, run).values[128:]
    inherited = np.isin(second[:, 0], first.population.values[:, 0])
    assert np.any(inherited)


def test_the_same_question_is_the_same_run_and_goes_on(database: Database) -> None:
    run = start(database, designs=128)
    work_through(database, run.id)
    again = start(database, designs=128)
    assert (again.id, again.state) == (run.id, RunState.FINISHED)
    more = start(database, designs=256)
    assert (more.id, more.state) == (run.id, RunState.RUNNING)
    work_through(database, run.id)
    assert status(database, run.id).tried == 256


def test_going_on_gives_what_one_sitting_gives(database: Database) -> None:
    short = start(database, designs=128)
    work_through(database, short.id)
    start(database, designs=384)
    work_through(database, short.id)
    whole = runs.start_or_resume(
        database, ToyStudy(name="whole"), plan=SMALL, budget=Budget(None, 384)
    )
    work_through(database, whole.id)
    assert_array_equal(
        results.designs(database, short).values, results.designs(database, whole).values
    )


def test_a_run_that_is_asked_to_stop_stops_between_slices(database: Database) -> None:
    run = start(database)
    with worker(database) as one:
        assert one.do_one()
        runs.stop(database, run.id)
        assert not one.do_one()
        assert store.state(database, run.id) is RunState.STOPPED
        done = results.islands_done(database, run, 0)
        assert len(done) == 1
        resumed = start(database)
        assert resumed.state is RunState.RUNNING
        for _ in range(3):
            assert one.do_one()
    assert results.islands_done(database, run, 0) == {0, 1, 2, 3}
    assert len(results.designs(database, run)) == SMALL.epoch_size


def test_a_run_on_several_kinds_of_processor_says_that_a_repeat_may_differ(
    database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    run = start(database)
    do_steps(database, run.id, 1)
    assert status(database, run.id).note == ""
    (ours,) = results.processors(database, run)
    monkeypatch.setattr(runs, "processor", lambda: "another 01234567")
    do_steps(database, run.id, 1)
    assert status(database, run.id).note == (
        f"worked out on 2 kinds of processor ({', '.join(sorted(['another 01234567', ours]))}): "
        "a repeat may differ in the last digits"
    )


def test_stopping_what_is_not_there_is_told(database: Database) -> None:
    with pytest.raises(NotFoundError, match="run: got 'levee-1'"):
        runs.stop(database, "levee-1")


def test_a_search_without_an_end_is_refused(database: Database) -> None:
    endless = ToyStudy(search=ToySearch(time=None, designs=None))
    with pytest.raises(BudgetError, match="neither a time nor a number of designs"):
        runs.start_or_resume(database, endless)


@pytest.mark.parametrize(
    ("closed", "spent", "budget", "enough"),
    [
        (0, 99.0, Budget(10.0, None), False),  # the first epoch always runs
        (2, 4.0, Budget(10.0, None), False),
        (2, 7.9, Budget(10.0, None), False),  # the next one would be half done at 9.9 s
        (2, 8.1, Budget(10.0, None), True),
        (2, 0.0, Budget(None, 257), False),
        (2, 0.0, Budget(None, 256), True),
        (2, 9.0, Budget(10.0, 1000), True),  # whichever comes first
        (2, 1.0, Budget(10.0, 200), True),
    ],
)
def test_when_a_budget_is_spent(
    run: Run, closed: int, spent: float, budget: Budget, *, enough: bool
) -> None:
    last = replace(beginning(ToyProblem()), number=closed - 1)
    assert is_spent(replace(run, seconds_spent=spent), last, budget) is enough


def test_a_time_budget_leaves_room_for_certifying_the_front(run: Run) -> None:
    """By hand: two epochs of 128 took 6 s, so half of the next takes 1.5 s; certifying 16 designs
    with two smooth variables tries 5 each, which takes 80/256 of the 6 s: 9.4 s in all."""
    front = score(ToyProblem(), np.tile(ToyProblem().baseline, (16, 1)), 0)
    last = replace(beginning(ToyProblem()), number=1, front=front)
    spent = replace(run, seconds_spent=6.0)
    assert not is_spent(spent, last, Budget(9.5, None))
    assert is_spent(spent, last, Budget(9.3, None))


def test_plan_follows_the_study_unless_another_seed_is_given() -> None:
    study = ToyStudy(search=ToySearch(seed=11, sampler="nsga3"))
    assert (plan_of(study).seed, plan_of(study).sampler) == (11, "nsga3")
    assert plan_of(study, seed=0).seed == 0


def test_an_epoch_whose_slices_were_all_set_aside_fails_the_run(database: Database) -> None:
    run = start(database)
    for island in range(4):
        runs.set_aside(database, run.id, 0, island, "out of memory")
    do_steps(database, run.id, 1)
    now = status(database, run.id)
    assert now.state is RunState.FAILED
    assert now.note.startswith("out of memory\nslice 0/0 was set aside")
    # asked for again, it is tried again
    start(database)
    finish(database, run.id)
    assert_array_equal(results.designs(database, run).numbers, np.arange(256))


def test_one_slice_set_aside_does_not_keep_the_rest(database: Database) -> None:
    run = start(database, designs=128)
    runs.set_aside(database, run.id, 0, 2, "out of memory")
    assert work_through(database, run.id) is RunState.FINISHED
    now = status(database, run.id)
    assert now.tried == 96
    assert "slice 0/2 was set aside: out of memory" in now.note


def test_every_design_becomes_a_trial_of_the_stored_study(database: Database) -> None:
    run = start(database)
    work_through(database, run.id)
    front = runs.front(database, run.id)
    with quiet():
        study = optuna.load_study(study_name=run.id, storage=database.url)
    baseline, *others = study.trials
    assert baseline.user_attrs == {"design": 0, "origin": "baseline", "epoch": 0, "island": 0}
    assert {trial.user_attrs["origin"] for trial in others} == {"sampler"}
    assert [trial.user_attrs["design"] for trial in study.trials] == list(range(256))
    # of designs that do equally well the first one stands on the front; all are best trials
    best = {tuple(trial.values) for trial in study.best_trials}
    assert best == {tuple(row) for row in front.objectives.tolist()}
    assert runs.promote(database, run.id) == 0


def test_front_design_and_nearest_are_read_back(database: Database) -> None:
    run = start(database)
    assert len(runs.front(database, run.id)) == 0
    assert len(runs.nearest(database, run.id, 3)) == 0
    work_through(database, run.id)
    front = runs.front(database, run.id)
    assert np.all(front.feasible)
    one = runs.design(database, run.id, int(front.numbers[0]))
    assert_array_equal(one.objectives, front.objectives[:1])
    assert len(runs.nearest(database, run.id, 3)) == 3


def test_scoring_a_stored_design_again_gives_the_same_numbers(database: Database) -> None:
    run = start(database)
    work_through(database, run.id)
    kept = store.get(database, run.id)
    front = runs.front(database, run.id)
    again = read_toy(kept.text, kept.files).problem.score(front.values)
    np.testing.assert_allclose(again.objectives, front.objectives, rtol=1e-12)


def test_a_study_without_variables_is_nothing_to_search(database: Database) -> None:
    fixed = ToyStudy(problem=ToyProblem(variables=()))
    with pytest.raises(StudyError, match="variables: got none, want at least one value to search"):
        runs.start_or_resume(database, fixed)
