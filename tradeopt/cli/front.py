"""`tradeopt front`."""

import csv
import io
from pathlib import Path

import click

from tradeopt.cli.outcome import advise, end_with, outcome_text, plain_provenance
from tradeopt.cli.terms import (
    database_url,
    drawing,
    json_option,
    remark,
    run_argument,
    say,
    say_json,
)
from tradeopt.report.front import front_columns, plain_front
from tradeopt.report.section import Plain
from tradeopt.services.lookup import FoundRun, find, opened

PROVENANCE = ("run", "study_sha256", "seed", "searched_by")
"""What the table repeats in every row, so that it can be told from others."""

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
def command(run: str, picture: Path | None, *, as_csv: bool, as_json: bool) -> None:
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
            say(csv_text(found).rstrip("\n"))
        elif as_json:
            say_json(plain_provenance(found) | {"front": _plain_front(found)})
        else:
            outcome_text(found, standing)
        if picture is not None:
            _draw(found, picture)
        elif not (as_csv or as_json) and standing.front_size:
            advise(found, standing)
    end_with(standing, ended=True)


def _plain_front(found: FoundRun) -> list[Plain]:
    """Turn a front into what JSON can hold, with the residual of each design if it is known."""
    residuals = found.residuals()
    front = plain_front(found.front())
    return [one | {"residual": residuals.get(int(str(one["design"])))} for one in front]


def csv_text(found: FoundRun) -> str:
    """Write a front as CSV, a design a row; the residual is empty where it is not known."""
    columns = front_columns(found.front())
    residuals = found.residuals()
    columns["residual"] = [residuals.get(int(number), "") for number in columns["design"]]
    source = plain_provenance(found)
    made_by = [source[name] for name in PROVENANCE]
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow([*columns, *PROVENANCE])
    writer.writerows([*row, *made_by] for row in zip(*columns.values(), strict=True))
    return text.getvalue()


def _draw(found: FoundRun, picture: Path) -> None:
    with drawing():
        from tradeopt.report.front_picture import draw_front  # noqa: PLC0415 - an extra

        draw_front(found.front(), found.tried(), found.baseline(), picture, found.run.id)
    remark(f"drawn: {picture}")
