"""Curves of a design laid out for a page, in the units of the trade."""

from collections.abc import Iterator

import numpy as np

from tradeopt import units
from tradeopt.arrays import Array
from tradeopt.quantities import JOINTS
from tradeopt.report.curves import (
    LegTemperatures,
    RatioCurve,
    TorqueSpeed,
    leg_temperatures,
    ratio_curves,
    torque_speed_maps,
)
from tradeopt.report.section import Plain
from tradeopt.report.view import View, spoken
from tradeopt.study.problem import Limit

SPEED, TORQUE, ANGLE, RATIO, TEMPERATURE = "rad/s", "N*m", "rad", "1", "K"


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
        `torque_speed` and `ratio`: a picture a joint, each with axes and lines; `temperatures`:
        the warmest of each joint in each leg of the mission, for winding and housing. What has no
        value is null.
    """
    return {
        "torque_speed": [_map(one) for one in torque_speed_maps(view, limits)],
        "ratio": [_ratio(one) for one in ratio_curves(view)],
        "temperatures": list(_temperatures(leg_temperatures(view))),
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


def _temperatures(found: LegTemperatures) -> Iterator[Plain]:
    how = "warmest in each leg" if found.over_mission else "as if each leg went on for ever"
    for part, values in (("winding", found.winding), ("housing", found.housing)):
        yield {
            "title": f"{part.capitalize()} over the mission, {how}",
            "unit": units.display_unit(TEMPERATURE),
            "names": [spoken(joint) for joint in JOINTS],
            "parts": [
                {"name": spoken(leg), "values": _shown(values[:, place], TEMPERATURE)}
                for place, leg in enumerate(found.legs)
            ],
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
