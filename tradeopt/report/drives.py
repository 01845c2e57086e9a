"""Joints, motors and heat of a design against what they can take."""

from collections.abc import Mapping

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.quantities import Quantity
from tradeopt.report.amount import Cell, amount, amount_of
from tradeopt.report.section import Section
from tradeopt.report.view import View, spoken


def drive_sections(view: View) -> tuple[Section, ...]:
    """
    Say what joints and motors do and how warm the motors get.

    Parameters
    ----------
    view : View
        The design.

    Returns
    -------
    tuple of Section
        Joints, motors, winding and housing temperatures.

    Notes
    -----
    Peak: the largest over all gaits, whatever its sign. Rms: over the mission's time, the square
    root of the mean square of each gait weighted by its share.
    """
    return (
        _joints(view),
        _motors(view),
        _temperatures(view, q.WINDING_TEMPERATURE),
        _temperatures(view, q.HOUSING_TEMPERATURE),
    )


def _joints(view: View) -> Section:
    columns = {
        "torque_peak": (_peak(view, q.JOINT_TORQUE), "N*m"),
        "torque_rms": (_rms(view, q.JOINT_TORQUE), "N*m"),
        "drive_torque_peak": (_peak(view, q.DRIVE_TORQUE), "N*m"),
        "drive_torque_rms": (_rms(view, q.DRIVE_TORQUE), "N*m"),
        "speed_peak": (_peak(view, q.JOINT_SPEED), "rad/s"),
        "speed_rms": (_rms(view, q.JOINT_SPEED), "rad/s"),
    }
    margins = (q.TRANSMISSION_TORQUE_MARGIN, q.SPRING_TRAVEL_MARGIN)
    remark = "peak over all gaits, rms over the mission's time; drive torque: less the spring's"
    return _by_joint(view, ("joints", "Joints", remark), columns, margins)


def _motors(view: View) -> Section:
    columns = {
        "torque_peak": (_peak(view, q.MOTOR_TORQUE), "N*m"),
        "torque_limit": (view.of(q.PEAK_MOTOR_TORQUE), "N*m"),
        "torque_rms": (_rms(view, q.MOTOR_TORQUE), "N*m"),
        "current_peak": (_peak(view, q.MOTOR_CURRENT), "A"),
        "speed_peak": (_peak(view, q.MOTOR_SPEED), "rad/s"),
        "speed_rms": (_rms(view, q.MOTOR_SPEED), "rad/s"),
    }
    margins = (q.MOTOR_TORQUE_MARGIN, q.VOLTAGE_MARGIN)
    remark = (
        "peak over all gaits, rms over the mission's time; voltage margin: on the sagging pack"
    )
    return _by_joint(view, ("motors", "Motors", remark), columns, margins)


def _by_joint(
    view: View,
    label: tuple[str, str, str],
    columns: Mapping[str, tuple[Array, str]],
    margins: tuple[Quantity, ...],
) -> Section:
    rows: list[tuple[Cell, ...]] = []
    for place, joint in enumerate(q.JOINTS):
        cells = [amount(float(values[place]), unit) for values, unit in columns.values()]
        left = [amount_of(margin, float(view.of(margin)[place])) for margin in margins]
        rows.append((joint, *cells, *left))
    name, title, remark = label
    heads = ("joint", *columns, *(margin.name for margin in margins))
    return Section(name, title, heads, tuple(rows), remark)


def _peak(view: View, quantity: Quantity) -> Array:
    """Return the largest size over gaits and phases, shape (joint,)."""
    peak: Array = np.abs(view.of(quantity)).max(axis=(1, 2))
    return peak


def _rms(view: View, quantity: Quantity) -> Array:
    """Return the root mean square over the mission's time, shape (joint,)."""
    squares = np.square(view.of(quantity)).mean(axis=-1)
    rms: Array = np.sqrt(squares @ view.of(q.GAIT_SHARE))
    return rms


def _temperatures(view: View, quantity: Quantity) -> Section:
    rows: list[tuple[Cell, ...]] = [
        (joint, *(amount_of(quantity, float(value)) for value in values))
        for joint, values in zip(q.JOINTS, view.of(quantity), strict=True)
    ]
    title = f"{spoken(quantity.name).capitalize()}s"
    remark = "each gait as if it went on for ever"
    return Section(f"{quantity.name}s", title, ("joint", *view.gaits), tuple(rows), remark)
