"""`tradeopt status`."""

from dataclasses import asdict

import click

from tradeopt.cli.terms import database_url, json_option, look, say, say_json
from tradeopt.report.progress import plain_run, time_words
from tradeopt.report.section import Section
from tradeopt.report.terminal import section_text
from tradeopt.services.lookup import every, opened
from tradeopt.services.progress import Progress
from tradeopt.services.sight import SeenWorker, seen_workers
from tradeopt.store.runs import Run, RunState


@click.command()
@json_option
def command(*, as_json: bool) -> None:
    """Show which runs are under way, who works on them, and what each waits for."""
    with opened(database_url()) as database:
        workers = seen_workers(database)
        under_way = [one for one in every(database) if one[1].state is RunState.RUNNING]
    if as_json:
        runs = [plain_run(standing) | {"waiting": standing.waiting} for _, standing in under_way]
        say_json({"runs": runs, "workers": [asdict(one) for one in workers]})
        return
    say(
        section_text(_runs(under_way), look()).lstrip("\n") if under_way else "no run is under way"
    )
    say(section_text(_workers(workers), look()) if workers else "no worker has been seen")


def _runs(under_way: list[tuple[Run, Progress]]) -> Section:
    rows = tuple(
        (
            run.id,
            f"{run.priority:g}",
            f"{standing.tried:,}",
            str(standing.front_size),
            time_words(standing.seconds_spent),
            standing.waiting or "worked on",
        )
        for run, standing in under_way
    )
    heads = ("run", "priority", "designs", "front", "searched", "now")
    return Section("runs", "Runs under way", heads, rows)


def _workers(workers: list[SeenWorker]) -> Section:
    rows = tuple(
        (
            one.name,
            str(one.process),
            f"{time_words(one.silent)} ago",
            one.in_hand or "-",
            "-" if one.step_age is None else time_words(one.step_age),
        )
        for one in workers
    )
    return Section(
        "workers", "Workers", ("worker", "process", "last_seen", "in_hand", "for"), rows
    )
