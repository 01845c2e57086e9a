"""A step in hand: whether it is still ours, and which batch of its designs is under way."""

import threading
import time
from dataclasses import dataclass

from tradeopt.arrays import Array
from tradeopt.store import claims
from tradeopt.store.claims import Claim, Fenced, Seal
from tradeopt.store.database import Database
from tradeopt.study.problem import (
    HasPieces,
    Limit,
    Objective,
    Pieces,
    Problem,
    Scores,
    Variable,
)

CRASHES = 3
"""Times that a batch may end its worker before its slice is set aside."""


class Dropped(Exception):  # noqa: N818 - it is no error: somebody wants the worker to stop
    """The step is given up between two batches."""


class Hand:
    """What a worker has in hand.

    Parameters
    ----------
    database : Database
        Where runs are kept.
    claim : Claim
        The step.
    stopping : threading.Event
        Set when the worker is to end.

    Attributes
    ----------
    batch : int
        How many batches of designs have begun.
    batch_began : float
        When the last one did, by the clock of this process [s].
    is_sealed : bool
        A result has been handed over.
    """

    def __init__(self, database: Database, claim: Claim, stopping: threading.Event) -> None:
        self.database = database
        self.claim = claim
        self.stopping = stopping
        self.batch = 0
        self.batch_began = time.monotonic()
        self.is_sealed = False
        self._lost = threading.Event()
        self._booked = self.batch_began
        self._lock = threading.Lock()

    @property
    def is_hopeless(self) -> bool:
        """Whether the step ends whoever does it, at the same batch each time."""
        return self.claim.repeats >= CRASHES - 1

    def next_batch(self) -> None:
        """Begin a batch of designs, unless the step is lost or the worker is to end."""
        if self._lost.is_set() or self.stopping.is_set():
            raise Dropped
        self.batch += 1
        self.batch_began = time.monotonic()
        if self.claim.crashes:
            self.beat(patience=None)

    def beat(self, *, patience: float | None) -> None:
        """Say in the database that the step is worked on, and book the time."""
        with self._lock:
            if self.is_sealed:
                return
            moment = time.monotonic()
            batch = self.batch if self.claim.crashes else None
            try:
                claims.beat(
                    self.database,
                    self.claim,
                    moment - self._booked,
                    batch=batch,
                    patience=patience,
                )
            except Fenced:
                self._lost.set()
            else:
                self._booked = moment

    def seal(self) -> Seal:
        """Return what makes a result count; there are no more beats after it."""
        with self._lock:
            self.is_sealed = True
            return claims.seal(self.claim, time.monotonic() - self._booked)


@dataclass(frozen=True)
class Watched:
    """A problem that tells a hand before each batch.

    Attributes
    ----------
    problem : Problem
        Scores the designs.
    hand : Hand
        Is told.
    """

    problem: Problem
    hand: Hand

    @property
    def variables(self) -> tuple[Variable, ...]:
        """What may be chosen."""
        return self.problem.variables

    @property
    def objectives(self) -> tuple[Objective, ...]:
        """What is wanted."""
        return self.problem.objectives

    @property
    def limits(self) -> tuple[Limit, ...]:
        """What must hold."""
        return self.problem.limits

    @property
    def baseline(self) -> Array:
        """The design that the study file itself describes."""
        return self.problem.baseline

    def score(self, designs: Array) -> Scores:
        """Score a batch of designs."""
        self.hand.next_batch()
        return self.problem.score(designs)


@dataclass(frozen=True)
class WatchedPieces(Watched):
    """The same for a problem that can tell the parts of its limits."""

    problem: HasPieces  # type: ignore[assignment]  # it is a problem too, which has no type here

    def score_pieces(self, designs: Array) -> tuple[Scores, Pieces]:
        """Score a batch of designs, and tell the parts of its limits."""
        self.hand.next_batch()
        return self.problem.score_pieces(designs)


def watched(problem: Problem, hand: Hand) -> Problem:
    """Let a hand be told before each batch that a problem scores."""
    if isinstance(problem, HasPieces):
        return WatchedPieces(problem, hand)
    return Watched(problem, hand)
