"""`tradeopt token`."""

from pathlib import Path

from tests.cli.conftest import Command
from tradeopt.services import tokens
from tradeopt.store.database import Database


def test_a_token_is_made_listed_and_revoked(tradeopt: Command, home: Path) -> None:
    assert "no tokens yet" in tradeopt("token", "list").stdout
    made = tradeopt("token", "new", "night script")
    assert made.exit_code == 0
    token = made.stdout.strip()
    assert token not in made.stderr
    database = Database(f"sqlite:///{home}/tradeopt.db")
    tokens.admit(database, token, is_local=False)
    listed = tradeopt("token", "list").stdout
    assert "night script" in listed
    assert "valid" in listed
    assert token not in listed
    assert tradeopt("token", "revoke", "night script").stdout == "revoked: night script\n"
    assert "valid" not in tradeopt("token", "list").stdout
    database.close()


def test_what_cannot_be_done_is_said(tradeopt: Command, home: Path) -> None:
    assert tradeopt("token", "new", "ada").exit_code == 0
    again = tradeopt("token", "new", "ada")
    assert (again.exit_code, again.stdout) == (2, "")
    assert "token: got 'ada', want a name that was not used before" in again.stderr
    unknown = tradeopt("token", "revoke", "adda")
    assert unknown.exit_code == 2
    assert "near: 'ada'" in unknown.stderr
    assert (home / "tradeopt.db").exists()
