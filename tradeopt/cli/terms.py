"""What commands share: reading their arguments, and where and how they write."""

import json
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from shutil import get_terminal_size

import click

from tradeopt import units
from tradeopt.errors import UnitError
from tradeopt.report.terminal import Look
from tradeopt.settings import read_settings
from tradeopt.study.read import load, loads
from tradeopt.study.study import Study
from tradeopt.study.text import LARGEST_FILE

PIPE_WIDTH = 100
"""Columns where nobody says how wide the paper is."""

STDIN = "-"

study_argument = click.argument("study", metavar="STUDY")
run_argument = click.argument("run", metavar="RUN")
workers_option = click.option(
    "--workers",
    type=click.IntRange(min=1),
    default=lambda: len(os.sched_getaffinity(0)),
    show_default="one a core",
    help="Processes to search with; the result does not depend on their number.",
)
json_option = click.option("--json", "as_json", is_flag=True, help="Print JSON, in SI units.")

picks_option = click.option(
    "--pick",
    "picks",
    type=click.IntRange(min=0),
    multiple=True,
    metavar="DESIGN",
    help="A design to show, the recommended one first; chosen from the front unless given.",
)


class Duration(click.ParamType[float]):
    """A time with its unit."""

    name = "time"

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """Read the time in seconds."""
        if isinstance(value, float):
            return value
        try:
            seconds = units.to_si(str(value), "s")
        except UnitError as error:
            self.fail(str(error), param, ctx)
        if seconds <= 0.0:
            self.fail(f"got {value!r}, want a time above zero, such as '10 min'", param, ctx)
        return seconds


def read_study(source: str) -> Study:
    """Read a study from a file, from standard input, or from the examples."""
    if source == STDIN:
        # one more than allowed, so that what is too long is refused and not cut
        return loads(sys.stdin.read(LARGEST_FILE + 1), file="stdin", folder=Path.cwd())
    return load(source)


def pair(change: str) -> tuple[str, str]:
    """Read one change, such as ``path=value``."""
    path, equals, value = change.partition("=")
    if not equals:
        wish = "want PATH=VALUE, such as robot.battery.parallel=14"
        raise click.BadParameter(f"got {change!r}, {wish}", param_hint="--set")
    return path.strip(), value.strip()


def pairs(text: str) -> dict[str, str]:
    """Read several changes, such as ``path=value,path=value``."""
    return dict(pair(one.strip()) for one in text.split(","))


def workers_words(workers: int) -> str:
    """Say how many workers there are."""
    return f"{workers} worker{'' if workers == 1 else 's'}"


def database_url() -> str:
    """Return where runs are kept."""
    return read_settings().database_url.get_secret_value()


def look() -> Look:
    """Return how to write on standard output."""
    if not sys.stdout.isatty():
        return Look(PIPE_WIDTH, colour=False)
    plain = bool(os.environ.get("NO_COLOR")) or os.environ.get("TERM") == "dumb"
    return Look(get_terminal_size().columns, colour=not plain)


def say(text: str) -> None:
    """Write a result."""
    click.echo(text)


def remark(text: str) -> None:
    """Write a message that is no result."""
    click.echo(text, err=True)


def say_json(data: object) -> None:
    """Write a result as JSON."""
    click.echo(json.dumps(data, indent=2, allow_nan=False))


@contextmanager
def drawing() -> Iterator[None]:
    """Say in words what keeps a picture from being drawn."""
    try:
        yield
    except ModuleNotFoundError as error:
        raise click.UsageError(
            "a picture needs matplotlib: pip install 'tradeopt[plots]'"
        ) from error
    except OSError as error:
        raise click.FileError(str(error.filename), error.strerror or str(error)) from error
