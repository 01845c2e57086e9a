"""`tradeopt report`."""

from pathlib import Path

import click

from tradeopt.cli.terms import (
    database_url,
    json_option,
    picks_option,
    remark,
    run_argument,
    say_json,
)
from tradeopt.services.handover import report_page, review_view
from tradeopt.services.lookup import opened


@click.command()
@run_argument
@click.option(
    "-o",
    "--output",
    "path",
    type=click.Path(path_type=Path, dir_okay=False, writable=True),
    help="The HTML file to write.",
)
@picks_option
@json_option
def command(run: str, path: Path | None, picks: tuple[int, ...], *, as_json: bool) -> None:
    """Write the review of a run as one HTML file, for people without the service."""
    if (path is None) is not as_json:
        raise click.UsageError("got neither or both of --output and --json, want one of them")
    with opened(database_url()) as database:
        if path is None:
            say_json(review_view(database, run, picks))
        else:
            path.write_text(report_page(database, run, picks), encoding="utf-8")
            remark(f"written: {path}")
