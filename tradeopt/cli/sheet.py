"""`tradeopt sheet`."""

from pathlib import Path

import click

from tradeopt.cli.terms import (
    database_url,
    drawing,
    json_option,
    look,
    remark,
    run_argument,
    say,
    say_json,
)
from tradeopt.report.section import plain_sheet
from tradeopt.report.terminal import sheet_text
from tradeopt.services.lookup import find, opened
from tradeopt.services.pictures import draw_design
from tradeopt.services.views import provenance


@click.command()
@run_argument
@click.argument("design", type=click.IntRange(min=0))
@json_option
@click.option(
    "--pictures",
    "folder",
    type=click.Path(path_type=Path, file_okay=False, writable=True),
    help="Draw motors, ratios and temperatures into this folder (needs the extra: plots).",
)
def command(run: str, design: int, folder: Path | None, *, as_json: bool) -> None:
    """Show all there is to say of one design of a run.

    DESIGN is its number in the tables; 0 is the baseline.
    """
    with opened(database_url()) as database:
        found = find(database, run)
        sheet = found.sheet(design)
        if as_json:
            head = provenance(found.run) | {"design": design}
            say_json(head | plain_sheet(sheet) | {"curves": found.curves(design)})
        else:
            say(sheet_text(sheet, f"{found.run.id}, design {design}", look()))
        if folder is not None:
            with drawing():
                paths = draw_design(found, design, folder)
            for path in paths:
                remark(f"drawn: {path}")
