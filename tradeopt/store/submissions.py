"""What was asked for under a key, so that asking twice starts nothing twice."""

from dataclasses import dataclass

from sqlalchemy import select

from tradeopt.store import tables
from tradeopt.store.database import Database, insert_new


@dataclass(frozen=True)
class Submission:
    """What stands under a key.

    Attributes
    ----------
    digest : str
        SHA-256 of all that was asked.
    run_id : str
        The run it led to.
    """

    digest: str
    run_id: str


def find(database: Database, key: str) -> Submission | None:
    """Return what was asked for under a key; None where nothing was."""
    query = select(tables.submission).where(tables.submission.c.key == key)
    row = database.read(lambda connection: connection.execute(query).one_or_none())
    return None if row is None else Submission(row.digest, row.run_id)


def save(database: Database, key: str, submission: Submission) -> Submission:
    """Write down what was asked for under a key, and return what stands there: the first stays."""
    row = {"key": key, "digest": submission.digest, "run_id": submission.run_id}
    database.write(lambda connection: insert_new(connection, tables.submission, row))
    return find(database, key) or submission
