"""The loop of every worker: claim the next step of any run, do it, write it down."""

import os
import secrets
import threading
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tradeopt.search.epoch import Epoch
from tradeopt.services import machine, runs, steps
from tradeopt.services.hand import Dropped, Hand, watched
from tradeopt.services.keeper import Keeper, Rhythm
from tradeopt.services.logs import log, log_fault
from tradeopt.services.steps import Step
from tradeopt.services.studies import StudyReader, problem_of
from tradeopt.store import claims, results, turns, workers
from tradeopt.store import runs as store
from tradeopt.store.claims import Claim, Fenced, Place
from tradeopt.store.database import Database, StoreError
from tradeopt.store.runs import Run, RunState
from tradeopt.store.turns import FREE, Turn
from tradeopt.store.workers import WorkerRow
from tradeopt.study.problem import Problem
from tradeopt.study.read import loads

FAMILIAR = 5.0
"""Seconds of service for which a worker stays with a study that it has read already."""

REMEMBERED = 8
"""Studies that a worker keeps in mind."""

RACES = 8
"""Steps that a worker may lose to others before it rests."""

SHORTEST_REST, LONGEST_REST = 0.02, 0.5
"""Seconds that a worker rests when there is nothing to do, at first and in the end."""

NEAR_REST = 0.05
"""The longest such rest while others work on a run, whose next epoch may open at any moment."""


@dataclass
class _Known:
    """What a worker remembers of a run."""

    created: str
    last: Epoch
    problem: Problem | None = None


class Memory:
    """What a worker remembers of the runs that it looked at last.

    Parameters
    ----------
    database : Database
        Where runs are kept.
    read_study : StudyReader
        Reads the studies that runs keep.
    """

    def __init__(self, database: Database, read_study: StudyReader) -> None:
        self.database = database
        self.read_study = read_study
        self._known: dict[str, _Known] = {}

    def last_epoch(self, run: Run) -> Epoch:
        """Return where a run stands; it is read again only if an epoch was closed since."""
        return self._of(run).last

    def problem(self, run: Run) -> Problem:
        """Return what scores the designs of a run; its study is read once."""
        known = self._of(run)
        if known.problem is None:
            known.problem = problem_of(run, self.read_study)
        return known.problem

    def has_read(self, run_id: str) -> bool:
        """Tell whether the study of a run was read."""
        known = self._known.get(run_id)
        return known is not None and known.problem is not None

    def _of(self, run: Run) -> _Known:
        known = self._known.pop(run.id, None)
        number = results.last_number(self.database, run.id)
        if known is None or known.created != run.created:
            known = _Known(run.created, results.last_epoch(self.database, run))
        elif known.last.number != number:
            known.last = results.last_epoch(self.database, run)
        self._known[run.id] = known  # the last one is the one that was looked at last
        while len(self._known) > REMEMBERED:
            del self._known[next(iter(self._known))]
        return known


class Worker:
    """Does steps, one at a time.

    Parameters
    ----------
    database : Database
        Where runs are kept.
    name : str
        Its name, see `new_name`.
    stopping : threading.Event
        Set when it is to end; looked at between two batches of designs.
    rhythm : Rhythm
        How often it is heard of.
    only : str, optional
        A run that it works on, and on no other.
    read_study : StudyReader
        Reads the studies that runs keep.
    """

    def __init__(
        self,
        database: Database,
        name: str,
        *,
        stopping: threading.Event,
        rhythm: Rhythm,
        only: str | None = None,
        read_study: StudyReader = loads,
    ) -> None:
        self.database = database
        self.name = name
        self.stopping = stopping
        self.only = only
        self.is_near = False
        self.memory = Memory(database, read_study)
        self.keeper = Keeper(database, name, rhythm)

    def begin(self) -> None:
        """Put its name on the list, and let its keeper start."""
        moment = workers.now()
        process = os.getpid()
        row = WorkerRow(
            name=self.name,
            home=machine.home(),
            process=process,
            born=machine.born(process),
            beat=0,
            since=moment,
            seen=moment,
        )
        workers.announce(self.database, row)
        self.keeper.start()

    def end(self) -> None:
        """Strike its name off the list."""
        self.keeper.stop()
        workers.leave(self.database, [self.name])

    def work(self, seconds: float | None = None) -> bool:
        """
        Do steps until it is to end.

        Parameters
        ----------
        seconds : float, optional
            Begin none after so long, nor after it rested for the fifth part without any work.

        Returns
        -------
        bool
            Whether there was anything to do.
        """
        began = worked = time.monotonic()
        rest, done = SHORTEST_REST, False
        while not self.stopping.is_set():
            moment = time.monotonic()
            if seconds and (moment - began > seconds or moment - worked > seconds / 5.0):
                break
            if self._try_one():
                rest, done, worked = SHORTEST_REST, True, time.monotonic()
            else:
                self.stopping.wait(rest)
                rest = min(1.5 * rest, NEAR_REST if self.is_near else LONGEST_REST)
        return done

    def _try_one(self) -> bool:
        """Do a step; a database that has been away for long is no reason to end."""
        try:
            return self.do_one()
        except StoreError as error:
            log_fault("the database cannot be used", error)
            return False

    def do_one(self) -> bool:
        """Do the next step of any run; tell whether there was one."""
        claim = self._claim_next()
        if claim is None:
            return False
        hand = Hand(self.database, claim, self.stopping)
        with self.keeper.holding(hand):
            self._do(hand)
        return True

    def _claim_next(self) -> Claim | None:
        """Claim the next step; who loses it to another worker looks again whose turn it is."""
        for _ in range(RACES):
            found = self._next_step()
            if found is None:
                return None
            turn, at = found
            claim = claims.take(self.database, at, self.name, most_others=turn.in_hand)
            if claim is not None:
                return claim
        return None

    def _next_step(self) -> tuple[Turn, Place] | None:
        wanting = turns.in_order(self.database)
        self.is_near = any(turn.in_hand for turn in wanting)
        for turn in sorted(wanting, key=self._rank):
            if turn.is_full or self.only not in {None, turn.run_id}:
                continue
            at = self._open_step(turn.run_id)
            if at is not None:
                return turn, at
        return None

    def _rank(self, turn: Turn) -> float:
        is_familiar = self.memory.has_read(turn.run_id)
        return turn.rank - (FAMILIAR / turn.priority if is_familiar else 0.0)

    def _open_step(self, run_id: str) -> Place | None:
        """Return a step that can be claimed."""
        run = store.get(self.database, run_id)
        if run.state is not RunState.RUNNING:
            return None
        work = steps.work_of(self.database, run, self.memory.last_epoch(run))
        begun = claims.claimed(self.database, run_id, work.epoch)
        chosen = _any_free(steps.claimable(work, run.plan), begun)
        return None if chosen is None else Place(run_id, work.epoch, chosen)

    def _do(self, hand: Hand) -> None:
        at, began = hand.claim.at, time.monotonic()
        log("step begun", at, worker=self.name, token=hand.claim.token)
        try:
            self._carry_out(hand)
        except (Dropped, Fenced) as why:
            log("step dropped", at, worker=self.name, why=str(why) or "asked to stop")
        except StoreError:
            raise
        except Exception as error:  # noqa: BLE001 - a user's own stage may raise anything
            log_fault("step failed", error)
            fault = f"{type(error).__name__}: {error}"
            claims.crash(self.database, at, hand.claim.token, fault, batch=hand.batch)
        else:
            log("step done", at, worker=self.name, seconds=round(time.monotonic() - began, 3))
            if hand.is_sealed:
                return  # which let the step go for good
        claims.let_go(self.database, hand.claim)

    def _carry_out(self, hand: Hand) -> None:
        at = hand.claim.at
        run = store.get(self.database, at.run_id)
        if hand.is_hopeless:
            self._give_up(run, hand)
        elif at.place < run.plan.islands:
            problem = watched(self.memory.problem(run), hand)
            place = at.epoch, at.place
            runs.do_slice(self.database, run, place, problem, worker=self.name, seal=hand.seal)
        elif at.place == run.plan.islands:
            runs.close_epoch(self.database, run.id, at.epoch, seal=hand.seal)
        else:
            self._end(run, hand)

    def _give_up(self, run: Run, hand: Hand) -> None:
        at, fault = hand.claim.at, hand.claim.fault
        if at.place < run.plan.islands:
            runs.set_aside(self.database, run.id, at.epoch, at.place, fault, seal=hand.seal())
        else:
            note = f"epoch {at.epoch} could not be closed: {fault}"
            runs.end(self.database, run.id, RunState.FAILED, note, seal=hand.seal())

    def _end(self, run: Run, hand: Hand) -> None:
        work = steps.work_of(self.database, run, self.memory.last_epoch(run))
        if work.step is Step.END:
            runs.promote(self.database, run.id)
            runs.end(self.database, run.id, work.state, work.note, seal=hand.seal())


def _any_free(places: Sequence[int], begun: Mapping[int, str]) -> int | None:
    """Choose a step that nobody has in hand, one that somebody had begun if there is any."""
    free = [one for one in places if begun.get(one, FREE) == FREE]
    once_begun = [one for one in free if one in begun]
    # any other will do, and two workers seldom want the same
    return once_begun[0] if once_begun else secrets.choice(free) if free else None


def new_name() -> str:
    """Make a name for a worker, which no other one has or will have."""
    return f"{machine.home().partition('/')[0]}:{secrets.token_hex(4)}"
