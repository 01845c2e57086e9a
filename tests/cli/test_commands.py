"""Commands that need no run: what they say, where they say it, and how they end."""

import io
import json
import os
import subprocess
import sys
from importlib import import_module
from importlib.resources import files
from pathlib import Path

import click
import jsonschema
import pytest

from tests.cli.conftest import Command
from tradeopt.cli import COMMANDS, cli
from tradeopt.cli import check as check_command
from tradeopt.cli.terms import look
from tradeopt.report.terminal import Look

EXAMPLE = (files("tradeopt.examples") / "levee_rounds.yaml").read_text(encoding="utf-8")
STRIDE = (files("tradeopt.examples") / "levee_brisk.csv").read_text(encoding="utf-8")


def test_help_is_quick_and_lists_commands_and_exit_codes() -> None:
    before = os.times()
    done = subprocess.run(
        [sys.executable, "-m", "tradeopt", "--help"], capture_output=True, text=True, check=True
    )
    after = os.times()
    # of the processor: others may use the machine
    took = after.children_user + after.children_system
    assert took - before.children_user - before.children_system < 0.3
    for word in (*COMMANDS, "130", "no design meets the limits", "TRADEOPT_DATABASE_URL"):
        assert word in done.stdout


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_is_there_with_the_help_of_the_list(name: str) -> None:
    command = import_module(f"tradeopt.cli.{name}").command
    assert isinstance(command, click.Command)
    assert (command.help or "").split("\n\n")[0].replace("\n", " ") == COMMANDS[name]


def test_check_says_what_the_study_asks(tradeopt: Command) -> None:
    result = tradeopt("check", "levee_rounds")
    assert result.exit_code == 0
    assert result.stdout.startswith("levee-rounds: ")
    assert "2 objectives (range highest, total_mass lowest)" in result.stdout
    assert "3 gaits (steady, brisk, standing)" in result.stdout
    assert result.stdout.count("\n") == 1


def test_one_of_a_thing_is_not_many() -> None:
    assert check_command._count(1, "gait") == "1 gait"


def test_a_study_comes_from_standard_input_with_its_stride_beside(
    tradeopt: Command, home: Path
) -> None:
    (home / "levee_brisk.csv").write_text(STRIDE, encoding="utf-8")
    result = tradeopt("check", "-", stdin=EXAMPLE)
    assert result.stdout.startswith("levee-rounds: ")


def test_every_problem_is_told_with_its_place_and_ends_with_3(
    tradeopt: Command, home: Path
) -> None:
    text = EXAMPLE.replace("thigh: 400 mm", "thigh: 400 kg").replace("  range: ", "  rnge: ")
    (home / "study.yaml").write_text(text, encoding="utf-8")
    (home / "levee_brisk.csv").write_text(STRIDE, encoding="utf-8")
    result = tradeopt("check", "study.yaml")
    line = 1 + text.splitlines().index("    thigh: 400 kg")
    assert result.exit_code == 3
    assert result.stdout == ""
    assert f"study.yaml:{line}:12: robot.frame.thigh: got '400 kg'" in result.stderr
    assert "\n        thigh: 400 kg\n               ^\n" in result.stderr
    assert "(near: 'range')" in result.stderr
    assert result.stderr.rstrip().endswith("2 problems")


@pytest.mark.usefixtures("home")
def test_no_such_study_names_the_examples(tradeopt: Command) -> None:
    result = tradeopt("check", "levee_round")
    assert result.exit_code == 3
    assert "(near: 'levee_rounds')" in result.stderr


def test_evaluate_prints_a_sheet_of_at_most_100_columns(tradeopt: Command) -> None:
    result = tradeopt("evaluate", "levee_rounds")
    assert result.exit_code == 0
    assert result.stdout.startswith("levee-rounds, baseline\nmeets every limit")
    assert max(map(len, result.stdout.splitlines())) <= 100
    assert "\x1b" not in result.stdout


def test_evaluate_with_values_said_otherwise(tradeopt: Command) -> None:
    before, after = (
        json.loads(tradeopt("evaluate", "levee_rounds", "--json", *changes).stdout)
        for changes in (
            (),
            (
                "--set",
                "robot.battery.parallel=14",
                "--set",
                "robot.bodies.torso.mass = 22 kg",
                "--set",
                "limits.endurance=>= 30 h",
            ),
        )
    )

    def mass(data: dict[str, dict[str, list[dict[str, object]]]], item: str) -> float:
        (row,) = [row for row in data["sections"]["mass"] if row["item"] == item]
        cell = row["basic"]
        assert isinstance(cell, dict)
        return float(cell["value"])

    assert mass(after, "torso structure") == pytest.approx(22.0)
    # 14 strings where there were 12 or however many the example has
    (strings,) = [
        row["value"]["value"]
        for row in before["sections"]["variables"]
        if row["variable"] == "robot.battery.parallel"
    ]
    assert mass(after, "battery") == pytest.approx(mass(before, "battery") * 14 / strings)
    assert before["feasible"]
    assert not after["feasible"]
    assert "endurance misses by" in after["verdict"]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ("robot.batery.parallel=14", "(near: 'robot.battery.parallel')"),
        ("robot.battery.parallel=14 kg", "got '14 kg', which is a mass"),
        ("robot.battery.parallel=1000", "the bounds of this variable"),
        ("robot.drives.knee.motor.family=demo-flatt", "(near: 'demo-flat')"),
        ("robot.frame.thigh=6 kg", "want a length in m"),
        ("limits.rnge=>= 3 km", "(near: 'range')"),
        ("mission.out.gait=stedy", "(near: 'steady')"),
        ("gaits.brisk.stride=other.csv", "want the path of a value"),
    ],
)
def test_a_value_that_cannot_be_used_ends_with_3(
    tradeopt: Command, change: str, words: str
) -> None:
    result = tradeopt("evaluate", "levee_rounds", "--set", change)
    assert result.exit_code == 3
    assert words in result.stderr


def test_a_change_without_equals_is_wrong_usage(tradeopt: Command) -> None:
    result = tradeopt("evaluate", "levee_rounds", "--set", "robot.battery.parallel")
    assert result.exit_code == 2
    assert "want PATH=VALUE" in result.stderr


def test_the_schema_accepts_itself(tradeopt: Command) -> None:
    result = tradeopt("schema")
    jsonschema.Draft202012Validator.check_schema(json.loads(result.stdout))


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_completion_prints_a_script_for_the_shell(tradeopt: Command, shell: str) -> None:
    result = tradeopt("completion", shell)
    assert result.exit_code == 0
    assert "_TRADEOPT_COMPLETE" in result.stdout


@pytest.mark.parametrize(
    "words",
    [
        ("no_such_command",),
        ("run", "levee_rounds", "--time", "5"),
        ("run", "levee_rounds", "--time", "-5 s"),
        ("run", "levee_rounds", "--designs", "0"),
        ("front", "last", "--csv", "--json"),
        ("front", "last", "--picture", "front.pdf"),
        ("sheet", "last", "many"),
    ],
)
def test_wrong_usage_ends_with_2(tradeopt: Command, home: Path, words: tuple[str, ...]) -> None:
    result = tradeopt(*words)
    assert result.exit_code == 2
    assert "Error: " in result.stderr
    assert list(home.iterdir()) == []


@pytest.mark.parametrize("words", [("front", "last"), ("sheet", "last", "3"), ("runs",)])
def test_looking_for_runs_makes_no_database(
    tradeopt: Command, home: Path, words: tuple[str, ...]
) -> None:
    result = tradeopt(*words)
    assert result.exit_code == 2
    assert "tradeopt run STUDY" in result.stderr
    assert list(home.iterdir()) == []


@pytest.mark.usefixtures("home")
def test_a_bad_environment_is_named(tradeopt: Command, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TRADEOPT_LOG_LEVEL", "LOUD")
    result = tradeopt("runs")
    assert result.exit_code == 2
    assert "TRADEOPT_LOG_LEVEL" in result.stderr


class Terminal(io.StringIO):
    """Standard output that is a terminal."""

    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(
    ("environment", "colour"),
    [({}, True), ({"NO_COLOR": "1"}, False), ({"TERM": "dumb"}, False)],
)
def test_colour_is_for_terminals_that_want_it(
    monkeypatch: pytest.MonkeyPatch, environment: dict[str, str], colour: bool
) -> None:
    assert look() == Look(100, colour=False)
    for name, value in ({"COLUMNS": "90", "NO_COLOR": "", "TERM": "xterm"} | environment).items():
        monkeypatch.setenv(name, value)
    monkeypatch.setattr(sys, "stdout", Terminal())
    assert look() == Look(90, colour=colour)


def broken(*_: object) -> None:
    raise ArithmeticError("a fault of ours\nin two lines")


def interrupted(*_: object) -> None:
    raise KeyboardInterrupt


def test_a_fault_is_one_line_and_a_hint(
    tradeopt: Command, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(check_command, "outline", broken)
    result = tradeopt("check", "levee_rounds")
    assert result.exit_code == 1
    assert result.stderr.splitlines()[0] == "fault: ArithmeticError: a fault of ours in two lines"
    assert "TRADEOPT_DEBUG=1" in result.stderr
    assert "Traceback" not in result.stderr


def test_debug_shows_where_a_fault_is(tradeopt: Command, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(check_command, "outline", broken)
    assert "Traceback" in tradeopt("--debug", "check", "levee_rounds").stderr
    monkeypatch.setenv("TRADEOPT_DEBUG", "1")
    assert "Traceback" in tradeopt("check", "levee_rounds").stderr


def test_an_interrupt_ends_with_130(tradeopt: Command, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(check_command, "outline", interrupted)
    result = tradeopt("check", "levee_rounds")
    assert result.exit_code == 130
    assert result.stderr == "interrupted\n"


def test_a_reader_that_has_enough_is_no_fault() -> None:
    command = f"'{sys.executable}' -m tradeopt schema | head -1; echo ${{PIPESTATUS[0]}}"
    done = subprocess.run(
        ["/bin/bash", "-c", command], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout == "{\n0\n"
    assert done.stderr == ""


def test_unknown_commands_are_not_imported() -> None:
    assert cli.get_command(click.Context(cli), "terms") is None
