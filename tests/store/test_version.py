"""A database that another version made is refused before anything is done with it."""

import hashlib
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy.dialects import sqlite
from sqlalchemy.schema import CreateIndex, CreateTable

from tests.cli.conftest import Command, home, tradeopt
from tradeopt.store import tables
from tradeopt.store.database import Database, StoreError

__all__ = ["home", "tradeopt"]

ANOTHER = "CREATE TABLE schema (version INTEGER PRIMARY KEY); INSERT INTO schema VALUES (999);"


@pytest.mark.parametrize(
    ("more", "got"),
    [("", "tables of no known version"), (ANOTHER, "tables of version 999")],
)
def test_a_database_of_another_version_is_refused_and_left_as_it_was(
    tmp_path: Path, more: str, got: str
) -> None:
    path = tmp_path / "old.db"
    with closing(sqlite3.connect(path)) as old:
        old.executescript(f"CREATE TABLE run (id TEXT PRIMARY KEY); {more}")
        before = old.execute("SELECT name, sql FROM sqlite_master").fetchall()
    with pytest.raises(StoreError, match=f"another version of tradeopt: got {got}, want version"):
        Database(f"sqlite:///{path}")
    with closing(sqlite3.connect(path)) as old:
        assert old.execute("SELECT name, sql FROM sqlite_master").fetchall() == before


def test_tables_of_others_in_the_same_database_are_in_nobodys_way(tmp_path: Path) -> None:
    path = tmp_path / "shared.db"
    with closing(sqlite3.connect(path)) as others:
        others.execute("CREATE TABLE tides (height REAL)")
    for _ in ("made", "opened again"):
        opened = Database(f"sqlite:///{path}")
        opened.check()
        opened.close()


def test_a_command_says_what_to_do(tradeopt: Command, home: Path) -> None:
    with closing(sqlite3.connect(home / "tradeopt.db")) as old:
        old.execute("CREATE TABLE run (id TEXT PRIMARY KEY)")
    told = tradeopt("runs")
    assert told.exit_code != 0
    assert "made by another version of tradeopt" in told.stderr
    assert "name a new one by TRADEOPT_DATABASE_URL, such as sqlite:///new.db" in told.stderr
    assert "Traceback" not in told.output


def test_snapshot_of_the_tables_of_this_version() -> None:
    """Who changes the tables raises their version, and writes here what they have become."""
    dialect = sqlite.dialect()
    made: list[str] = []
    for table in tables.metadata.sorted_tables:
        made.append(str(CreateTable(table).compile(dialect=dialect)))
        indexes = sorted(table.indexes, key=lambda one: str(one.name))
        made += [str(CreateIndex(one).compile(dialect=dialect)) for one in indexes]
    mark = hashlib.sha256("".join(made).encode()).hexdigest()[:16]
    assert (tables.VERSION, mark) == (2, "acac3b5360dd6191")
