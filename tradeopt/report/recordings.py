"""Which gaits of a design were recorded, from how many strides, and how well those repeat."""

import numpy as np

from tradeopt import quantities as q
from tradeopt.report.amount import Cell, amount
from tradeopt.report.section import Section
from tradeopt.report.view import View, spoken


def recording_sections(view: View) -> tuple[Section, ...]:
    """
    Say how the recorded gaits came about.

    Parameters
    ----------
    view : View
        The design.

    Returns
    -------
    tuple of Section
        One section, or none where every gait is laid out by the model.

    Notes
    -----
    Spread and drift are those of the worst joint, drift whatever its sign.
    """
    strides = view.of(q.RECORDED_STRIDES)
    spread, drift = view.of(q.STRIDE_SPREAD), np.abs(view.of(q.STRIDE_DRIFT))
    rows: list[tuple[Cell, ...]] = []
    for gait in np.flatnonzero(strides):
        widest = int(spread[:, gait].argmax())
        scaled = bool(view.of(q.SCALED_TORQUE)[gait])
        rows.append(
            (
                view.gaits[gait],
                amount(float(strides[gait]), "1"),
                amount(float(spread[widest, gait]), "rad"),
                spoken(q.JOINTS[widest]),
                amount(float(drift[:, gait].max()), "rad"),
                "scaled by weight and leg length" if scaled else "of this robot's own bodies",
            )
        )
    heads = ("gait", "strides", "largest_spread", "of_joint", "largest_drift", "torques")
    return (Section("recordings", "Recorded gaits", heads, tuple(rows)),) if rows else ()
