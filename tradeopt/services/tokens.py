"""Who may use the service: tokens of chance, of which only a hash is kept."""

import hashlib
import secrets
from datetime import UTC, datetime
from hmac import compare_digest

from tradeopt.errors import NotFoundError, Problem, ProblemsError, TradeoptError, near
from tradeopt.store import tokens as store
from tradeopt.store.database import Database
from tradeopt.store.tokens import Token

_BYTES = 32
"""256 bits of chance."""


class TokenError(ProblemsError):
    """A token cannot be made."""


class UnknownTokenError(TradeoptError):
    """No valid token was shown."""


class RefusedError(TradeoptError):
    """Somebody may not use the service, whatever they show."""


def new(database: Database, name: str) -> str:
    """
    Make a token.

    Parameters
    ----------
    database : Database
        Where its hash is kept.
    name : str
        Whose it is; used once.

    Returns
    -------
    str
        The token. It is nowhere else, so that it cannot be told again.

    Raises
    ------
    TokenError
        When the name is taken.
    """
    token = secrets.token_urlsafe(_BYTES)
    if not store.add(database, Token(name, _digest(token), _now())):
        raise TokenError((Problem("token", repr(name), "a name that was not used before"),))
    return token


def every(database: Database) -> list[Token]:
    """Return what is known of all tokens, the oldest first."""
    return store.every(database)


def revoke(database: Database, name: str) -> None:
    """
    Let a token open nothing any more.

    Parameters
    ----------
    database : Database
        Where its hash is kept.
    name : str
        Whose it is.

    Raises
    ------
    NotFoundError
        When no token of that name is valid.
    """
    if not store.revoke(database, name, _now()):
        valid = [token.name for token in every(database) if token.revoked is None]
        hint = near(name, valid)
        raise NotFoundError(
            f"token: got {name!r}, want the name of one that is valid"
            + (f" (near: {hint!r})" if hint else "")
        )


def admit(database: Database, token: str | None, *, is_local: bool) -> None:
    """
    Let somebody in, or not.

    Parameters
    ----------
    database : Database
        Where hashes are kept.
    token : str or None
        What they show.
    is_local : bool
        Whether they ask from this machine.

    Raises
    ------
    UnknownTokenError
        When they show no valid token, once any was made.
    RefusedError
        When they ask from another machine, as long as none was made.

    Notes
    -----
    All valid tokens are compared, in constant time, so that the time it takes tells nothing.
    """
    known = every(database)
    if not known and not is_local:
        raise RefusedError(
            "service: got a call from another machine, want one from this machine as long as no "
            "token was made; make one with: tradeopt token new NAME"
        )
    digest = _digest(token or "")
    alike = [compare_digest(one.digest, digest) for one in known if one.revoked is None]
    if known and not any(alike):
        raise UnknownTokenError("token: got none that is valid, want one as a bearer token")


def _digest(token: str) -> str:
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()


def _now() -> str:
    return datetime.now(UTC).isoformat(timespec="milliseconds")
