"""Curves of a design laid out for a page, in the units of the trade."""

from collections.abc import Iterator

import numpy as np

from tradeopt import units
from tradeopt.arrays import Array
from tradeopt.quantities import JOINTS
from tradeopt.report.curves import (
    ROUNDS,
    RatioCurve,
    TorqueSpeed,
    Warming,
    ratio_curves,
    torque_speed_maps,
    warming,
)
from tradeopt.report.section import Plain
from tradeopt.report.view import View, spoken
from tradeopt.study.problem import Limit

SPEED, TORQUE, ANGLE, RATIO, TIME, TEMPERATURE = "rad/s", "N*m", "rad", "1", "s", "K"


def drawn_curves(view: View, limits: tuple[Limit, ...]) -> Plain:
    """
    Lay out the curves of a design.

    Parameters
    ----------
    view : View
        The design.
    limits : tuple of Limit
        Of the study; that of the winding temperature gives the heat contours.

    Returns
    -------
    dict
        `torque_speed` and `ratio`: a picture a joint; `temperatures`: one of windings and one of
        housings. Each has axes and lines. What has no value is null.
    """
    return {
        "torque_speed": [_map(one) for one in torque_speed_maps(view, limits)],
        "ratio": [_ratio(one) for one in ratio_curves(view)],
        "temperatures": list(_temperatures(warming(view), limits)),
    }


def _map(one: TorqueSpeed) -> Plain:
    lines = [_line(loop.gait, loop.x, loop.y, (SPEED, TORQUE)) for loop in one.loops]
    ends = [("most it can drive", one.driving), ("most it can brake", one.braking)]
    for name, torque in ends:
        lines.append(_line(name, one.speed, torque, (SPEED, TORQUE), bound=True))
    for contour in one.contours:
        name = f"for ever at {units.show(contour.temperature, TEMPERATURE, 3)}"
        lines.append(_line(name, one.speed, contour.torque, (SPEED, TORQUE), bound=True))
    axes = {"x": _axis("motor speed", SPEED), "y": _axis("motor torque", TORQUE)}
    return {"title": spoken(one.joint), "lines": lines, **axes}


def _ratio(one: RatioCurve) -> Plain:
    lines = [_line(loop.gait, loop.x, loop.y, (ANGLE, RATIO)) for loop in one.loops]
    axes = {"x": _axis("joint angle", ANGLE), "y": _axis("motor speed over joint speed", RATIO)}
    return {"title": spoken(one.joint), "lines": lines, **axes}


def _temperatures(found: Warming, limits: tuple[Limit, ...]) -> Iterator[Plain]:
    bounds = {one.name: one.value for one in limits}
    time, axes = found.course.time, (TIME, TEMPERATURE)
    for part, values in (("winding", found.course.winding), ("housing", found.course.housing)):
        lines = [_line(joint, time, row, axes) for joint, row in zip(JOINTS, values, strict=True)]
        most = bounds.get(f"{part}_temperature")
        if most is not None:
            lines.append(_line("limit", time[[0, -1]], np.full(2, most), axes, bound=True))
        yield {
            "title": f"{part.capitalize()}s over {ROUNDS} rounds from cold",
            "lines": lines,
            "x": _axis("time", TIME),
            "y": _axis(f"{part} temperature", TEMPERATURE),
        }


def _axis(name: str, unit: str) -> Plain:
    return {"name": name, "unit": units.display_unit(unit)}


def _line(
    name: str, x: Array, y: Array, units_of: tuple[str, str], *, bound: bool = False
) -> Plain:
    across, up = units_of
    return {"name": spoken(name), "bound": bound, "x": _shown(x, across), "y": _shown(y, up)}


def _shown(values: Array, unit: str) -> list[float | None]:
    """Turn values into the unit they are read in, to six digits; null where there is none."""
    shown = units.from_si(np.asarray(values, dtype=np.float64), unit)
    return [float(f"{one:.6g}") if np.isfinite(one) else None for one in shown.tolist()]
