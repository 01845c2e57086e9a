"""Takes steps out of the hands of workers that have died."""

import time
from dataclasses import dataclass, field

from tradeopt.services import machine
from tradeopt.services.logs import log
from tradeopt.store import claims, workers
from tradeopt.store.claims import Held, Place
from tradeopt.store.database import Database
from tradeopt.store.workers import WorkerRow

FORGOTTEN = 600.0
"""Seconds without a word after which a worker is struck off the list."""

PATIENCE = 5.0
"""Seconds for which a database that does not answer is tried again in one round."""


@dataclass
class _Watch:
    """Which beat was seen last, and when it first was, by the clock of this process [s]."""

    beat: int
    since: float


@dataclass
class Sweeper:
    """Watches the beats of all workers, by its own clock alone.

    Attributes
    ----------
    database : Database
        Where runs are kept.
    lease : float
        Seconds for which a beat may stay the same.
    """

    database: Database
    lease: float
    _claims: dict[tuple[Place, int], _Watch] = field(default_factory=dict)
    _workers: dict[str, _Watch] = field(default_factory=dict)
    _last: float = 0.0

    def sweep(self) -> None:
        """Look once; to be called every few seconds."""
        moment = time.monotonic()
        if moment - self._last > 0.5 * self.lease:
            # we slept or the database did: nobody could be heard in the meantime
            self._claims.clear()
            self._workers.clear()
        listed = {one.name: one for one in workers.every(self.database, patience=PATIENCE)}
        in_hand = claims.held(self.database, patience=PATIENCE)
        for one in in_hand:
            if fault := self._fault(one, listed.get(one.worker), moment):
                log("a step lost its worker", one.at, worker=one.worker, fault=fault)
                claims.crash(self.database, one.at, one.token, fault)
        there = {(one.at, one.token) for one in in_hand}
        self._claims = {key: watch for key, watch in self._claims.items() if key in there}
        self._forget(listed, moment)
        self._last = moment

    def _fault(self, one: Held, worker: WorkerRow | None, moment: float) -> str:
        """Say why a step has to be taken from its worker; nothing where it has not."""
        if worker and machine.has_died(worker.home, worker.process, worker.born):
            return "its process ended"
        watch = self._claims.setdefault((one.at, one.token), _Watch(one.beat, moment))
        if watch.beat != one.beat:
            watch.beat, watch.since = one.beat, moment
        silent = moment - watch.since > self.lease
        return f"its worker was not heard of for {self.lease:g} s" if silent else ""

    def _forget(self, listed: dict[str, WorkerRow], moment: float) -> None:
        """Strike off workers that are gone, but for the one that was seen last."""
        gone = []
        for name, row in listed.items():
            watch = self._workers.setdefault(name, _Watch(row.beat, moment))
            if watch.beat != row.beat:
                watch.beat, watch.since = row.beat, moment
            died = machine.has_died(row.home, row.process, row.born)
            if died or moment - watch.since > FORGOTTEN:
                gone.append(name)
        latest = max(listed, key=lambda name: listed[name].seen, default="")
        gone = [name for name in gone if name != latest]
        if gone:
            workers.leave(self.database, gone)
        self._workers = {name: watch for name, watch in self._workers.items() if name in listed}
