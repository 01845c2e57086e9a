"""The slides of a review in their order, and the file of the deck."""

from datetime import datetime
from io import BytesIO

from tradeopt.report.deck import closing, design, driving, question, trade
from tradeopt.report.deck.canvas import Canvas
from tradeopt.report.deck.package import timeless
from tradeopt.report.plain_text import clean
from tradeopt.report.review import Review

ORDER = (
    question.decision,
    question.requirements,
    question.asked,
    trade.searched,
    trade.front,
    trade.alternatives,
    design.masses,
    design.energy,
    design.torque_speed,
    design.heat,
    driving.tight_limits,
    driving.sensitivity,
    driving.spread,
    driving.mechanisms,
    driving.flips,
    closing.risks,
    closing.repeat,
)
"""What a review looks at, slide by slide."""


def deck_of(review: Review) -> bytes:
    """
    Make the deck of a review.

    Parameters
    ----------
    review : Review
        The review.

    Returns
    -------
    bytes
        A slide file (.pptx); the same review gives the same bytes.
    """
    canvas = Canvas(f"{review.study.name}  |  run {review.provenance['run']}")
    for slide in ORDER:
        slide(canvas, review)
    made = datetime.fromisoformat(review.created).replace(tzinfo=None)
    properties = canvas.deck.core_properties
    properties.title = clean(f"{review.study.name}: design review")
    properties.author = properties.last_modified_by = (
        f"tradeopt {review.provenance['searched_by']}"
    )
    properties.created = properties.modified = made
    properties.revision = 1
    out = BytesIO()
    canvas.deck.save(out)
    return timeless(out.getvalue(), made)
