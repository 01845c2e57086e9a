"""Each command of the compose file as a plain process, and its own check of health."""

import os
import socket
import subprocess
import sys
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
import redis
import yaml

from tests.faults import scene
from tests.faults.servers import (
    HERE,
    free_port,
    postgres_server,
    redis_binary,
    redis_server,
    wait_until,
)

pytestmark = pytest.mark.services

SERVICES = yaml.safe_load((scene.ROOT / "docker-compose.yml").read_text(encoding="utf-8"))[
    "services"
]
PASSWORD = "levee-walk"  # noqa: S105 - of a broker that lives as long as this test


@contextmanager
def running(command: list[str], environment: dict[str, str]) -> Iterator[subprocess.Popen[bytes]]:
    process = subprocess.Popen(
        command,
        cwd=scene.ROOT,
        env=environment,
        start_new_session=True,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    try:
        yield process
    finally:
        scene.end(process)


def in_this_python(command: list[str]) -> list[str]:
    assert command[0] == "python"
    return [sys.executable, *command[1:]]


def is_healthy(check: list[str] | str, environment: dict[str, str]) -> bool:
    done = subprocess.run(
        check,
        cwd=scene.ROOT,
        env=environment,
        capture_output=True,
        shell=isinstance(check, str),
        check=False,
        timeout=60,
    )
    return done.returncode == 0


def test_the_broker(tmp_path: Path) -> None:
    port = free_port()
    words = [
        PASSWORD if word.startswith("${TRADEOPT_BROKER_PASSWORD") else word
        for word in SERVICES["broker"]["command"]
    ]
    assert words[0] == "redis-server"
    command = [str(redis_binary()), *words[1:], "--port", str(port), "--bind", HERE]
    with running([*command, "--dir", str(tmp_path)], dict(os.environ)):
        line = redis.Redis(host=HERE, port=port, password=PASSWORD, decode_responses=True)

        def answers() -> bool:
            try:
                return bool(line.ping())
            except redis.exceptions.ConnectionError:
                return False

        wait_until(answers)
        assert line.config_get("maxmemory-policy") == {"maxmemory-policy": "noeviction"}
        assert line.config_get("appendonly") == {"appendonly": "yes"}
        with pytest.raises(redis.exceptions.AuthenticationError):
            redis.Redis(host=HERE, port=port).ping()
        line.close()


@pytest.fixture(scope="module")
def surroundings() -> Iterator[dict[str, str]]:
    with redis_server() as broker, postgres_server() as (_, url):
        yield scene.environment(
            TRADEOPT_DATABASE_URL=url,
            TRADEOPT_BROKER_URL=f"redis://{HERE}:{broker.port}/0",
            HOSTNAME=socket.gethostname(),
        )


def test_the_api(surroundings: dict[str, str]) -> None:
    port = str(free_port())
    command = in_this_python(SERVICES["api"]["command"])
    command[command.index("--port") + 1] = port
    command[command.index("--host") + 1] = HERE
    kind, *check = SERVICES["api"]["healthcheck"]["test"]
    assert kind == "CMD"
    check = [word.replace(":8000", f":{port}") for word in in_this_python(check)]
    assert not is_healthy(check, surroundings)
    with running(command, surroundings):
        wait_until(lambda: is_healthy(check, surroundings), pause=0.5)
        with urllib.request.urlopen(f"http://{HERE}:{port}/health", timeout=5) as answer:
            assert answer.status == 200


def test_the_worker(surroundings: dict[str, str]) -> None:
    command = in_this_python(SERVICES["worker"]["command"])
    kind, check = SERVICES["worker"]["healthcheck"]["test"]
    assert kind == "CMD-SHELL"
    check = check.replace("python", sys.executable, 1).replace("$$", "$")
    with running(command, surroundings) as process:
        wait_until(lambda: is_healthy(check, surroundings), 90.0, pause=0.5)
        assert process.poll() is None
    assert not is_healthy(check, surroundings)
