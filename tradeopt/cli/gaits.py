"""`tradeopt gaits`."""

from pathlib import Path

import click

from tradeopt.cli.terms import drawing, read_study, remark, study_argument


@click.command()
@study_argument
@click.option(
    "--output",
    type=click.Path(path_type=Path, file_okay=False, writable=True),
    required=True,
    help="Folder for the pictures, made if it is not there.",
)
def command(study: str, output: Path) -> None:
    """Draw each gait of a study: stick figure, joint angles, torques, foot load."""
    asked = read_study(study)
    with drawing():
        from tradeopt.report.gait_picture import draw_gaits  # noqa: PLC0415 - an extra

        for path in draw_gaits(asked.problem, output):
            remark(f"drawn: {path}")
