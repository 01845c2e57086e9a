from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from tradeopt.cli import cli

Command = Callable[..., Result]
"""Calls the command line with these words; `input` is what stands on standard input."""


@pytest.fixture(scope="session")
def tradeopt() -> Command:
    def call(*words: object, stdin: str | None = None) -> Result:
        return CliRunner().invoke(cli, [str(word) for word in words], input=stdin)

    return call


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder to stand in."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("TRADEOPT_DATABASE_URL", raising=False)
    monkeypatch.delenv("TRADEOPT_DEBUG", raising=False)
    return tmp_path
