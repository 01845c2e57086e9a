"""`tradeopt sheet`."""

import click

from tradeopt.cli.outcome import plain_provenance
from tradeopt.cli.terms import database_url, json_option, look, run_argument, say, say_json
from tradeopt.report.section import plain_sheet
from tradeopt.report.terminal import sheet_text
from tradeopt.services.lookup import find, opened


@click.command()
@run_argument
@click.argument("design", type=click.IntRange(min=0))
@json_option
def command(run: str, design: int, *, as_json: bool) -> None:
    """Show all there is to say of one design of a run.

    DESIGN is its number in the tables; 0 is the baseline.
    """
    with opened(database_url()) as database:
        found = find(database, run)
        sheet = found.sheet(design)
        if as_json:
            say_json(plain_provenance(found) | {"design": design} | plain_sheet(sheet))
        else:
            say(sheet_text(sheet, f"{found.run.id}, design {design}", look()))
