"""The loop of a worker: what it claims, in which order, and what becomes of it."""

import subprocess
import sys
import threading
import time
from collections import Counter
from contextlib import ExitStack
from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_array_equal

from tests.faults.servers import wait_until
from tests.services.toy import SMALL, ToyProblem, ToyStudy, read_broken
from tests.services.workers import PATIENT, worker
from tradeopt.services import runs
from tradeopt.services.hand import Hand
from tradeopt.services.keeper import HUNG, Keeper
from tradeopt.services.progress import status
from tradeopt.services.starts import from_baseline, question_of
from tradeopt.services.sweeper import Sweeper
from tradeopt.services.work import Memory
from tradeopt.store import claims, results, turns, workers
from tradeopt.store import runs as store
from tradeopt.store.claims import Claim, Fenced, Place
from tradeopt.store.database import Database
from tradeopt.store.runs import Budget, RunState
from tradeopt.store.turns import AS_BEFORE, Wish
from tradeopt.study.fused import FusedStudy
from tradeopt.study.read import load, loads

START = from_baseline(ToyProblem()).seeds


def start(
    database: Database, name: str = "toy", designs: int = 256, wish: Wish = AS_BEFORE
) -> str:
    study = ToyStudy(name=name)
    budget = Budget(None, designs, early=False)
    return runs.start_or_resume(database, study, plan=SMALL, budget=budget, wish=wish).id


def test_a_worker_takes_a_run_to_its_end(database: Database) -> None:
    run_id = start(database)
    with worker(database) as one:
        steps = 0
        while one.do_one():
            steps += 1
    # two epochs of four slices, a close each, four parts of the front to certify, and the end
    assert steps == 2 * (4 + 1) + 4 + 1
    assert store.state(database, run_id) is RunState.FINISHED
    assert claims.held(database) == []
    found = results.designs(database, store.get(database, run_id))
    assert_array_equal(found.numbers, np.arange(256))


def test_a_worker_scores_by_machine_code(database: Database) -> None:
    """What the search is as fast as; a run of minutes would be one of half an hour without."""
    started = runs.start_or_resume(database, load("levee_rounds"), budget=Budget(None, 64))
    assert isinstance(Memory(database, loads).problem(started), FusedStudy)


def test_two_workers_share_the_slices_of_a_run(database: Database) -> None:
    run_id = start(database, designs=128)
    with worker(database) as one, worker(database) as other:
        threads = [threading.Thread(target=each.work) for each in (one, other)]
        for thread in threads:
            thread.start()
        wait_until(lambda: store.state(database, run_id) is not RunState.RUNNING)
        for each in (one, other):
            each.stopping.set()
        for thread in threads:
            thread.join()
    assert store.state(database, run_id) is RunState.FINISHED
    assert len(results.designs(database, store.get(database, run_id))) == 128


def test_only_one_worker_gets_a_step_and_tokens_never_come_again(database: Database) -> None:
    at = Place(start(database), 0, 0)
    first = claims.take(database, at, "one")
    assert first is not None
    assert claims.take(database, at, "other") is None
    claims.let_go(database, first)
    second = claims.take(database, at, "other")
    assert second is not None
    assert second.token > first.token
    database.write(claims.seal(second, 0.0))
    third = claims.take(database, at, "one")
    assert third is not None
    assert third.token > second.token


def test_what_comes_under_an_old_claim_is_not_written(database: Database) -> None:
    run_id = start(database)
    at = Place(run_id, 0, 0)
    old = claims.take(database, at, "one")
    assert old is not None
    assert claims.crash(database, at, old.token, "not heard of")
    new = claims.take(database, at, "other")
    assert new is not None
    run = store.get(database, run_id)
    problem = ToyStudy().problem
    with pytest.raises(Fenced, match="taken over from one"):
        runs.do_slice(database, run, (0, 0), problem, seal=lambda: claims.seal(old, 1.0))
    assert results.islands_done(database, run, 0) == set()
    runs.do_slice(database, run, (0, 0), problem, seal=lambda: claims.seal(new, 1.0))
    assert results.islands_done(database, run, 0) == {0}
    # beside what the crash costs, the time of the fenced one was not booked
    (turn,) = turns.in_order(database)
    assert turn.served == claims.CRASH_COST + 1.0


def test_nobody_claims_a_step_of_a_run_that_has_stopped(database: Database) -> None:
    run_id = start(database)
    hand = claims.take(database, Place(run_id, 0, 0), "one")
    assert hand is not None
    runs.stop(database, run_id)
    assert claims.take(database, Place(run_id, 0, 1), "one") is None
    with pytest.raises(Fenced, match="taken over"):
        database.write(claims.seal(hand, 0.0))


@pytest.mark.parametrize(
    ("events", "passed", "served"),
    [
        # each: who, when, and the seconds that are booked; None takes a step
        ([(0, 0.0, None), (1, 4.0, None), (0, 8.0, 8.0), (1, 9.0, 5.0)], 9.0, 13.0),
        ([(0, 0.0, None), (1, 5.0, None), (1, 5.1, 0.1), (0, 9.0, 9.0)], 9.0, 9.1),
        # nobody works from 3 to 20
        ([(0, 0.0, None), (0, 3.0, 3.0), (1, 20.0, None), (1, 22.0, 2.0)], 5.0, 5.0),
        # one that died with a step in hand was not heard of from 2 to 500
        ([(0, 0.0, None), (0, 2.0, -2.0), (1, 500.0, None), (1, 501.0, 1.0)], 3.0, 3.0),
        # a clock that is set back books nothing twice
        ([(0, 50.0, None), (0, 52.0, -2.0), (0, 40.0, -2.0), (0, 42.0, 2.0)], 4.0, 6.0),
    ],
    ids=["overlap", "within", "pause", "death", "set back"],
)
def test_time_passes_once_for_a_run(
    database: Database,
    monkeypatch: pytest.MonkeyPatch,
    events: list[tuple[int, float, float | None]],
    passed: float,
    served: float,
) -> None:
    """Seconds of more than nought end a step, of less keep it in hand."""
    run_id = start(database)
    hands: dict[int, Claim] = {}
    for place, (who, moment, seconds) in enumerate(events):
        monkeypatch.setattr(time, "time", lambda moment=moment: 1.7e9 + moment)
        if seconds is None:
            taken = claims.take(database, Place(run_id, 0, place), f"worker {who}")
            assert taken is not None
            hands[who] = taken
        elif seconds > 0.0:
            database.write(claims.seal(hands[who], seconds))
        else:
            claims.beat(database, hands[who], -seconds, batch=None, patience=None)
    assert store.get(database, run_id).seconds_spent == pytest.approx(passed)
    (turn,) = turns.in_order(database)
    assert turn.served == pytest.approx(served)


@pytest.mark.parametrize("crashes_before", [0, 1])
def test_a_beat_says_which_batch_is_in_hand_after_a_crash(
    database: Database, crashes_before: int
) -> None:
    at = Place(start(database), 0, 0)
    for _ in range(crashes_before):
        claim = claims.take(database, at, "one")
        assert claim is not None
        claims.crash(database, at, claim.token, "killed")
    claim = claims.take(database, at, "one")
    assert claim is not None
    hand = Hand(database, claim, threading.Event())
    hand.next_batch()
    hand.next_batch()
    claims.crash(database, at, claim.token, "killed")
    claim = claims.take(database, at, "one")
    assert claim is not None
    assert (claim.crashes, claim.repeats) == (crashes_before + 1, 0)


def test_a_slice_that_fails_at_the_same_batch_three_times_is_set_aside(
    database: Database,
) -> None:
    run_id = start(database)
    with worker(database, read_broken) as one:
        tries = 0
        while one.do_one():
            tries += 1
    # each of four slices fails three times and is then set aside, and the run ends
    assert tries == 4 * 4 + 1
    now = status(database, run_id)
    assert now.state is RunState.FAILED
    assert "slice 0/3 was set aside: ArithmeticError: the stage of a user" in now.note


def test_crashes_at_different_batches_are_no_fault_of_the_slice(database: Database) -> None:
    at = Place(start(database), 0, 0)
    for batch in (1, 2, 1, 2, 1):
        claim = claims.take(database, at, "one")
        assert claim is not None
        claims.crash(database, at, claim.token, "killed", batch=batch)
    claim = claims.take(database, at, "one")
    assert claim is not None
    assert (claim.crashes, claim.repeats) == (5, 0)


def test_a_worker_that_is_to_end_gives_its_step_back_at_once(database: Database) -> None:
    run_id = start(database, designs=10**5)
    with worker(database) as one:
        thread = threading.Thread(target=one.work)
        thread.start()
        wait_until(lambda: bool(claims.held(database)), pause=0.001)
        one.stopping.set()
        thread.join(timeout=5.0)
        assert not thread.is_alive()
    assert claims.held(database) == []
    begun = claims.claimed(database, run_id, results.last_number(database, run_id) + 1)
    assert set(begun.values()) <= {""}


def test_runs_share_a_worker_by_their_priorities(database: Database) -> None:
    for name, priority in (("usual", 1.0), ("urgent", 3.0)):
        start(database, name, designs=10**6, wish=Wish(priority))
    served: Counter[str] = Counter()
    for _ in range(400):
        turn = turns.in_order(database)[0]
        served[turn.run_id] += 1
        claim = claims.take(database, Place(turn.run_id, 0, 0), "one")
        assert claim is not None
        claims.beat(database, claim, 1.0, batch=None, patience=None)
        claims.let_go(database, claim)
    assert served["urgent-1"] == pytest.approx(300, abs=2)


def test_a_run_that_comes_later_neither_waits_nor_is_waited_for(database: Database) -> None:
    early = start(database, "early")
    claim = claims.take(database, Place(early, 0, 0), "one")
    assert claim is not None
    claims.beat(database, claim, 5000.0, batch=None, patience=None)
    claims.let_go(database, claim)
    start(database, "late")
    assert {turn.served for turn in turns.in_order(database)} == {5000.0}


def test_no_more_workers_than_a_run_may_have(database: Database) -> None:
    run_id = start(database, wish=Wish(most_workers=1))
    with worker(database) as one:
        claim = claims.take(database, Place(run_id, 0, 0), "other")
        assert claim is not None
        assert not one.do_one()
        claims.let_go(database, claim)
        assert one.do_one()


def test_a_silent_worker_loses_its_step_and_one_that_beats_does_not(
    database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    run_id = start(database)
    clock = [100.0]
    monkeypatch.setattr("tradeopt.services.sweeper.time.monotonic", lambda: clock[0])
    silent, lively = (claims.take(database, Place(run_id, 0, n), f"w{n}") for n in range(2))
    assert silent is not None
    assert lively is not None
    sweeper = Sweeper(database, lease=15.0)
    for _ in range(9):
        sweeper.sweep()
        clock[0] += 2.0
        claims.beat(database, lively, 0.0, batch=None, patience=None)
    sweeper.sweep()
    assert [one.worker for one in claims.held(database)] == ["w1"]
    again = claims.take(database, silent.at, "other")
    assert again is not None
    assert again.fault == "its worker was not heard of for 15 s"


def test_a_watcher_that_slept_itself_blames_nobody(
    database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    run_id = start(database)
    clock = [100.0]
    monkeypatch.setattr("tradeopt.services.sweeper.time.monotonic", lambda: clock[0])
    claims.take(database, Place(run_id, 0, 0), "one")
    sweeper = Sweeper(database, lease=15.0)
    for _ in range(3):
        sweeper.sweep()
        clock[0] += 3600.0
    assert len(claims.held(database)) == 1


@pytest.mark.parametrize(
    "jump", ["2099-01-01T00:00:00.000+00:00", "1999-01-01T00:00:00.000+00:00"]
)
def test_clocks_that_jump_decide_nothing(
    database: Database, monkeypatch: pytest.MonkeyPatch, jump: str
) -> None:
    run_id = start(database, designs=128)
    with worker(database) as one:
        one.do_one()
        for module in ("claims", "workers"):
            monkeypatch.setattr(f"tradeopt.store.{module}.now", lambda: jump)
        claim = claims.take(database, Place(run_id, 0, 3), "other")
        one.keeper.round()
        assert [held.worker for held in claims.held(database)] == ["other"]
        assert claim is not None
        claims.let_go(database, claim)
        while one.do_one():
            pass
    assert store.state(database, run_id) is RunState.FINISHED


def test_a_batch_that_hangs_ends_its_worker(database: Database) -> None:
    at = Place(start(database), 0, 0)
    claim = claims.take(database, at, "one")
    assert claim is not None
    left: list[int] = []
    keeper = Keeper(database, "one", PATIENT, left.append)
    hand = Hand(database, claim, threading.Event())
    hand.next_batch()
    with keeper.holding(hand):
        keeper.round()
        assert left == []
        hand.batch_began -= PATIENT.hang
        keeper.round()
    assert left == [HUNG]
    again = claims.take(database, at, "other")
    assert again is not None
    assert again.fault == "batch 1 did not end within 60 s"


def test_workers_are_listed_as_long_as_they_are_there(database: Database) -> None:
    assert workers.every(database) == []
    with worker(database) as one:
        one.keeper.round()
        (row,) = workers.every(database)
        assert (row.name, row.beat > 0) == (one.name, True)
    assert workers.every(database) == []


def test_a_hundred_runs_and_eight_workers_stay_responsive(database: Database) -> None:
    endless = replace(SMALL, evaluations=10**5)
    for number in range(100):
        question = question_of(ToyStudy(name=f"toy_{number}"), endless, START)
        run_id = store.find_or_create(database, question, "2026-01-01T00:00:00")
        store.begin(database, run_id, Budget(None, 10**9))
    with ExitStack() as closing:
        crew = [closing.enter_context(worker(database)) for _ in range(8)]
        threads = [threading.Thread(target=one.work) for one in crew]
        for thread in threads:
            thread.start()
        wait_until(lambda: len(claims.held(database)) == 8)
        busy = {one.at.run_id for one in claims.held(database)}
        began = time.monotonic()
        status(database, run_id)
        start(database, "newcomer", designs=128)
        took = time.monotonic() - began
        for one in crew:
            one.stopping.set()
        for thread in threads:
            thread.join(timeout=20.0)
    assert took < 15.0  # the slices that are in hand take minutes
    # each of eight runs had one worker before any had two
    assert len(busy) == 8
    assert claims.held(database) == []


def test_a_worker_starts_without_what_few_studies_need() -> None:
    """Whoever died is soon replaced: most of that time is reading modules."""
    look = "import sys, tradeopt.services.children; print('scipy.interpolate' in sys.modules)"
    told = subprocess.run([sys.executable, "-c", look], check=True, capture_output=True, text=True)
    assert told.stdout == "False\n"
