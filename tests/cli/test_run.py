"""A run from the command line: searched once, then looked at in every way."""

import csv
import io
import json
import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest
from click.testing import Result
from rich.console import Console

from tests.cli.conftest import Command
from tradeopt.cli.run import drawn, progress_line
from tradeopt.services.progress import status
from tradeopt.store import turns
from tradeopt.store.database import Database
from tradeopt.study.read import load

DESIGNS = 2048
"""Designs of the first four epochs, each four slices of 128."""


@pytest.fixture(scope="module")
def searched(tmp_path_factory: pytest.TempPathFactory, tradeopt: Command) -> Iterator[Result]:
    """A run of one epoch, with its folder as the current one."""
    home = tmp_path_factory.mktemp("runs")
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(home)
        patch.delenv("TRADEOPT_DATABASE_URL", raising=False)
        yield tradeopt(
            "run", "levee_rounds", "--designs", str(DESIGNS), "--workers", "2", "--seed", "11"
        )


def test_run_says_what_it_found_and_what_to_type_next(searched: Result) -> None:
    assert searched.exit_code == 0
    first = searched.stdout.splitlines()[0]
    assert first.startswith("levee-rounds-1: ")
    assert f"of {DESIGNS:,} designs tried meet every limit; missed most:" in first
    assert "baseline: range " in searched.stdout
    assert max(len(line) for line in searched.stdout.splitlines()[1:]) <= 100
    assert "next: tradeopt sheet levee-rounds-1 " in searched.stderr
    assert "designs tried -" not in searched.stderr  # progress is for terminals alone


@pytest.mark.usefixtures("searched")
def test_the_same_command_goes_on_where_it_was(tradeopt: Command) -> None:
    again = tradeopt(
        "run", "levee_rounds", "--designs", str(DESIGNS), "--seed", "11", "--json", "--quiet"
    )
    data = json.loads(again.stdout)
    assert (again.exit_code, again.stderr) == (0, "")
    assert (data["run"], data["state"], data["designs"]) == ("levee-rounds-1", "finished", DESIGNS)
    assert data["seed"] == 11
    assert data["front"] > 0
    assert data["feasible"] >= data["front"]
    assert data["told_by"]["numpy"] == np.__version__


@pytest.mark.usefixtures("searched")
def test_front_shows_at_most_fifteen_designs(tradeopt: Command) -> None:
    result = tradeopt("front", "last")
    assert result.exit_code == 0
    numbers = re.findall(r"^[0-9]+  ", result.stdout, re.MULTILINE)
    assert 2 < len(numbers) <= 15


@pytest.mark.usefixtures("searched")
def test_csv_and_json_hold_the_whole_front(tradeopt: Command) -> None:
    rows = list(csv.DictReader(io.StringIO(tradeopt("front", "last", "--csv").stdout)))
    data = json.loads(tradeopt("front", "levee-rounds-1", "--json").stdout)
    assert [int(row["design"]) for row in rows] == [one["design"] for one in data["front"]]
    for row, one in zip(rows, data["front"], strict=True):
        assert float(row["range [km]"]) == pytest.approx(
            one["objectives"]["range"]["value"] / 1000.0
        )
        assert row["study_sha256"] == data["study_sha256"]
        told = None if row["residual"] == "" else float(row["residual"])
        assert told == one["residual"]
    assert any(row["residual"] for row in rows)
    assert data["study_sha256"] == load("levee_rounds").digest


@pytest.mark.usefixtures("searched")
def test_no_design_of_the_front_beats_another(tradeopt: Command) -> None:
    data = json.loads(tradeopt("front", "last", "--json").stdout)
    found = [
        (one["objectives"]["range"]["value"], one["objectives"]["total_mass"]["value"])
        for one in data["front"]
    ]
    for far, heavy in found:
        assert not any(
            other_far >= far and other_heavy <= heavy and (other_far, other_heavy) != (far, heavy)
            for other_far, other_heavy in found
        )


@pytest.mark.usefixtures("searched")
def test_a_sheet_repeats_the_numbers_of_the_front(tradeopt: Command) -> None:
    best = json.loads(tradeopt("front", "last", "--json").stdout)["front"][0]
    sheet = json.loads(tradeopt("sheet", "last", best["design"], "--json").stdout)
    (distance,) = [row for row in sheet["sections"]["mission"] if row["quantity"] == "range"]
    again, found = distance["value"], best["objectives"]["range"]
    # a design alone and in a batch of many go through other paths of the matrix product
    assert again["value"] == pytest.approx(found["value"], rel=1e-9)
    assert again["unit"] == found["unit"]
    assert sheet["feasible"]
    text = tradeopt("sheet", "last", best["design"]).stdout
    assert text.startswith(f"levee-rounds-1, design {best['design']}\n")
    # the ends of a front are always certified
    assert f"{best['residual']:.2%} of the spread of the front" in sheet["notes"][0]
    assert "- small changes can" in text


@pytest.mark.usefixtures("searched")
def test_design_0_is_the_baseline(tradeopt: Command) -> None:
    sheet = json.loads(tradeopt("sheet", "last", "0", "--json").stdout)
    for row in sheet["sections"]["variables"]:
        assert row["value"] == row["baseline"]


@pytest.mark.parametrize("words", [("sheet", "last", "99999999"), ("front", "levee-rounds-2")])
@pytest.mark.usefixtures("searched")
def test_what_is_not_there_ends_with_2(tradeopt: Command, words: tuple[str, ...]) -> None:
    result = tradeopt(*words)
    assert result.exit_code == 2
    assert f"got {words[-1]}" in result.stderr.replace("'", "")


@pytest.mark.usefixtures("searched")
def test_runs_are_listed(tradeopt: Command) -> None:
    text = tradeopt("runs").stdout
    assert "levee-rounds-1" in text
    assert "finished" in text
    (first,) = json.loads(tradeopt("runs", "--json").stdout)
    assert (first["run"], first["designs"]) == ("levee-rounds-1", DESIGNS)


@pytest.mark.parametrize("suffix", ["svg", "png"])
@pytest.mark.usefixtures("searched")
def test_front_draws_a_picture(tradeopt: Command, tmp_path: Path, suffix: str) -> None:
    path = tmp_path / f"front.{suffix}"
    result = tradeopt("front", "last", "--picture", path)
    assert result.exit_code == 0
    assert path.stat().st_size > 10_000
    assert f"drawn: {path}" in result.stderr


@pytest.mark.usefixtures("searched")
def test_progress_is_a_bar_and_a_line(capsys: pytest.CaptureFixture[str]) -> None:
    database = Database("sqlite:///tradeopt.db")
    standing = status(database, "levee-rounds-1")
    database.close()
    console = Console(file=io.StringIO(), width=200)
    with console.capture() as capture:
        console.print(drawn(standing))
    bar, words = capture.get().splitlines()
    assert set(bar.strip()) == {"\N{BOX DRAWINGS HEAVY HORIZONTAL}"}
    assert words.startswith(f"{DESIGNS:,} designs tried - ")
    with progress_line(shown=True) as show:
        show(standing)
    with progress_line(shown=False) as show:
        show(standing)
    assert capsys.readouterr().out == ""


def test_where_nothing_meets_the_limits_the_nearest_are_shown(
    home: Path, tradeopt: Command
) -> None:
    folder = files("tradeopt.examples")
    text = (folder / "levee_rounds.yaml").read_text(encoding="utf-8")
    hard = text.replace('endurance: ">= 4 h"', 'endurance: ">= 60 h"')
    assert hard != text
    (home / "hard.yaml").write_text(hard, encoding="utf-8")
    stride = (folder / "levee_brisk.csv").read_text(encoding="utf-8")
    (home / "levee_brisk.csv").write_text(stride, encoding="utf-8")
    result = tradeopt("run", "hard.yaml", "--designs", str(DESIGNS), "--workers", "2")
    assert result.exit_code == 6
    assert f"none of {DESIGNS:,} designs tried meets every limit" in result.stdout
    assert "missed most: endurance (100 %)" in result.stdout
    assert "Nearest designs" in result.stdout
    assert "endurance  misses by" in result.stdout
    again = tradeopt("run", "hard.yaml", "--designs", str(DESIGNS), "--json")
    assert again.exit_code == 6
    nearest = json.loads(again.stdout)["nearest"]
    assert 0 < len(nearest) <= 5
    assert all(one["left"]["endurance"]["value"] < 0.0 for one in nearest)
    assert tradeopt("front", "last").exit_code == 6


def test_a_study_without_a_budget_wants_one(home: Path, tradeopt: Command) -> None:
    folder = files("tradeopt.examples")
    lines = (folder / "levee_rounds.yaml").read_text(encoding="utf-8").splitlines()
    kept = [line for line in lines if not line.startswith("search:")]
    (home / "study.yaml").write_text("\n".join([*kept, "search: {seed: 7}"]), encoding="utf-8")
    stride = (folder / "levee_brisk.csv").read_text(encoding="utf-8")
    (home / "levee_brisk.csv").write_text(stride, encoding="utf-8")
    result = tradeopt("run", "study.yaml")
    assert result.exit_code == 2
    assert "want --time or --designs" in result.stderr
    assert not (home / "tradeopt.db").exists()


def workers_are_at_it(path: Path) -> bool:
    """Tell whether a worker has a step of a run in hand."""
    if not path.exists():
        return False
    database = Database(f"sqlite:///{path}")
    found = turns.in_order(database)
    database.close()
    return any(turn.in_hand for turn in found)


def test_ctrl_c_stops_cleanly_and_tells_how_to_go_on(home: Path) -> None:
    command = [sys.executable, "-m", "tradeopt", "run", "levee_rounds", "--time", "10 min"]
    process = subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=dict(os.environ)
    )
    try:
        give_up = time.monotonic() + 60.0
        while not workers_are_at_it(home / "tradeopt.db") and time.monotonic() < give_up:
            time.sleep(0.05)
        process.send_signal(signal.SIGINT)
        _, messages = process.communicate(timeout=30)
    finally:
        process.kill()
    assert process.returncode == 130
    assert "the same command goes on where it was" in messages
    assert "Traceback" not in messages
