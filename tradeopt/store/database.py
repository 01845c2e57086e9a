"""The way to the database: its settings, and transactions that are tried again when it is busy."""

import time
from collections.abc import Callable, Mapping
from pathlib import Path
from sqlite3 import Connection as SQLiteConnection
from sqlite3 import Error as SQLiteError
from typing import Any, TypeVar

from sqlalchemy import Connection, Engine, Table, create_engine, event, func, inspect, select
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, NoSuchModuleError, OperationalError
from sqlalchemy.pool import ConnectionPoolEntry

from tradeopt.errors import TradeoptError
from tradeopt.store import tables

T = TypeVar("T")

PATIENCE = 120.0
"""Seconds for which a transaction is tried again."""

SQLITE_SETTINGS = (
    "journal_mode=WAL",
    "synchronous=FULL",
    "busy_timeout=30000",
    "foreign_keys=ON",
    "journal_size_limit=67108864",
)


POSTGRES_SETTINGS = {
    "connect_timeout": 5,
    "keepalives_idle": 10,
    "keepalives_interval": 5,
    "keepalives_count": 3,
    "options": (
        "-c statement_timeout=30000 -c lock_timeout=10000"
        " -c idle_in_transaction_session_timeout=20000"
    ),
}
"""A server that has gone is soon noticed, and a worker that hangs keeps no locks [s, ms]."""

PASSING = ("is locked", "is busy", "disk is full", "disk I/O error")
"""What a file database says of troubles that may pass."""

PREPARING = 7_300_417
"""Number of the lock, of a server, under which tables are made; any that nobody else uses."""

REFUSED = ("28", "3D")
"""How codes of a server begin that knows neither us nor the database."""

NETWORK_DISKS = frozenset(
    {"nfs", "nfs4", "cifs", "smb3", "smbfs", "9p", "afs", "ceph", "glusterfs", "lustre"}
    | {"fuse.sshfs", "fuse.glusterfs", "fuse.s3fs", "fuse.rclone"}
)
"""Kinds of file system on which the locks of a file database do not hold."""

MOUNTS = Path("/proc/mounts")
"""Where the system lists what is mounted; there is none on some."""


class StoreError(TradeoptError):
    """The database cannot be used."""


Outage = OperationalError
"""What a database raises that is away, for those who need not know its library."""


class Database:
    """A database that keeps runs; one object a process."""

    def __init__(self, url: str, *, patience: float = PATIENCE) -> None:
        self.url = url
        self._patience = patience
        self._engine = _engine(_parsed(url))
        self._writer = self._engine.execution_options(writes=True)
        try:
            self.write(self._prepare)
        except DBAPIError as error:
            self.close()
            raise StoreError(f"database {_parsed(url)!r}: {error.orig}") from error
        except StoreError:
            self.close()
            raise

    def _prepare(self, connection: Connection) -> None:
        """Make the tables where there are none; refuse those of another version."""
        if connection.dialect.name == "postgresql":  # others begin at the same moment
            connection.execute(select(func.pg_advisory_xact_lock(PREPARING)))
        there = set(inspect(connection).get_table_names())
        if there.isdisjoint(tables.metadata.tables):
            tables.metadata.create_all(connection)
            connection.execute(tables.schema.insert().values(version=tables.VERSION))
            return
        is_marked = tables.schema.name in there
        found = connection.scalar(select(tables.schema.c.version)) if is_marked else None
        if found != tables.VERSION:
            got = "tables of no known version" if found is None else f"tables of version {found}"
            raise StoreError(
                f"database {_parsed(self.url)!r}: made by another version of tradeopt: "
                f"got {got}, want version {tables.VERSION}. Keep it for the one that made it, and "
                "name a new one by TRADEOPT_DATABASE_URL, such as sqlite:///new.db"
            )

    def read(self, work: Callable[[Connection], T], *, patience: float | None = None) -> T:
        """Do work that only reads, in one transaction, tried again for so many seconds."""
        return _patiently(self._engine, work, self._patience if patience is None else patience)

    def write(self, work: Callable[[Connection], T], *, patience: float | None = None) -> T:
        """Do work that writes, in one transaction; it may be done again, so it only writes."""
        return _patiently(self._writer, work, self._patience if patience is None else patience)

    def check(self) -> None:
        """Raise `StoreError` unless the database answers."""
        try:
            # a table of ours: a file database answers by itself to what asks for none
            self.read(lambda connection: connection.execute(select(tables.run.c.id).limit(1)))
        except DBAPIError as error:
            raise StoreError("database: got no answer, want one") from error

    def close(self) -> None:
        """Let go of all connections."""
        self._engine.dispose()


def insert_new(connection: Connection, table: Table, row: Mapping[str, Any]) -> bool:
    """
    Write a row unless one with its key stands already.

    Parameters
    ----------
    connection : Connection
        A transaction that writes.
    table : Table
        Where to.
    row : mapping of str to object
        The row.

    Returns
    -------
    bool
        Whether it was written.
    """
    if connection.dialect.name == "postgresql":
        return bool(
            connection.execute(
                postgresql.insert(table).values(**row).on_conflict_do_nothing()
            ).rowcount
        )
    return bool(
        connection.execute(sqlite.insert(table).values(**row).on_conflict_do_nothing()).rowcount
    )


def _parsed(url: str) -> URL:
    try:
        parsed = make_url(url)
    except ArgumentError as error:
        raise StoreError("database: got no address, want one such as sqlite:///runs.db") from error
    if parsed.get_backend_name() == "sqlite" and parsed.database in {None, "", ":memory:"}:
        raise StoreError("database: got one in memory, want a file, for workers to share it")
    return parsed


def _refuse_network_disk(file: Path) -> None:
    """Refuse a file database where workers on two machines could ruin it."""
    if not MOUNTS.exists():
        return
    kinds = {}
    for line in MOUNTS.read_text(encoding="utf-8", errors="replace").splitlines():
        _, place, kind, *_ = line.split(" ")
        kinds[Path(place.replace("\\040", " "))] = kind
    folder = file.absolute().resolve().parent
    nearest = next((one for one in (folder, *folder.parents) if one in kinds), None)
    if nearest is not None and kinds[nearest] in NETWORK_DISKS:
        raise StoreError(
            f"database {file}: got a disk of the network ({kinds[nearest]}), want a disk of this "
            "machine, or a database server where several machines are to work"
        )


def _engine(url: URL) -> Engine:
    try:
        if url.get_backend_name() == "sqlite":
            _refuse_network_disk(Path(str(url.database)))
            return _sqlite_engine(url)
        if url.get_backend_name() == "postgresql":
            return create_engine(url, pool_pre_ping=True, connect_args=POSTGRES_SETTINGS)
        return create_engine(url, pool_pre_ping=True)
    except (NoSuchModuleError, ModuleNotFoundError) as error:
        raise StoreError(f"database {url!r}: {error}") from error


def _sqlite_engine(url: URL) -> Engine:
    engine = create_engine(url)
    event.listen(engine, "connect", _set_up_sqlite)
    event.listen(engine, "begin", _begin_sqlite)
    return engine


def _set_up_sqlite(connection: SQLiteConnection, _entry: ConnectionPoolEntry) -> None:
    connection.isolation_level = None  # we begin transactions ourselves, see _begin_sqlite
    for setting in SQLITE_SETTINGS:
        connection.execute(f"PRAGMA {setting}")


def _begin_sqlite(connection: Connection) -> None:
    # a writer takes the lock at once: a reader that turns writer would not wait for it, but fail
    writes = connection.get_execution_options().get("writes", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def _patiently(engine: Engine, work: Callable[[Connection], T], patience: float) -> T:
    give_up = time.monotonic() + patience
    pause = 0.05
    while True:
        try:
            with engine.begin() as connection:
                return work(connection)
        except DBAPIError as error:
            if not _passing(error):
                raise
            if time.monotonic() > give_up:
                raise StoreError(f"database: {error.orig}") from error
        time.sleep(pause)
        pause = min(2.0 * pause, 3.0)


def _passing(error: DBAPIError) -> bool:
    """Tell whether trying again may help: the database is busy, full, or cannot be reached."""
    if error.connection_invalidated:
        return True
    if isinstance(error.orig, SQLiteError):
        return any(words in str(error.orig) for words in PASSING)
    # of a server: it is down or starting, it ended a transaction, a wait or a deadlock
    refused = str(getattr(error.orig, "sqlstate", None)).startswith(REFUSED)
    return isinstance(error, OperationalError) and not refused
