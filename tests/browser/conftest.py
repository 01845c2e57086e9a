"""A browser, and a page of it that must not complain."""

import fcntl
import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import (
    Browser,
    ConsoleMessage,
    Page,
    Playwright,
    expect,
    sync_playwright,
)

from tests.browser.served import Served, served

WANTED = (
    "the tests of the page need Debian's Chromium, and none is installed: "
    "apt-get install -y chromium"
)

PATIENCE = 60_000
"""Milliseconds to wait for what should come at once: the machine may be busy."""

FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
"""As root, without a graphics card, and without calls to anywhere else."""


@pytest.fixture(scope="session")
def playwright() -> Iterator[Playwright]:
    expect.set_options(timeout=PATIENCE)
    with sync_playwright() as started:
        yield started


@pytest.fixture(scope="session")
def browser(playwright: Playwright) -> Iterator[Browser]:
    opened = playwright.chromium.launch(executable_path=_chromium(), args=list(FLAGS))
    yield opened
    opened.close()


def _chromium() -> str:
    """Find the browser; root on a Debian machine, such as a container, gets it installed."""
    with (Path(tempfile.gettempdir()) / "tradeopt-tests-chromium").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)  # the test processes beside wait for the first one
        if shutil.which("chromium") is None and os.geteuid() == 0 and shutil.which("apt-get"):
            for step in (["update"], ["install", "-y", "chromium"]):
                subprocess.run(["apt-get", "-qq", *step], check=False, stdout=subprocess.DEVNULL)
    path = shutil.which("chromium")
    if path is None:
        pytest.fail(WANTED, pytrace=False)
    return path


@pytest.fixture(scope="session")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    with served(tmp_path_factory.mktemp("browser")) as there:
        yield there


@pytest.fixture
def page(browser: Browser, site: Served) -> Iterator[Page]:
    """Return a fresh page, reduced in motion; at its end the console must be empty."""
    complaints: list[str] = []
    context = browser.new_context(
        base_url=site.address,
        viewport={"width": 1280, "height": 900},
        reduced_motion="reduce",
        accept_downloads=True,
    )
    context.set_default_timeout(PATIENCE)
    opened = context.new_page()

    def heard(message: ConsoleMessage) -> None:
        if message.type in {"error", "warning"}:
            complaints.append(f"{message.type}: {message.text}")

    opened.on("console", heard)
    opened.on("pageerror", lambda error: complaints.append(str(error)))
    opened.on(
        "request",
        lambda request: (
            None
            if request.url.startswith((site.address, "blob:"))
            else complaints.append(f"asked elsewhere: {request.url}")
        ),
    )
    yield opened
    context.close()
    assert complaints == []
