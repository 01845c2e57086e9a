"""Slides on risks and cautions, and on how to repeat it all."""

from pptx.slide import Slide

from tradeopt.report.deck.canvas import BODY, Box, Canvas, bullets, table, text
from tradeopt.report.provenance import LIBRARIES
from tradeopt.report.review import Review
from tradeopt.report.section import Section
from tradeopt.report.sheet import CAUTIONS, MODEL_LIMITS
from tradeopt.report.view import spoken

OPEN_TESTS = (
    "Spin each motor with its transmission on a bench: torque per current, friction, losses.",
    "Hold a constant torque until temperatures settle: thermal resistances of the motor.",
    "Discharge the pack at the mission's power, cold and warm: energy, sag, temperatures.",
    "Weigh every part as it arrives, and enter it with its maturity.",
    "Walk the gaits on a tether and log joint torques and bus power against the model.",
)
"""Tests that would replace the model's word, common practice in the trade."""


def risks(canvas: Canvas, review: Review) -> None:
    """Name risks, cautions and open tests."""
    slide = canvas.slide("Risks, cautions and tests still open")
    left, right = BODY.halves(0.58)
    upper, lower = left.stack(0.52)
    weak = sorted(review.insights.chances.items(), key=lambda one: one[1])[:3]
    told = [
        f"{spoken(name).capitalize()} is met in {100.0 * share:.3g} % of draws under the assumed "
        "spreads."
        for name, share in weak
    ]
    _headed(slide, "Risks", [*told, *MODEL_LIMITS], upper)
    _headed(slide, "Cautions", list(CAUTIONS), lower)
    _headed(slide, "Open tests", list(OPEN_TESTS), right)


def _headed(slide: Slide, title: str, points: list[str], box: Box) -> None:
    text(slide, title, Box(box.left, box.top, box.width, 0.35), 15, bold=True)
    bullets(slide, points, Box(box.left, box.top + 0.4, box.width, box.height - 0.4), 13)


def repeat(canvas: Canvas, review: Review) -> None:
    """Say what made the numbers and how to make them again."""
    slide = canvas.slide("How these numbers were made, and how to make them again")
    source = review.provenance
    told_by = source["told_by"]
    versions = told_by if isinstance(told_by, dict) else {}
    rows = [
        ("study", f"{source['study']}"),
        ("study SHA-256", f"{source['study_sha256']}"),
        ("run", f"{source['run']}, started {review.created[:16].replace('T', ' ')} UTC"),
        ("seed, method, sampler", f"{source['seed']}, {source['method']}, {source['sampler']}"),
        ("searched by", f"tradeopt {source['searched_by']}"),
        ("deck made by", f"tradeopt {versions['tradeopt']}, Python {versions['python']}"),
        ("libraries", ", ".join(f"{name} {versions[name]}" for name in LIBRARIES)),
        ("designs shown", ", ".join(f"{one.number} ({one.role})" for one in review.candidates)),
    ]
    upper, lower = BODY.stack(0.6)
    table(slide, Section("provenance", "", ("what", "value"), tuple(rows)), upper)
    picks = " ".join(f"--pick {one.number}" for one in review.picks)
    points = [
        "Any design of the run evaluates to the same numbers again: tradeopt sheet "
        f"{source['run']} {review.chosen.number}",
        f"This deck: tradeopt deck {source['run']} {picks} -o review.pptx",
        "The whole search: tradeopt run with the study file of this hash and this seed; it does "
        "not depend on the number of workers.",
        "Masses: predicted = basic + growth by maturity, as the study gives it.",
    ]
    bullets(slide, points, lower, 14)
