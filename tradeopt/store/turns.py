"""Whose turn it is: runs share the workers by their priorities, and time is booked on them."""

import time
from dataclasses import asdict, dataclass
from typing import Final

from sqlalchemy import (
    ColumnElement,
    Connection,
    Float,
    ScalarSelect,
    and_,
    case,
    cast,
    extract,
    func,
    insert,
    literal,
    select,
    update,
)

from tradeopt.store import tables
from tradeopt.store.database import Database

FREE = ""
"""Stands for the worker of a claim that nobody has in hand."""

HASTE = 1.0
"""Seconds that a step in hand is charged until its time is booked."""

UNHEARD = 10.0
"""Seconds without a booking, some beats of the workers, after which nobody may have worked."""

RUNNING = "running"
"""The state of a run that wants workers; see `RunState`."""


@dataclass(frozen=True)
class Wish:
    """How much of the workers a run wants.

    Attributes
    ----------
    priority : float or None
        Its share against that of other runs, 1 being usual; as before where None.
    most_workers : int or None
        How many it may have at once; as before where None.
    """

    priority: float | None = None
    most_workers: int | None = None


AS_BEFORE: Final = Wish()


@dataclass(frozen=True)
class Turn:
    """A run that wants workers.

    Attributes
    ----------
    run_id : str
        Which run.
    priority : float
        Its share of the workers against that of others.
    served : float
        Seconds that workers spent on it, divided by its priority; a new run begins with the least
        of those that are running.
    in_hand : int
        Its steps that workers have in hand.
    most_workers : int or None
        How many it may have at once.
    """

    run_id: str
    priority: float
    served: float
    in_hand: int
    most_workers: int | None

    @property
    def rank(self) -> float:
        """The run with the least is next."""
        return self.served + self.in_hand * HASTE / self.priority

    @property
    def is_full(self) -> bool:
        """Whether it has as many workers as it may."""
        return self.most_workers is not None and self.in_hand >= self.most_workers


def create(connection: Connection, run_id: str) -> None:
    """Write down a new run, which has not been served."""
    connection.execute(
        insert(tables.turn).values(
            run_id=run_id,
            priority=1.0,
            most_workers=None,
            served=0.0,
            seconds_spent=0.0,
            booked_until=0.0,
            tokens=0,
        )
    )


def grant(connection: Connection, run_id: str, wish: Wish) -> None:
    """Give a run another share of the workers, as far as one is wished for."""
    wished = {name: value for name, value in asdict(wish).items() if value is not None}
    if wished:
        change = update(tables.turn).where(tables.turn.c.run_id == run_id)
        connection.execute(change.values(wished))


def queue_up(connection: Connection, run_id: str) -> None:
    """
    Let a run begin with the least that a running one was served.

    Parameters
    ----------
    connection : Connection
        A transaction that writes.
    run_id : str
        Which run; it is not running yet.

    Notes
    -----
    With more it would wait for what others had before it came, with less they would wait for it.
    """
    run, turn = tables.run.c, tables.turn.c
    least = connection.execute(
        select(func.min(turn.served))
        .join_from(tables.turn, tables.run, turn.run_id == run.id)
        .where(run.state == RUNNING)
    ).scalar()
    if least is not None:
        connection.execute(update(tables.turn).where(turn.run_id == run_id).values(served=least))


def in_order(database: Database) -> list[Turn]:
    """Read the runs that want workers, the next one first."""
    run, turn, claim = tables.run.c, tables.turn.c, tables.claim.c
    columns = (turn.run_id, turn.priority, turn.served, turn.most_workers)
    query = (
        select(*columns, func.count(claim.worker).label("in_hand"))
        .join_from(tables.turn, tables.run, turn.run_id == run.id)
        .outerjoin(tables.claim, and_(claim.run_id == turn.run_id, claim.worker != FREE))
        .where(run.state == RUNNING)
        .group_by(*columns)
    )
    rows = database.read(lambda connection: connection.execute(query).all())
    found = [
        Turn(row.run_id, row.priority, row.served, row.in_hand, row.most_workers) for row in rows
    ]
    return sorted(found, key=lambda one: (one.rank, one.run_id))


def in_hand(connection: Connection, run_id: str) -> int:
    """Count the steps of a run that workers have in hand."""
    return int(connection.execute(select(_in_hand(run_id))).scalar_one())


def _in_hand(run_id: str) -> ScalarSelect[int]:
    claim = tables.claim.c
    return (
        select(func.count())
        .select_from(tables.claim)
        .where(claim.run_id == run_id, claim.worker != FREE)
        .scalar_subquery()
    )


def next_token(connection: Connection, run_id: str) -> int:
    """Give a number that the run never gave before to who is about to take a step of it."""
    turn = tables.turn.c
    nobody_works = _in_hand(run_id) == 0  # so that its time begins to pass now
    change = (
        update(tables.turn)
        .where(turn.run_id == run_id)
        .values(
            tokens=turn.tokens + 1,
            booked_until=case((nobody_works, _clock(connection)), else_=turn.booked_until),
        )
        .returning(turn.tokens)
    )
    return int(connection.execute(change).scalar_one())


def book(connection: Connection, run_id: str, seconds: float) -> None:
    """
    Book the time that a worker spent last.

    Parameters
    ----------
    connection : Connection
        A transaction that writes.
    run_id : str
        On which run.
    seconds : float
        How long [s], until now; the worker has a step of the run in hand still.

    Notes
    -----
    All of it counts as service. For the run itself time passes once, however many work on it: from
    the moment at which the first of them took a step, or from the last booking by any of them. A
    gap in which nobody was heard of, and those that had steps in hand may have been dead, does not
    count.
    """
    turn, moment = tables.turn.c, _clock(connection)
    passed = moment - turn.booked_until
    most = max(seconds, UNHEARD)
    new = case((passed < 0.0, 0.0), (passed > most, seconds), else_=passed)
    connection.execute(
        update(tables.turn)
        .where(turn.run_id == run_id)
        .values(
            seconds_spent=turn.seconds_spent + new,
            booked_until=moment,
            served=turn.served + seconds / turn.priority,
        )
    )


def _clock(connection: Connection) -> ColumnElement[float]:
    """Return the seconds of the clock that all workers of a database share.

    A database server has one; a file lies on the machine of all its workers.
    """
    if connection.dialect.name == "postgresql":
        return cast(extract("epoch", func.clock_timestamp()), Float)
    return literal(time.time())


def charge(connection: Connection, run_id: str, seconds: float) -> None:
    """Let a run wait longer for its turn, as if it had been served for so long."""
    turn = tables.turn.c
    connection.execute(
        update(tables.turn)
        .where(turn.run_id == run_id)
        .values(served=turn.served + seconds / turn.priority)
    )
