"""The processes that do steps: who they are, and when each was last heard of."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from sqlalchemy import delete, select, update

from tradeopt.store import tables
from tradeopt.store.database import Database, insert_new


@dataclass(frozen=True)
class WorkerRow:
    """A process that does steps.

    Attributes
    ----------
    name : str
        Its name, used once.
    home : str
        The machine that it runs on, and which of the machine's worlds of processes.
    process : int
        Its number there.
    born : str
        When that process began, as the machine says it.
    beat : int
        How often it has said that it lives.
    since, seen : str
        When it came, and when it was last heard of, UTC.
    """

    name: str
    home: str
    process: int
    born: str
    beat: int
    since: str
    seen: str


def now() -> str:
    """Return the time for people to read, UTC; nothing is decided by it."""
    return datetime.now(UTC).isoformat(timespec="milliseconds")


def announce(database: Database, row: WorkerRow) -> None:
    """Write down a new worker."""
    database.write(lambda connection: insert_new(connection, tables.worker, vars(row)))


def live(database: Database, name: str, *, patience: float) -> None:
    """Say that a worker lives."""
    table = tables.worker.c
    change = (
        update(tables.worker).where(table.name == name).values(beat=table.beat + 1, seen=now())
    )
    database.write(lambda connection: connection.execute(change), patience=patience)


def leave(database: Database, names: Sequence[str]) -> None:
    """Strike workers off the list."""
    gone = delete(tables.worker).where(tables.worker.c.name.in_(names))
    database.write(lambda connection: connection.execute(gone))


def every(database: Database, *, patience: float | None = None) -> list[WorkerRow]:
    """Read which workers there are, and those that ended without a word."""
    query = select(tables.worker).order_by(tables.worker.c.since, tables.worker.c.name)
    rows = database.read(lambda connection: connection.execute(query).all(), patience=patience)
    return [WorkerRow(**dict(row._mapping)) for row in rows]  # noqa: SLF001 - its public name
