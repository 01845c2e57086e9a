"""`tradeopt front`."""

from pathlib import Path

import click

from tradeopt.cli.outcome import advise, end_with, outcome_text
from tradeopt.cli.terms import (
    database_url,
    drawing,
    json_option,
    remark,
    run_argument,
    say,
    say_json,
)
from tradeopt.services.exports import front_csv, front_json, front_parquet
from tradeopt.services.lookup import FoundRun, find, opened

FORMATS = (".svg", ".png")
"""What a picture may be."""


@click.command()
@run_argument
@click.option("--csv", "as_csv", is_flag=True, help="Print CSV, units in the column names.")
@json_option
@click.option(
    "--picture",
    type=click.Path(path_type=Path, dir_okay=False, writable=True),
    help="Draw the front into this file, .svg or .png (needs the extra: plots).",
)
@click.option(
    "--parquet",
    type=click.Path(path_type=Path, dir_okay=False, writable=True),
    help="Write the front into this Parquet file (needs the extra: parquet).",
)
def command(
    run: str, picture: Path | None, parquet: Path | None, *, as_csv: bool, as_json: bool
) -> None:
    """Show the best designs that a run has found."""
    if as_csv and as_json:
        raise click.UsageError("got --csv and --json, want one of them")
    if picture is not None and picture.suffix not in FORMATS:
        raise click.BadParameter(
            f"got {picture.name!r}, want a name that ends in .svg or .png", param_hint="--picture"
        )
    with opened(database_url()) as database:
        found = find(database, run)
        standing = found.standing
        if as_csv:
            say(front_csv(found).rstrip("\n"))
        elif as_json:
            say_json(front_json(found))
        else:
            outcome_text(found, standing)
        if parquet is not None:
            parquet.write_bytes(front_parquet(found))
            remark(f"written: {parquet}")
        if picture is not None:
            _draw(found, picture)
        elif not (as_csv or as_json) and standing.front_size:
            advise(found, standing)
    end_with(standing, ended=True)


def _draw(found: FoundRun, picture: Path) -> None:
    with drawing():
        from tradeopt.report.front_picture import draw_front  # noqa: PLC0415 - an extra

        draw_front(found.front(), found.tried(), found.baseline(), picture, found.run.id)
    remark(f"drawn: {picture}")
