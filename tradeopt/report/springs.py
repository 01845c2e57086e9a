"""Springs of a design: given or found, and what is left of them."""

import numpy as np

from tradeopt import quantities as q
from tradeopt.report.amount import Cell, amount, amount_of
from tradeopt.report.section import Section
from tradeopt.report.view import View

_SAID = (
    q.SPRING_STIFFNESS,
    q.SPRING_REST_ANGLE,
    q.SPRING_MASS,
    q.SPRING_TRAVEL_MARGIN,
    q.SPRING_STRESS_MARGIN,
)


def spring_sections(view: View) -> tuple[Section, ...]:
    """
    Say what springs a design has.

    Parameters
    ----------
    view : View
        The design.

    Returns
    -------
    tuple of Section
        Springs, one a joint that has one; nothing where no joint has.
    """
    rows: list[tuple[Cell, ...]] = []
    peak = np.abs(view.of(q.SPRING_TORQUE)).max(axis=(1, 2))
    for place in np.flatnonzero(view.of(q.SPRING_STIFFNESS) > 0.0).tolist():
        cells = (amount_of(one, float(view.of(one)[place])) for one in _SAID)
        rows.append((q.JOINTS[place], *cells, amount(float(peak[place]), "N*m")))
    if not rows:
        return ()
    heads = ("joint", *(one.name for one in _SAID), "torque_peak")
    remark = (
        "rest angle: without torque, or of the first touch; a wound spring lets go at once: "
        "unload it before work, and keep out of its reach"
    )
    return (Section("springs", "Springs", heads, tuple(rows), remark),)
