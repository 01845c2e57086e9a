"""The compose file: what every service must have, and that what it starts is there."""

import re
import tomllib
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest
import yaml
from celery import Celery
from compose_spec import PyOptions
from fastapi import FastAPI

from tradeopt.settings import Settings

ROOT = Path(__file__).parents[2]
TEXT = (ROOT / "docker-compose.yml").read_text(encoding="utf-8")
SERVICES: dict[str, dict[str, Any]] = yaml.safe_load(TEXT)["services"]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
OURS = ("api", "worker")


def test_the_file_keeps_to_the_schema_of_compose() -> None:
    composed = PyOptions(apply_merge=True).from_yaml(TEXT)
    composed.validate()
    assert set(composed.service_names()) == set(SERVICES)


def test_a_mistake_would_not_keep_to_it() -> None:
    wrong = TEXT.replace("restart: always", "restart: sometimes")
    with pytest.raises(ValueError, match="unknown variant `sometimes`"):
        PyOptions(apply_merge=True).from_yaml(wrong)


def test_there_is_what_a_run_on_many_machines_needs() -> None:
    assert set(SERVICES) == {"database", "broker", *OURS}


@pytest.mark.parametrize("name", SERVICES)
def test_every_service_restarts_is_watched_and_is_not_root(name: str) -> None:
    service = SERVICES[name]
    assert service["restart"] == "always"
    assert service["healthcheck"]["test"]
    assert service["user"] not in {"root", "0", "0:0"}


@pytest.mark.parametrize("name", OURS)
def test_ours_start_after_what_they_need_is_healthy(name: str) -> None:
    wanted = {"condition": "service_healthy"}
    assert SERVICES[name]["depends_on"] == {"database": wanted, "broker": wanted}
    assert "dockerfile_inline" in SERVICES[name]["build"]


def test_workers_can_be_scaled() -> None:
    assert not {"container_name", "ports"} & set(SERVICES["worker"])


def test_no_secret_has_a_default() -> None:
    secrets = re.findall(r"\$\{(\w*PASSWORD\w*)(.*?)\}", TEXT)
    assert len(secrets) >= 3
    assert all(rest.startswith(":?") for _, rest in secrets)
    assert not re.search(r"password\s*[:=]\s*['\"]?[a-z0-9]", TEXT, flags=re.IGNORECASE)


def test_broker_keeps_messages_and_evicts_none() -> None:
    command = " ".join(SERVICES["broker"]["command"])
    assert "--appendonly yes" in command
    assert "--maxmemory-policy noeviction" in command


def test_the_commands_start_what_is_there() -> None:
    module, _, name = SERVICES["api"]["command"][3].partition(":")
    assert isinstance(getattr(import_module(module), name), FastAPI)
    command = SERVICES["worker"]["command"]
    module = command[command.index("--app") + 1]
    assert isinstance(import_module(module).app, Celery)


def test_what_the_image_copies_is_there() -> None:
    recipe = SERVICES["api"]["build"]["dockerfile_inline"]
    copied = re.findall(r"^COPY (.+) \S+$", recipe, flags=re.MULTILINE)
    names = [name for line in copied for name in line.split()]
    built = PROJECT["tool"]["hatch"]["build"]["targets"]["wheel"]["packages"]
    assert {*built, "pyproject.toml", PROJECT["project"]["readme"]} == set(names)
    assert all((ROOT / name).exists() for name in names)


def test_the_image_takes_what_a_server_needs() -> None:
    recipe = SERVICES["api"]["build"]["dockerfile_inline"]
    extras = re.findall(r'pip install .*"\.\[(.+)\]"', recipe)[0].split(",")
    assert set(extras) == {"server", "parquet", "plots"}
    assert set(extras) <= set(PROJECT["project"]["optional-dependencies"])


@pytest.mark.parametrize("name", OURS)
def test_what_is_told_to_ours_is_known_to_them(name: str) -> None:
    told = SERVICES[name]["environment"]
    ours = {one.removeprefix("TRADEOPT_").lower() for one in told if one.startswith("TRADEOPT_")}
    assert ours <= set(Settings.model_fields)


@pytest.mark.parametrize("name", OURS)
def test_ours_keep_machine_code_where_they_may_write(name: str) -> None:
    service = SERVICES[name]
    folder = Path(service["environment"]["TRADEOPT_CACHE_FOLDER"])
    assert service["read_only"]
    assert any(folder.is_relative_to(one) for one in service["tmpfs"])


def test_the_api_is_asked_for_its_health_where_nobody_needs_a_token() -> None:
    asked = SERVICES["api"]["healthcheck"]["test"][-1]
    port = SERVICES["api"]["command"][-1]
    assert f"http://127.0.0.1:{port}/health" in asked
