"""`tradeopt report`."""

from pathlib import Path

import click

from tradeopt.cli.terms import database_url, output_option, picks_option, remark, run_argument
from tradeopt.services.handover import report_page
from tradeopt.services.lookup import opened


@click.command()
@run_argument
@output_option
@picks_option
def command(run: str, path: Path, picks: tuple[int, ...]) -> None:
    """Write the review of a run as one HTML file, for people without the server."""
    with opened(database_url()) as database:
        path.write_text(report_page(database, run, picks), encoding="utf-8")
    remark(f"written: {path}")
