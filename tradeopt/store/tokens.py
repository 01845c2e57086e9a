"""Tokens that open the service: only their hashes are kept, and none is ever forgotten."""

from dataclasses import dataclass

from sqlalchemy import select, update

from tradeopt.store import tables
from tradeopt.store.database import Database, insert_new


@dataclass(frozen=True)
class Token:
    """What is known of a token.

    Attributes
    ----------
    name : str
        Whose it is.
    digest : str
        SHA-256 of it.
    created : str
        When it was made, UTC.
    revoked : str or None
        Since when it opens nothing any more, UTC.
    """

    name: str
    digest: str
    created: str
    revoked: str | None = None


def every(database: Database) -> list[Token]:
    """Read all tokens, the oldest first."""
    query = select(tables.token).order_by(tables.token.c.created, tables.token.c.name)
    rows = database.read(lambda connection: connection.execute(query).all())
    return [Token(row.name, row.digest, row.created, row.revoked) for row in rows]


def add(database: Database, token: Token) -> bool:
    """Write down a token, and tell whether that was done: a name is used once."""
    row = {"name": token.name, "digest": token.digest, "created": token.created}
    return database.write(lambda connection: insert_new(connection, tables.token, row))


def revoke(database: Database, name: str, when: str) -> bool:
    """Let a token open nothing any more, and tell whether it did until now."""
    table = tables.token
    change = update(table).where(table.c.name == name, table.c.revoked.is_(None))
    return database.write(
        lambda connection: bool(connection.execute(change.values(revoked=when)).rowcount)
    )
