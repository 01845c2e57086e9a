"""Commands that hand a run over: that the right thing is asked for, and written where it shall."""

import json
from pathlib import Path

import pytest

from tests.cli.conftest import Command
from tradeopt.store.database import Database


@pytest.fixture
def empty(home: Path) -> Path:
    """A folder with a database that has no runs."""
    Database("sqlite:///tradeopt.db").close()
    return home


@pytest.mark.parametrize(
    ("command", "service", "made"),
    [("deck", "deck", b"a deck"), ("report", "report_page", "a page")],
)
def test_what_the_service_makes_is_written(
    empty: Path, tradeopt: Command, *, command: str, service: str, made: bytes | str
) -> None:
    asked: list[object] = []

    def making(database: Database, run: str, picks: tuple[int, ...]) -> bytes | str:
        asked.extend([database.url, run, picks])
        return made

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(f"tradeopt.cli.{command}.{service}", making)
        result = tradeopt(command, "last", "-o", "review", "--pick", "7", "--pick", "3")
    assert (result.exit_code, result.stdout) == (0, "")
    assert "written: review" in result.stderr
    assert asked == ["sqlite:///tradeopt.db", "last", (7, 3)]
    written = made if isinstance(made, bytes) else made.encode()
    assert (empty / "review").read_bytes() == written


@pytest.mark.parametrize("command", ["deck", "report"])
def test_a_run_that_is_not_there_is_told(empty: Path, tradeopt: Command, command: str) -> None:
    result = tradeopt(command, "last", "-o", "review")
    assert result.exit_code == 2
    assert "this database has no runs" in result.stderr
    assert not (empty / "review").exists()


@pytest.mark.usefixtures("empty")
@pytest.mark.parametrize(
    "words", [("deck", "last"), ("report", "last"), ("report", "last", "--json", "-o", "a.html")]
)
def test_an_output_must_be_named_and_only_one(tradeopt: Command, words: tuple[str, ...]) -> None:
    result = tradeopt(*words)
    assert result.exit_code == 2
    assert "--output" in result.stderr


@pytest.mark.usefixtures("empty")
def test_a_report_can_be_told_as_json(tradeopt: Command) -> None:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("tradeopt.cli.report.review_view", lambda _database, *asked: asked)
        result = tradeopt("report", "last", "--json", "--pick", "7")
    assert json.loads(result.stdout) == ["last", [7]]
