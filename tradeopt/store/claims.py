"""Claims: who has which step in hand, whose turn it is, and which workers there are.

A claim carries a token that no other claim of the run ever had. Whoever writes a result shows it
in the same transaction, so that a worker which was given up for dead, and is not, writes nothing.
"""

from collections.abc import Callable
from dataclasses import dataclass

from sqlalchemy import ColumnElement, Connection, and_, case, delete, select, update

from tradeopt.errors import TradeoptError
from tradeopt.store import tables, turns
from tradeopt.store.database import Database, insert_new
from tradeopt.store.turns import FREE, RUNNING
from tradeopt.store.workers import now

CRASH_COST = 1.0
"""Seconds that a crash is charged, so that a study that ends its workers waits its turn."""


Seal = Callable[[Connection], None]
"""Goes first into a transaction that writes a result, and stops it where that does not count."""


def unsealed(_connection: Connection) -> None:
    """Let a result count that is written without a claim; one that is there stays as it is."""


class Fenced(TradeoptError):  # noqa: N818 - it is no error: others have taken over
    """The claim is no longer ours; what was done under it is dropped."""


@dataclass(frozen=True)
class Place:
    """Which step of which run.

    Attributes
    ----------
    run_id : str
        The run.
    epoch : int
        The epoch that the step belongs to.
    place : int
        The step within it: an island, or what stands in its place, see `steps.claimable`.
    """

    run_id: str
    epoch: int
    place: int


@dataclass(frozen=True)
class Claim:
    """A step in hand.

    Attributes
    ----------
    at : Place
        Which step.
    worker : str
        Who has it.
    token : int
        What tells this claim from every other one.
    crashes : int
        How often the step ended its worker before.
    repeats : int
        How many of these crashes, from the last one back, came at the same batch of designs as
        the one before each.
    fault : str
        What the last one was; empty where there was none.
    """

    at: Place
    worker: str
    token: int
    crashes: int
    repeats: int
    fault: str


@dataclass(frozen=True)
class Held:
    """A claim as others see it.

    Attributes
    ----------
    at : Place
        Which step.
    token, beat : int
        Which claim, and how often its worker has said that it lives.
    worker : str
        Who has it.
    taken : str
        When it was taken, UTC.
    """

    at: Place
    token: int
    beat: int
    worker: str
    taken: str


def claimed(database: Database, run_id: str, epoch: int) -> dict[int, str]:
    """Tell which steps of an epoch were begun, and who has each in hand; `FREE` for nobody."""
    claim = tables.claim.c
    query = select(claim.place, claim.worker).where(claim.run_id == run_id, claim.epoch == epoch)
    rows = database.read(lambda connection: connection.execute(query).all())
    return {row.place: row.worker for row in rows}


def take(
    database: Database, at: Place, worker: str, *, most_others: int | None = None
) -> Claim | None:
    """
    Claim a step, unless somebody has it in hand or the run is not running.

    Parameters
    ----------
    database : Database
        Where runs are kept.
    at : Place
        Which step.
    worker : str
        Who wants it.
    most_others : int, optional
        Steps of the run that others may have in hand for this still to be its turn.

    Returns
    -------
    Claim or None
        The claim, under a token that the run never gave before.
    """
    return database.write(lambda connection: _take(connection, at, worker, most_others))


def _take(connection: Connection, at: Place, worker: str, most_others: int | None) -> Claim | None:
    run, claim = tables.run.c, tables.claim.c
    # whoever stops the run waits for this, and then takes the step out of our hands
    running = (
        select(run.id).where(run.id == at.run_id, run.state == RUNNING).with_for_update(read=True)
    )
    if connection.execute(running).scalar() is None:
        return None
    token = turns.next_token(connection, at.run_id)
    if most_others is not None and turns.in_hand(connection, at.run_id) > most_others:
        return None
    insert_new(connection, tables.claim, _new_row(at))
    # after a crash each batch is written down before it is begun, to see which one is at fault
    raised = (
        update(tables.claim)
        .where(_is_at(at), claim.worker == FREE)
        .values(
            token=token,
            beat=claim.beat + 1,
            worker=worker,
            taken=now(),
            batch=case((claim.crashes > 0, 0), else_=None),
        )
        .returning(claim.crashes, claim.repeats, claim.fault)
    )
    row = connection.execute(raised).one_or_none()
    if row is None:
        return None
    return Claim(at, worker, token, row.crashes, row.repeats, row.fault)


def _new_row(at: Place) -> dict[str, object]:
    return {
        "run_id": at.run_id,
        "epoch": at.epoch,
        "place": at.place,
        "token": 0,
        "beat": 0,
        "worker": FREE,
        "taken": "",
        "crashes": 0,
        "repeats": 0,
        "fault": "",
    }


def _is_at(at: Place) -> ColumnElement[bool]:
    claim = tables.claim.c
    return and_(claim.run_id == at.run_id, claim.epoch == at.epoch, claim.place == at.place)


def _is_ours(claim: Claim) -> ColumnElement[bool]:
    own = tables.claim.c
    return and_(_is_at(claim.at), own.token == claim.token, own.worker == claim.worker)


def seal(claim: Claim, seconds: float) -> Seal:
    """
    Return what makes a result count: put it first into the transaction that writes the result.

    Parameters
    ----------
    claim : Claim
        Under which it was worked out.
    seconds : float
        Time spent on it that is not booked yet [s].

    Returns
    -------
    callable
        Raises `Fenced` where the claim is no longer ours, so that nothing is written; else books
        the time and lets the step go for good.
    """

    def check(connection: Connection) -> None:
        turns.book(connection, claim.at.run_id, seconds)
        if not connection.execute(delete(tables.claim).where(_is_ours(claim))).rowcount:
            raise Fenced(f"{claim.at}: taken over from {claim.worker}")

    return check


def beat(
    database: Database, claim: Claim, seconds: float, *, batch: int | None, patience: float | None
) -> None:
    """
    Say that a step is still worked on.

    Parameters
    ----------
    database : Database
        Where runs are kept.
    claim : Claim
        Which step.
    seconds : float
        Time spent on it that is not booked yet [s].
    batch : int or None
        Which batch of designs is about to begin, where that has to be known.
    patience : float or None
        Seconds for which a database that does not answer is tried again.

    Raises
    ------
    Fenced
        When the claim is no longer ours.
    """
    own = tables.claim.c

    def write(connection: Connection) -> None:
        turns.book(connection, claim.at.run_id, seconds)
        values = {"beat": own.beat + 1} | ({} if batch is None else {"batch": batch})
        if not connection.execute(
            update(tables.claim).where(_is_ours(claim)).values(values)
        ).rowcount:
            raise Fenced(f"{claim.at}: taken over from {claim.worker}")

    database.write(write, patience=patience)


def let_go(database: Database, claim: Claim) -> None:
    """Give a step back undone, through no fault of its own."""
    change = update(tables.claim).where(_is_ours(claim)).values(worker=FREE)
    database.write(lambda connection: connection.execute(change))


def let_go_of(database: Database, worker: str) -> None:
    """Give back what a worker had in hand that was made to end."""
    change = update(tables.claim).where(tables.claim.c.worker == worker).values(worker=FREE)
    database.write(lambda connection: connection.execute(change))


def held(database: Database, *, patience: float | None = None) -> list[Held]:
    """Read what all workers have in hand."""
    claim = tables.claim.c
    query = select(tables.claim).where(claim.worker != FREE)
    rows = database.read(lambda connection: connection.execute(query).all(), patience=patience)
    return [
        Held(Place(row.run_id, row.epoch, row.place), row.token, row.beat, row.worker, row.taken)
        for row in rows
    ]


def crash(
    database: Database, at: Place, token: int, fault: str, *, batch: int | None = None
) -> bool:
    """
    Say that a step ended its worker, and let others try it.

    Parameters
    ----------
    database : Database
        Where runs are kept.
    at : Place
        Which step.
    token : int
        Of the claim that ended so.
    fault : str
        How.
    batch : int, optional
        Which batch of designs was in hand, where whoever says so knows better than the claim.

    Returns
    -------
    bool
        Whether it was so; not where that claim had ended before.
    """
    own, turn = tables.claim.c, tables.turn.c
    in_hand = own.batch if batch is None else batch
    change = (
        update(tables.claim)
        .where(_is_at(at), own.token == token, own.worker != FREE)
        .values(
            worker=FREE,
            fault=fault,
            crashes=own.crashes + 1,
            crash_batch=in_hand,
            repeats=case((own.crash_batch == in_hand, own.repeats + 1), else_=0),
        )
    )
    # in the order in which all others lock these rows
    lock = select(turn.run_id).where(turn.run_id == at.run_id).with_for_update()

    def write(connection: Connection) -> bool:
        connection.execute(lock)
        ended = bool(connection.execute(change).rowcount)
        if ended:
            turns.charge(connection, at.run_id, CRASH_COST)
        return ended

    return database.write(write)


def crash_of(database: Database, worker: str, fault: str) -> None:
    """Say that a worker ended with all that it had in hand."""
    for one in held(database):
        if one.worker == worker:
            crash(database, one.at, one.token, fault)


def free_all(connection: Connection, run_id: str) -> None:
    """Take everything out of the hands of the workers of a run, and forget its crashes."""
    connection.execute(
        update(tables.claim)
        .where(tables.claim.c.run_id == run_id)
        .values(worker=FREE, crashes=0, crash_batch=None, repeats=0, fault="")
    )
