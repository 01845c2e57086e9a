"""`tradeopt run`."""

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
    pairs,
    read_study,
    remark,
    say_json,
    study_argument,
    workers_option,
)
from tradeopt.report.progress import progress_words, share_done
from tradeopt.services import pool, runs
from tradeopt.services.lookup import find, opened
from tradeopt.services.progress import Progress
from tradeopt.services.starts import (
    budget_of,
    from_baseline,
    from_elsewhere,
    picked_by_hand,
    plan_of,
    reusing,
)
from tradeopt.store.runs import Budget, RunState
from tradeopt.store.turns import Wish
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
    help="Time to search, such as 2min; of the whole run, to the end of an epoch.",
)
@click.option(
    "--designs",
    type=click.IntRange(min=1, max=MOST_DESIGNS),
    help="Designs to try, rounded up to whole epochs; of the whole run.",
)
@workers_option
@click.option(
    "--priority",
    type=click.FloatRange(min=0.01, max=100.0),
    help="Share of workers that other runs want too; 1 unless said.",
)
@click.option("--seed", type=click.IntRange(min=0), help="Start of all chance.")
@click.option(
    "--to-the-end", is_flag=True, help="Do not stop early when the front has stopped growing."
)
@click.option(
    "--pick",
    "picks",
    metavar="PATH=VALUE[,...]",
    multiple=True,
    help="A design to try and keep: variables that differ from the baseline. May be given again.",
)
@click.option(
    "--reuse",
    metavar="RUN",
    help="Begin with the designs of another run, scored again by this study.",
)
@click.option(
    "--bring",
    nargs=2,
    metavar="STORAGE STUDY",
    help="Begin with the trials of an Optuna study whose parameters are named by paths.",
)
@json_option
@click.option("--quiet", is_flag=True, help="No progress and no advice.")
def command(
    study: str,
    seconds: float | None,
    designs: int | None,
    seed: int | None,
    *,
    workers: int,
    priority: float | None,
    to_the_end: bool,
    picks: tuple[str, ...],
    reuse: str | None,
    bring: tuple[str, str] | None,
    as_json: bool,
    quiet: bool,
) -> None:
    """Search for the best designs; the same command goes on where it was.

    Without --time and --designs the study's own budget holds. The same study with the same seed is
    the same run: more time or more designs let it go on.
    """
    url = database_url()
    read = read_study(study)
    budget = _budget(read, seconds, designs, to_the_end=to_the_end)
    with opened(url, there=False) as database:
        first = from_baseline(read.problem, [picked_by_hand(read, pairs(one)) for one in picks])
        if reuse is not None:
            first = reusing(database, read.problem, first, find(database, reuse).run.id)
        if bring is not None:
            first = from_elsewhere(read.problem, first, *bring)
        plan = plan_of(read, seed=seed)
        run = runs.start_or_resume(
            database,
            read,
            plan=plan,
            budget=budget,
            start=first,
            wish=None if priority is None else Wish(priority),
        )
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


def _budget(
    study: Study, seconds: float | None, designs: int | None, *, to_the_end: bool
) -> Budget:
    own = budget_of(study)
    if seconds is None and designs is None:
        seconds, designs = own.seconds, own.designs
    if seconds is None and designs is None:
        raise click.UsageError("the study names no time and no designs, want --time or --designs")
    return Budget(seconds, designs, early=own.early and not to_the_end)


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
