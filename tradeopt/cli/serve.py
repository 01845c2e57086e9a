"""`tradeopt serve`."""

import click

from tradeopt.cli.terms import remark, workers_option, workers_words
from tradeopt.services import logs, station
from tradeopt.settings import read_settings


@click.command()
@click.option("--host", default="127.0.0.1", show_default=True, help="Address to answer at.")
@click.option(
    "--port", type=click.IntRange(0, 65535), default=8000, show_default=True, help="0 for any."
)
@workers_option
def command(host: str, port: int, workers: int) -> None:
    """Answer over HTTP and work on runs, until Ctrl-C; what dies is replaced.

    Runs that were under way go on. TRADEOPT_DATABASE_URL says where runs are kept.
    """
    settings = read_settings()
    logs.set_up(settings.log_level)
    station.serve(
        settings,
        (host, port),
        workers,
        lambda address: remark(f"{address}, {workers_words(workers)}; Ctrl-C ends"),
    )
