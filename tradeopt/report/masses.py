"""The mass statement: what is weighed, what is allowed for growth, and what that predicts.

Predicted mass is basic mass plus a growth allowance by maturity, after ANSI/AIAA S-120A-2015 with
SAWE RP A-3 (from memory).
"""

import numpy as np

from tradeopt import quantities as q
from tradeopt.report.amount import Cell, amount
from tradeopt.report.section import Section
from tradeopt.report.view import View, spoken

_DRIVE_PARTS = (q.MOTOR_MASS, q.TRANSMISSION_MASS, q.SPRING_MASS, q.COOLING_MASS)
_DRIVE_GROWTHS = (q.MOTOR_GROWTH, q.TRANSMISSION_GROWTH, q.SPRING_GROWTH, q.COOLING_GROWTH)
_TORSO = "torso"


def mass_sections(view: View) -> tuple[Section, ...]:
    """
    State the masses of a design, both legs counted.

    Parameters
    ----------
    view : View
        The design.

    Returns
    -------
    tuple of Section
        The mass statement, and the drives part by part.

    Notes
    -----
    Predicted = basic + growth, item by item as the chain says.
    """
    return _statement(view), _drives(view)


def _statement(view: View) -> Section:
    rows = [*_bodies(view), *_others(view), *_grown(view)]
    total = float(view.of(q.TOTAL_MASS))
    basic = float(view.of(q.BASIC_MASS))
    rows.append(_row("whole robot", 1, basic, total - basic))
    heads = ("item", "count", "basic", "growth", "predicted")
    remark = "each row counts all pieces of its item; predicted = basic + growth"
    return Section("mass", "Mass statement", heads, tuple(rows), remark)


def _bodies(view: View) -> list[tuple[Cell, ...]]:
    masses, growths = view.of(q.STRUCTURE_MASS), view.of(q.STRUCTURE_GROWTH)
    return [
        _row(f"{spoken(body)} structure", _count(body), float(mass), float(growth))
        for body, mass, growth in zip(q.BODIES, masses, growths, strict=True)
    ]


def _others(view: View) -> list[tuple[Cell, ...]]:
    """Return the rows of named groups: joints beside the legs, and pieces that may fail."""
    named = (
        ("joint_group", q.GROUP_MASS, q.GROUP_GROWTH),
        ("component", q.COMPONENT_MASS, q.COMPONENT_GROWTH),
    )
    return [
        _row(spoken(name), 1, float(mass), float(growth))
        for axis, masses, growths in named
        for name, mass, growth in zip(
            view.evaluation.entries[axis], view.of(masses), view.of(growths), strict=True
        )
        if mass > 0.0
    ]


def _count(body: str) -> int:
    return 1 if body == _TORSO else q.LEGS


def _grown(view: View) -> list[tuple[Cell, ...]]:
    """Return the rows of drives and battery."""
    drives = np.sum([view.of(part) for part in _DRIVE_PARTS], axis=0)
    growths = np.sum([view.of(growth) for growth in _DRIVE_GROWTHS], axis=0)
    battery, battery_growth = float(view.of(q.BATTERY_MASS)), float(view.of(q.BATTERY_GROWTH))
    rows = [
        _row(f"{spoken(joint)} drive", q.LEGS, float(mass), float(growth))
        for joint, mass, growth in zip(q.JOINTS, drives, growths, strict=True)
    ]
    return [*rows, _row("battery", 1, battery, battery_growth)]


def _row(label: str, count: int, basic: float, growth: float) -> tuple[Cell, ...]:
    masses = (count * basic, count * growth, count * (basic + growth))
    return (label, str(count), *(amount(mass, "kg") for mass in masses))


def _drives(view: View) -> Section:
    parts = [view.of(part) for part in _DRIVE_PARTS]
    rows: list[tuple[Cell, ...]] = []
    for place, joint in enumerate(q.JOINTS):
        masses = [q.LEGS * float(part[place]) for part in parts]
        rows.append((joint, *(amount(mass, "kg") for mass in (*masses, sum(masses)))))
    sums = [q.LEGS * float(part.sum()) for part in parts]
    rows.append(("all joints", *(amount(mass, "kg") for mass in (*sums, sum(sums)))))
    heads = ("joint", "motors", "transmissions", "springs", "cooling", "drives")
    remark = "basic masses, left and right together"
    return Section("drive_mass", "Drives by part", heads, tuple(rows), remark)
