"""`tradeopt runs`."""

import click

from tradeopt.cli.terms import database_url, json_option, look, say, say_json
from tradeopt.report.progress import plain_run, time_words
from tradeopt.report.section import Section
from tradeopt.report.terminal import section_text
from tradeopt.services.lookup import every, opened
from tradeopt.services.progress import Progress
from tradeopt.store.runs import Run


@click.command()
@json_option
def command(*, as_json: bool) -> None:
    """List the runs of this folder's database."""
    with opened(database_url()) as database:
        known = every(database)
    if as_json:
        say_json([plain_run(standing) | {"created": run.created} for run, standing in known])
    elif known:
        say(section_text(_table(known), look()).lstrip("\n"))
    else:
        say("no runs yet; start one with: tradeopt run STUDY")


def _table(known: list[tuple[Run, Progress]]) -> Section:
    rows = tuple(
        (
            run.id,
            str(run.state),
            f"{standing.tried:,}",
            f"{standing.feasible:,}",
            str(standing.front_size),
            time_words(standing.seconds_spent),
            str(run.plan.seed),
            run.created[:16].replace("T", " "),
        )
        for run, standing in known
    )
    heads = ("run", "state", "designs", "meet_all", "front", "searched", "seed", "started_UTC")
    return Section("runs", "Runs", heads, rows)
