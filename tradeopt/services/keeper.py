"""Keeps a worker honest: says that it lives, and ends it when it does not."""

import faulthandler
import logging
import os
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from tradeopt.services.hand import Hand
from tradeopt.services.logs import log, log_fault
from tradeopt.services.sweeper import PATIENCE, Sweeper
from tradeopt.settings import Settings
from tradeopt.store import claims, workers
from tradeopt.store.database import Database

HUNG = 70
"""Exit code of a worker whose batch did not end."""


@dataclass(frozen=True)
class Rhythm:
    """How often workers are heard of, and how long they are waited for [s].

    Attributes
    ----------
    lease : float
        A worker that is not heard of for so long loses what it has in hand.
    hang : float
        A batch of designs that takes longer ends its worker.
    deadman : float
        A worker whose keeper hangs for so long, with the database say, is ended.
    """

    lease: float = 15.0
    hang: float = 120.0
    deadman: float = 60.0

    @property
    def beat(self) -> float:
        """Time between two beats."""
        return self.lease / 7.5


STEADY = Rhythm()
"""The usual one."""


def rhythm_of(settings: Settings) -> Rhythm:
    """Return how often workers are heard of, as the environment wants it."""
    return Rhythm(lease=settings.lease, hang=settings.hang)


class Rounds:
    """A thread that does something now and then, and ends the process should that hang.

    Parameters
    ----------
    do : callable
        What is done; an error is told, and it is done again the next time.
    rhythm : Rhythm
        How often.
    """

    def __init__(self, do: Callable[[], None], rhythm: Rhythm) -> None:
        self.do = do
        self.rhythm = rhythm
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._go, name="rounds", daemon=True)

    def start(self) -> None:
        """Begin."""
        self._thread.start()

    def stop(self) -> None:
        """End, and take the deadman away."""
        self._over.set()
        self._thread.join()
        faulthandler.cancel_dump_traceback_later()

    def _go(self) -> None:
        while not self._over.is_set():
            # a thread that needs nothing of this program: it goes off whatever hangs
            faulthandler.dump_traceback_later(self.rhythm.deadman, exit=True)
            try:
                self.do()
            except Exception as error:  # noqa: BLE001 - the database may be down for a while
                log_fault("a round failed", error)
            self._over.wait(self.rhythm.beat)


class Keeper:
    """Beside the work: beats, sweeps, and watches over the worker itself.

    Parameters
    ----------
    database : Database
        Where runs are kept.
    worker : str
        Name of the worker.
    rhythm : Rhythm
        How often.
    leave : callable
        Ends the process at once.
    """

    def __init__(
        self,
        database: Database,
        worker: str,
        rhythm: Rhythm,
        leave: Callable[[int], object] = os._exit,
    ) -> None:
        self.database = database
        self.worker = worker
        self.rhythm = rhythm
        self.leave = leave
        self.sweeper = Sweeper(database, rhythm.lease)
        self._hand: Hand | None = None
        self._rounds = Rounds(self.round, rhythm)

    def start(self) -> None:
        """Begin."""
        self._rounds.start()

    def stop(self) -> None:
        """End."""
        self._rounds.stop()

    @contextmanager
    def holding(self, hand: Hand) -> Iterator[None]:
        """Keep a step in hand alive as long as it is worked on."""
        self._hand = hand
        try:
            yield
        finally:
            self._hand = None

    def round(self) -> None:
        """Do once what has to be done now and then."""
        hand = self._hand
        if hand is not None:
            self._end_if_hung(hand)
            hand.beat(patience=PATIENCE)
        workers.live(self.database, self.worker, patience=PATIENCE)
        self.sweeper.sweep()

    def _end_if_hung(self, hand: Hand) -> None:
        if time.monotonic() - hand.batch_began <= self.rhythm.hang:
            return
        at = hand.claim.at
        fault = f"batch {hand.batch} did not end within {self.rhythm.hang:g} s"
        log("a batch hangs", at, level=logging.ERROR, fault=fault)
        claims.crash(self.database, at, hand.claim.token, fault, batch=hand.batch)
        self.leave(HUNG)
