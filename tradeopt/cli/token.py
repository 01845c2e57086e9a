"""`tradeopt token`."""

import click

from tradeopt.cli.terms import database_url, look, remark, say
from tradeopt.report.section import Section
from tradeopt.report.terminal import section_text
from tradeopt.services import tokens
from tradeopt.services.lookup import opened


@click.group()
def command() -> None:
    """Make, list and revoke the tokens that open the service.

    As long as there is none, the service answers this machine alone; from the first one on, nobody
    gets in without.
    """


@command.command()
@click.argument("name")
def new(name: str) -> None:
    """Make a token and print it; it is shown once.

    NAME says whose it is.
    """
    with opened(database_url(), there=False) as database:
        token = tokens.new(database, name)
    say(token)
    remark("keep it safe: only a hash is kept here; show it as: Authorization: Bearer TOKEN")


@command.command(name="list")
def listed() -> None:
    """List whose tokens there are."""
    with opened(database_url(), there=False) as database:
        known = tokens.every(database)
    rows = tuple(
        (token.name, _time(token.created), _time(token.revoked) if token.revoked else "valid")
        for token in known
    )
    heads = ("name", "made_UTC", "revoked_UTC")
    words = section_text(Section("tokens", "Tokens", heads, rows), look()).lstrip("\n")
    say(words if rows else "no tokens yet: the service answers this machine alone")


@command.command()
@click.argument("name")
def revoke(name: str) -> None:
    """Let a token open nothing any more."""
    with opened(database_url()) as database:
        tokens.revoke(database, name)
    say(f"revoked: {name}")


def _time(text: str) -> str:
    return text[:16].replace("T", " ")
