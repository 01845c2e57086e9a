"""Pictures of runs and designs (extra: plots)."""

from io import BytesIO
from pathlib import Path

from tradeopt.report.review import BASELINE, Review
from tradeopt.report.sheet import evaluate_design
from tradeopt.report.view import View, spoken
from tradeopt.services.lookup import FoundRun


def draw_design(found: FoundRun, number: int, folder: Path, form: str = "png") -> list[Path]:
    """
    Draw one design of a run.

    Parameters
    ----------
    found : FoundRun
        The run.
    number : int
        Which design.
    folder : Path
        Where the pictures go; made if it is not there.
    form : str
        svg or png.

    Returns
    -------
    list of Path
        Torque over speed, ratio over angle, and temperatures over a round of the mission.
    """
    from tradeopt.report.design_pictures import design_figures  # noqa: PLC0415 - an extra
    from tradeopt.report.front_picture import save  # noqa: PLC0415 - an extra

    folder.mkdir(parents=True, exist_ok=True)
    design = found.study.problem.baseline if number == BASELINE else found.design(number)
    view = View(evaluate_design(found.study, design), 0)
    title = f"{found.run.id}, design {number}"
    paths = []
    for name, figure in design_figures(view, found.study.problem.limits, title).items():
        paths.append(folder / f"design_{number}_{name}.{form}")
        save(figure, paths[-1], found.run.id)
    return paths


def review_pictures(told: Review) -> dict[str, bytes]:
    """
    Draw what a report shows.

    Parameters
    ----------
    told : Review
        The review.

    Returns
    -------
    dict of str to bytes
        SVG by caption: the front, then the recommended design.
    """
    from tradeopt.report.design_pictures import design_figures  # noqa: PLC0415 - an extra
    from tradeopt.report.front_picture import front_figure, save  # noqa: PLC0415 - an extra

    run = str(told.provenance["run"])
    name = told.chosen.name
    figures = {"The front": front_figure(told.front, told.tried, told.baseline_view, run)}
    of_design = design_figures(told.chosen.view, told.study.problem.limits, name)
    figures |= {f"{spoken(what)} of {name}".capitalize(): one for what, one in of_design.items()}
    drawn = {}
    for caption, figure in figures.items():
        target = BytesIO()
        save(figure, target, run)
        drawn[caption] = target.getvalue()
    return drawn
