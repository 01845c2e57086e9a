"""README and DEVELOPERS: what they tell of is there, and README's commands are what CI runs."""

import ast
import re
import tomllib
from collections.abc import Mapping
from importlib import import_module
from importlib.resources import files
from inspect import signature
from pathlib import Path
from typing import Any

import click
import pytest
import yaml
from celery import Celery

import tradeopt
from api.app import app
from tradeopt.cli import COMMANDS, EPILOG
from tradeopt.settings import Settings
from tradeopt.stages.registry import known_kinds

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
LINK = re.compile(r"\]\(([^)#:]+)\)")
CODE = re.compile(r"`([^`]+)`")
REST = "..."
"""Stands in README's study for what is left out."""


def blocks(language: str) -> list[str]:
    return re.findall(rf"^```{language}\n(.+?)^```$", README, flags=re.MULTILINE | re.DOTALL)


def rows(head: str) -> list[list[str]]:
    """Return the cells of the table of README whose head begins so, without the head."""
    lines = README[README.index(head) :].split("\n\n")[0].splitlines()[2:]
    return [[cell.strip() for cell in re.split(r"(?<!\\)\|", line)[1:-1]] for line in lines]


@pytest.mark.parametrize("text", [README, DEVELOPERS], ids=["README", "DEVELOPERS"])
def test_every_relative_link_leads_somewhere(text: str) -> None:
    assert [target for target in LINK.findall(text) if not (ROOT / target).exists()] == []


def test_readme_shows_a_picture_and_two_commands() -> None:
    assert re.search(r"!\[[^]]+\]\([^)]+\.svg\)", README)
    main, tests = [line for line in README.splitlines() if line.startswith("python3 -m venv")]
    assert " run levee_rounds " in main
    assert " pytest " in tests


def test_the_study_of_readme_is_a_part_of_the_example() -> None:
    whole = yaml.safe_load(
        (files("tradeopt.examples") / "levee_rounds.yaml").read_text(encoding="utf-8")
    )
    (shown,) = blocks("yaml")
    assert_part(yaml.safe_load(shown), whole, "")


def assert_part(shown: Mapping[str, Any], whole: Mapping[str, Any], where: str) -> None:
    for key in shown.keys() - {REST}:
        assert key in whole, f"{where}{key}"
        if isinstance(shown[key], dict):
            assert_part(shown[key], whole[key], f"{where}{key}.")
        else:
            assert shown[key] == whole[key], f"{where}{key}"


@pytest.mark.parametrize("slot", ["transmission", "spring", "motor", "cooling", "heat", "gait"])
def test_readme_names_every_kind(slot: str) -> None:
    (told,) = (row[1] for row in rows("| place | kinds |") if row[0] == slot)
    kinds = {kind.name for kind in known_kinds().values() if kind.slot.name == slot}
    assert set(CODE.findall(told)) == kinds


def told_commands() -> list[str]:
    return [code for row in rows("| command |") for code in CODE.findall(row[0])]


def test_readme_names_every_command() -> None:
    named = [code.split()[1] for code in told_commands() if code.startswith("tradeopt ")]
    assert set(named) == set(COMMANDS)


@pytest.mark.parametrize("name", COMMANDS)
def test_readme_gives_commands_only_options_that_they_have(name: str) -> None:
    command = import_module(f"tradeopt.cli.{name}").command
    assert isinstance(command, click.Command)
    known = {option for one in command.params for option in one.opts}
    told = [row[0] for row in rows("| command |") if row[0].startswith(f"`tradeopt {name}")]
    assert set(re.findall(r"(?<![\w-])--?[a-z][\w-]*", " ".join(told))) <= known


def test_readme_gives_addresses_that_the_service_has() -> None:
    known = {
        (method.upper(), path.replace("{run_id}", "RUN").replace("{number}", "N"))
        for path, methods in app.openapi()["paths"].items()
        for method in methods
    }
    told = [row[0] for row in rows("| over HTTP |")]
    assert told.pop(0) == "`/`"  # the page, which the description leaves out
    for cell in told:
        method, base = CODE.findall(cell)[0].split()
        for code in CODE.findall(cell):
            *said, path = code.split()
            # a short one goes on from the first of its row, or stands beside it
            homes = ("", base, base.rpartition("/")[0])
            assert any((*(said or [method]), home + path) in known for home in homes), code


def test_the_python_of_readme_calls_what_is_there() -> None:
    called = {
        (node.func.value.id, node.func.attr, tuple(word.arg for word in node.keywords))
        for block in blocks("python")
        for node in ast.walk(ast.parse(block))
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Attribute)
        and isinstance(node.func.value, ast.Name)
    }
    homes = {"tradeopt": tradeopt, "service": tradeopt.Client, "front": tradeopt.Front}
    assert {name for name, _, _ in called} == set(homes)
    for name, method, words in called:
        assert set(words) <= set(signature(getattr(homes[name], method)).parameters), method


def test_the_team_of_readme_starts_what_is_there() -> None:
    (team,) = (block for block in blocks("sh") if "celery" in block)
    module = re.findall(r"--app (\S+)", team)[0]
    assert isinstance(import_module(module).app, Celery)
    told = {name.lower() for name in re.findall(r"TRADEOPT_(\w+)=", team)}
    assert told == {"database_url", "broker_url"} <= set(Settings.model_fields)


def test_the_help_names_every_setting() -> None:
    told = {name.lower() for name in re.findall(r"TRADEOPT_(\w+)", EPILOG)}
    assert told == set(Settings.model_fields) | {"debug"}


def test_developers_names_every_file_of_the_kernel() -> None:
    table = DEVELOPERS[DEVELOPERS.index("| file of `kernel/` |") :].split("\n\n")[0]
    known = {path.stem for path in (ROOT / "tradeopt" / "kernel").glob("*.py")} - {"__init__"}
    assert set(CODE.findall(table)) - {"kernel/"} == known


def test_developers_shows_the_layers_that_are_held() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    contracts = project["tool"]["importlinter"]["contracts"]
    (layers,) = (one["layers"] for one in contracts if one["name"] == "Arrows point down")
    held = [name for line in layers for name in re.findall(r"\w+", line)]
    section = DEVELOPERS[DEVELOPERS.index("## The layer rule") :].split("```")[1]
    shown = [line[:32] for line in section.splitlines()]
    told = [name for line in shown for name in re.findall(r"\w+", line)]
    assert [name for name in told if name in held] == [name for name in held if name in told]
    assert {"cli", "client", "services", "insight", "kernel", "physics"} <= set(told)
