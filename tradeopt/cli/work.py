"""`tradeopt work`."""

import click

from tradeopt.cli.terms import remark, workers_option, workers_words
from tradeopt.services import logs, station
from tradeopt.settings import read_settings


@click.command()
@workers_option
def command(workers: int) -> None:
    """Work on runs that are under way, until Ctrl-C: one more machine for a search.

    All machines share one database server, named by TRADEOPT_DATABASE_URL.
    """
    settings = read_settings()
    logs.set_up(settings.log_level)
    remark(f"{workers_words(workers)}; Ctrl-C ends")
    station.work(settings, workers)
