"""`tradeopt run`."""

import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import click
from rich.console import Console
from rich.live import Live
from rich.progress_bar import ProgressBar
from rich.table import Table
from rich.text import Text

from tradeopt.cli.outcome import advise, end_with, outcome_text, plain_outcome
from tradeopt.cli.terms import (
    Duration,
    database_url,
    json_option,
    read_study,
    remark,
    say_json,
    study_argument,
)
from tradeopt.report.progress import progress_words, share_done
from tradeopt.services import pool, runs
from tradeopt.services.lookup import find, opened
from tradeopt.services.progress import Progress
from tradeopt.store.runs import Budget, Run, RunState
from tradeopt.study.study import Study

MOST_DESIGNS = 10**12
"""More than any machine tries; what a database can count is far above."""

BAR = 60
"""Columns of the progress bar."""


@click.command()
@study_argument
@click.option(
    "--time",
    "seconds",
    type=Duration(),
    help="Time to search, such as 2min; over all sessions, and up to the end of an epoch.",
)
@click.option(
    "--designs",
    type=click.IntRange(min=1, max=MOST_DESIGNS),
    help="Designs to try, rounded up to whole epochs; over all sessions.",
)
@click.option(
    "--workers",
    type=click.IntRange(min=1),
    default=lambda: len(os.sched_getaffinity(0)),
    show_default="one a core",
    help="Processes to search with; the result does not depend on their number.",
)
@click.option("--seed", type=click.IntRange(min=0), help="Start of all chance.")
@json_option
@click.option("--quiet", is_flag=True, help="No progress and no advice.")
def command(
    study: str,
    seconds: float | None,
    designs: int | None,
    workers: int,
    seed: int | None,
    *,
    as_json: bool,
    quiet: bool,
) -> None:
    """Search for the best designs; the same command goes on where it was.

    Without --time and --designs the study's own budget holds. The same study with the same seed is
    the same run: more time or more designs let it go on.
    """
    url = database_url()
    run = start(url, read_study(study), seed=seed, budget=_budget(seconds, designs))
    if run.state is RunState.FINISHED and not quiet:
        remark(f"{run.id} has spent this budget; more --time or --designs let it go on")
    with progress_line(shown=not quiet and sys.stderr.isatty()) as show:
        standing = pool.run_local(url, run.id, workers=workers, on_progress=show).progress
    with opened(url) as database:
        found = find(database, run.id)
        if as_json:
            say_json(plain_outcome(found, standing))
        else:
            outcome_text(found, standing)
        if not quiet:
            advise(found, standing)
    end_with(standing)


def _budget(seconds: float | None, designs: int | None) -> Budget | None:
    return None if seconds is None and designs is None else Budget(seconds, designs)


def start(url: str, study: Study, *, seed: int | None, budget: Budget | None) -> Run:
    """Start the run that asks this, or let it go on."""
    if budget is None and study.search.time is None and study.search.designs is None:
        raise click.UsageError("the study names no time and no designs, want --time or --designs")
    with opened(url, there=False) as database:
        return runs.start_or_resume(
            database, study, plan=runs.plan_of(study, seed=seed), budget=budget
        )


@contextmanager
def progress_line(*, shown: bool) -> Iterator[Callable[[Progress], None]]:
    """Show how a run comes along on standard error, as long as it is a terminal."""
    if not shown:
        yield lambda _progress: None
        return
    console = Console(stderr=True, highlight=False)
    with Live(console=console, transient=True, auto_refresh=False) as live:
        yield lambda progress: live.update(drawn(progress), refresh=True)


def drawn(progress: Progress) -> Table:
    """Draw how a run comes along: a bar and a line of words."""
    grid = Table.grid()
    grid.add_column(no_wrap=True, overflow="ellipsis")
    grid.add_row(ProgressBar(total=1.0, completed=share_done(progress), width=BAR))
    grid.add_row(Text(progress_words(progress)))
    return grid
