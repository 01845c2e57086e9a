"""Winding and housing over the mission, the touch of the housing, and peaks from hot."""

from dataclasses import dataclass

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.physics import heat, motor, warming
from tradeopt.quantities import Quantity
from tradeopt.report.amount import Cell, amount, amount_of
from tradeopt.report.regions import region_section
from tradeopt.report.section import Section
from tradeopt.report.view import View, spoken


@dataclass(frozen=True)
class Course:
    """Temperatures of all joints from a cold start.

    Attributes
    ----------
    time : Array
        Shape (moment,): since the start [s].
    winding, housing : Array
        Shape (joint, moment): [K].
    """

    time: Array
    winding: Array
    housing: Array


def mission_course(view: View, *, rounds: int, moments: int) -> Course:
    """
    Follow winding and housing over rounds of the mission from a cold start.

    Parameters
    ----------
    view : View
        The design.
    rounds : int
        Rounds to walk.
    moments : int
        How many moments of each leg to look at.

    Returns
    -------
    Course
        The start, then the moments of every leg of every round, each leg's end among them.
    """
    air = float(view.of(q.AMBIENT_TEMPERATURE))
    joints = len(q.JOINTS)
    rises = warming.Rises(np.zeros(joints), np.zeros(joints))
    times, windings, housings = [np.zeros(1)], [rises.winding[:, None]], [rises.housing[:, None]]
    shares = np.arange(1, moments + 1) / moments
    for leg in [*range(len(view.of(q.LEG_TIME)))] * rounds:
        load, network = _leg(view, leg)
        time = shares * view.of(q.LEG_TIME)[leg]
        start = warming.Rises(*(node[:, None] for node in rises))
        found = warming.transient(time, load, start, network)
        rises = warming.Rises(*(node[:, -1] for node in found))
        times.append(times[-1][-1] + time)
        windings.append(found.winding)
        housings.append(found.housing)
    winding, housing = (
        air + heat.bounded_rise(np.concatenate(parts, axis=1)) for parts in (windings, housings)
    )
    return Course(np.concatenate(times), winding, housing)


def _leg(view: View, leg: int) -> tuple[warming.Load, warming.Network]:
    """Return the losses of every joint in a leg, and what the heat passes; shape (joint, 1)."""
    gaits = view.of(q.LEG_GAIT)[leg]
    air = float(view.of(q.AMBIENT_TEMPERATURE))
    cold = (view.of(q.COLD_COPPER_LOSS) @ gaits)[:, None]
    iron = (view.of(q.IRON_LOSS).mean(axis=-1) @ gaits)[:, None]
    coefficient = motor.COPPER_COEFFICIENT
    at_air = 1.0 + coefficient * (air - motor.COPPER_REFERENCE_TEMPERATURE)
    outer = q.HOUSING_TO_AIR if gaits.any() else q.STILL_HOUSING_TO_AIR
    parts = (q.WINDING_TO_HOUSING, outer, q.WINDING_CAPACITY, q.HOUSING_CAPACITY)
    network = warming.Network(*(view.of(one)[:, None] for one in parts))
    return warming.Load(cold * at_air, cold * coefficient, iron), network


def warmth_sections(view: View) -> tuple[Section, ...]:
    """
    Say how warm motors get on the mission, and what is left of what they stand.

    Parameters
    ----------
    view : View
        The design.

    Returns
    -------
    tuple of Section
        By leg, against limits, in peaks where the study names some, and the motors' regions.
    """
    peaks = (_peaks(view),) if view.evaluation.entries["peak"] else ()
    return (
        _by_leg(view, q.MISSION_WINDING_TEMPERATURE),
        _by_leg(view, q.MISSION_HOUSING_TEMPERATURE),
        _limits(view),
        *peaks,
        region_section(view),
    )


def _by_leg(view: View, quantity: Quantity) -> Section:
    legs = view.evaluation.entries["leg"]
    rows: list[tuple[Cell, ...]] = [
        (joint, *(amount_of(quantity, float(value)) for value in values))
        for joint, values in zip(q.JOINTS, view.of(quantity), strict=True)
    ]
    title = f"{spoken(quantity.name).capitalize()}s"
    remark = "at the warmest moment of each leg, by the heat model that the study chose"
    return Section(f"{quantity.name}s", title, ("joint", *legs), tuple(rows), remark)


def _limits(view: View) -> Section:
    """Return what windings, magnets and touched housings have left, and how fast they warm."""
    constants = warming.time_constants(
        warming.Network(
            *(
                view.of(one)
                for one in (
                    q.WINDING_TO_HOUSING,
                    q.HOUSING_TO_AIR,
                    q.WINDING_CAPACITY,
                    q.HOUSING_CAPACITY,
                )
            )
        )
    )
    shown = [q.WINDING_LIMIT, q.WINDING_HEAT_MARGIN, q.MAGNET_LIMIT, q.MAGNET_HEAT_MARGIN]
    if q.TOUCH_MARGIN.name in view.evaluation.values:
        shown += [q.TOUCH_TEMPERATURE, q.TOUCH_MARGIN]
    course = mission_course(view, rounds=1, moments=20)
    rows: list[tuple[Cell, ...]] = [
        (
            joint,
            *(amount_of(one, float(view.of(one)[place])) for one in shown),
            amount_of(q.MISSION_WINDING_TEMPERATURE, float(course.winding[place].max())),
            *(amount(float(one[place]), "s") for one in constants),
        )
        for place, joint in enumerate(q.JOINTS)
    ]
    heads = ("joint", *(one.name for one in shown), "first_round", "fast", "slow")
    remark = (
        "first_round: winding at its warmest in the first round from cold; fast and slow: time "
        "constants of winding and whole motor; touch limits: the study's, by material and time of "
        "contact as ISO 13732-1 tells"
    )
    return Section("motor_heat", "Motor heat", heads, tuple(rows), remark)


def _peaks(view: View) -> Section:
    shown = (
        q.PEAK_TORQUE,
        q.PEAK_SHAFT_TORQUE,
        q.PEAK_CURRENT,
        q.PEAK_WINDING_TEMPERATURE,
        q.PEAK_TORQUE_MARGIN,
        q.PEAK_CURRENT_MARGIN,
        q.PEAK_VOLTAGE_MARGIN,
        q.PEAK_HEAT_MARGIN,
    )
    rows: list[tuple[Cell, ...]] = []
    for place, peak in enumerate(view.evaluation.entries["peak"]):
        for at, joint in enumerate(q.JOINTS):
            cells = (amount_of(one, float(view.of(one)[at, place])) for one in shown)
            rows.append((peak, joint, *cells))
    heads = ("peak", "joint", *(one.name.removeprefix("peak_") for one in shown))
    remark = "from the hot state of the gait that it follows, on the pack at the end of its charge"
    return Section("peaks", "Peaks", heads, tuple(rows), remark, labels=2)
