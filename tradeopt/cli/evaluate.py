"""`tradeopt evaluate`."""

import click

from tradeopt.cli.terms import json_option, look, read_study, say, say_json, study_argument
from tradeopt.report.section import plain_sheet
from tradeopt.report.sheet import design_sheet, evaluate_design
from tradeopt.report.terminal import sheet_text
from tradeopt.services.evaluate import changed


@click.command()
@study_argument
@click.option(
    "--set",
    "changes",
    metavar="PATH=VALUE",
    multiple=True,
    help="Say a value otherwise, as the study file would, such as robot.battery.parallel=14; "
    "limits.NAME moves a limit. May be given again.",
)
@json_option
def command(study: str, changes: tuple[str, ...], *, as_json: bool) -> None:
    """Evaluate the study's own design, or that with some values said otherwise."""
    said = dict(_pair(change) for change in changes)
    made, design = changed(read_study(study), said)
    sheet = design_sheet(made, evaluate_design(made, design), design[None])
    if as_json:
        say_json({"changes": said, **plain_sheet(sheet)})
    else:
        words = ", ".join(f"{path}={value}" for path, value in said.items())
        say(sheet_text(sheet, f"{made.name}, {words or 'baseline'}", look()))


def _pair(change: str) -> tuple[str, str]:
    path, equals, value = change.partition("=")
    if not equals:
        wish = "want PATH=VALUE, such as robot.battery.parallel=14"
        raise click.BadParameter(f"got {change!r}, {wish}", param_hint="--set")
    return path.strip(), value.strip()
