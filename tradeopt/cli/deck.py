"""`tradeopt deck`."""

from pathlib import Path

import click

from tradeopt.cli.terms import database_url, picks_option, remark, run_argument
from tradeopt.services.handover import deck
from tradeopt.services.lookup import opened


@click.command()
@run_argument
@click.option(
    "-o",
    "--output",
    "path",
    type=click.Path(path_type=Path, dir_okay=False, writable=True),
    required=True,
    help="The slide file (.pptx) to write.",
)
@picks_option
def command(run: str, path: Path, picks: tuple[int, ...]) -> None:
    """Make the review deck of a run: native tables and charts that can be edited."""
    with opened(database_url()) as database:
        path.write_bytes(deck(database, run, picks))
    remark(f"written: {path}")
