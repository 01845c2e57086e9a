"""What one charge gives, leg by leg, and what may end it: parts that fail, and service."""

import numpy as np

from tradeopt import quantities as q
from tradeopt.physics.mission import mean_over_shares
from tradeopt.quantities import Quantity
from tradeopt.report.amount import Cell, amount, amount_of
from tradeopt.report.section import Section
from tradeopt.report.view import View


def mission_sections(view: View) -> tuple[Section, ...]:
    """
    Say what one charge gives.

    Parameters
    ----------
    view : View
        The design.

    Returns
    -------
    tuple of Section
        The mission as a whole, its legs, where the energy goes, and where the study names any,
        components that may fail and tasks of upkeep.
    """
    sections = [_whole(view), _legs(view), _energy(view)]
    if view.evaluation.entries["component"]:
        sections.append(_components(view))
    if view.evaluation.entries["task"]:
        sections.append(_tasks(view))
    return tuple(sections)


def facts(view: View, *quantities: Quantity) -> tuple[tuple[Cell, ...], ...]:
    """Return rows of name, value and meaning of quantities that are one number a design."""
    return tuple((one.name, view.amount(one), one.meaning) for one in quantities)


def _whole(view: View) -> Section:
    share = view.of(q.GAIT_SHARE)
    speed = float(mean_over_shares(view.of(q.WALKING_SPEED), share))
    power = float(mean_over_shares(view.of(q.MEAN_POWER), share))
    power += float(1.0 - share.sum()) * float(view.of(q.SITTING_POWER))
    rows: tuple[tuple[Cell, ...], ...] = (
        *facts(view, q.RANGE, q.ENDURANCE, q.COMPLETED_ROUNDS),
        ("mean_speed", amount(speed, "m/s"), "over the mission's time, standing included"),
        ("mean_power", amount(power, "W"), "drawn from the pack over the mission's time"),
        *facts(view, q.TOTAL_MASS, q.COST_OF_TRANSPORT, q.MECHANICAL_COST_OF_TRANSPORT),
    )
    return Section("mission", "Mission", ("quantity", "value", "meaning"), rows)


def _legs(view: View) -> Section:
    round_time, round_distance = view.of(q.LEG_TIME), view.of(q.LEG_DISTANCE)
    run_time, energy = view.of(q.LEG_RUN_TIME), view.of(q.LEG_ENERGY)
    rows: list[tuple[Cell, ...]] = [
        (
            leg,
            amount(round_time[place], "s", "min"),
            amount(round_distance[place], "m"),
            amount(run_time[place], "s", "h"),
            amount(energy[place], "J"),
            amount(energy[place] / run_time[place] if run_time[place] else np.nan, "W"),
        )
        for place, leg in enumerate(view.evaluation.entries["leg"])
    ]
    heads = ("leg", "time", "distance", "time_on_charge", "energy_on_charge", "mean_power")
    remark = (
        "time and distance: in one round; the legs are repeated in order until the charge ends"
    )
    return Section("legs", "Legs of the mission", heads, tuple(rows), remark)


def _energy(view: View) -> Section:
    by_joint = (
        q.JOINT_ENERGY,
        q.TRANSMISSION_ENERGY,
        q.COPPER_ENERGY,
        q.IRON_ENERGY,
        q.DRIVE_ENERGY,
        q.COOLING_ENERGY,
    )
    parts = [(one, float(view.of(one).sum())) for one in by_joint]
    parts += [(one, float(view.of(one))) for one in (q.STANDBY_ENERGY, q.REGENERATION_ENERGY)]
    drawn = float(view.of(q.LEG_ENERGY).sum())
    rows: list[tuple[Cell, ...]] = [
        (one.name, amount_of(one, part), amount(part / drawn, "1", "%"), one.meaning)
        for one, part in parts
        if drawn
    ]
    heads = ("part", "energy", "share", "meaning")
    remark = "of what the pack gives on one charge; what it loses inside is under battery"
    return Section("energy", "Energy of one charge", heads, tuple(rows), remark)


def _components(view: View) -> Section:
    rows: list[tuple[Cell, ...]] = [
        (
            component,
            *(
                amount(float(view.of(one)[place]), "1")
                for one in (q.COMPONENT_GROUPS, q.COMPONENT_NEEDED, q.COMPONENT_SPARE)
            ),
            amount(1.0 - float(view.of(q.COMPONENT_CHANCE)[place]), "1", "%"),
        )
        for place, component in enumerate(view.evaluation.entries["component"])
    ]
    chance, distance = view.amount(q.CHANCE_OF_FINISHING), view.amount(q.DISTANCE_TO_STOP)
    heads = ("component", "groups", "needed", "spare", "chance_of_stop")
    remark = (
        f"chance of finishing {chance}, mean distance to the first stop {distance}; constant "
        "rates, failures independent of each other but for common causes"
    )
    return Section("reliability", "Parts that may fail", heads, tuple(rows), remark)


def _tasks(view: View) -> Section:
    rows: list[tuple[Cell, ...]] = [
        (task, amount_of(q.TASK_TIME, float(time)))
        for task, time in zip(view.evaluation.entries["task"], view.of(q.TASK_TIME), strict=True)
    ]
    rows.append(("all tasks", view.amount(q.UPKEEP_TIME)))
    return Section("upkeep", "Upkeep", ("task", "time"), tuple(rows), "in 100 km of walking")
