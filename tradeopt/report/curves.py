"""Curves of a design as plain numbers, for charts, pictures and JSON alike."""

from dataclasses import dataclass

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.report.regions import lasting_torque_at, peak_torque_at
from tradeopt.report.section import Plain
from tradeopt.report.view import View
from tradeopt.report.warmth import Course, mission_course
from tradeopt.study.problem import Limit

POINTS = 50
"""Speeds at which a limit is drawn: there and back they are fewer than the phases of a stride, as
one office suite leaves out the series of a chart that are shorter than a later one."""

HEADROOM = 1.15
"""How far beyond the fastest speed of the gaits a map goes, as a multiple of it."""

SLOW = 0.05
"""Share of its fastest speed below which a joint's ratio cannot be told from speeds."""

STEPS = (1.0 / 3.0, 2.0 / 3.0, 1.0)
"""Shares of the allowed rise of the winding for which heat contours are drawn."""


ROUNDS = 3
"""Rounds of the mission over which temperatures are drawn: cold, and what comes back after."""

MOMENTS = 16
"""Moments of each leg at which temperatures are drawn."""


@dataclass(frozen=True)
class Loop:
    """One stride of a gait.

    Attributes
    ----------
    gait : str
        Which gait.
    x, y : Array
        Shape (phase,), SI.
    """

    gait: str
    x: Array
    y: Array


@dataclass(frozen=True)
class Contour:
    """Torque that holds the winding at a temperature if it lasts for ever.

    Attributes
    ----------
    temperature : float
        Of the winding [K].
    torque : Array
        Shape (speed,): driving; braking lasts with a little more [N*m].
    """

    temperature: float
    torque: Array


@dataclass(frozen=True)
class TorqueSpeed:
    """The map of one joint's motor with the gaits on it.

    Attributes
    ----------
    joint : str
        Which joint.
    loops : tuple of Loop
        Speed whatever its direction [rad/s], and torque [N*m], negative where it brakes.
    speed : Array
        Shape (speed,): speeds of the limits [rad/s].
    driving, braking : Array
        Shape (speed,): largest torque and least, by the motor's peak torque, the current of the
        inverter and the voltage of the sagging pack [N*m].
    contours : tuple of Contour
        The warmest last; none where the study limits no winding temperature.
    """

    joint: str
    loops: tuple[Loop, ...]
    speed: Array
    driving: Array
    braking: Array
    contours: tuple[Contour, ...]


def torque_speed_maps(view: View, limits: tuple[Limit, ...]) -> tuple[TorqueSpeed, ...]:
    """
    Draw the gaits over what each motor can do.

    Parameters
    ----------
    view : View
        The design.
    limits : tuple of Limit
        Of the study; that of the winding temperature gives the heat contours.

    Returns
    -------
    tuple of TorqueSpeed
        One a joint.

    Notes
    -----
    The voltage is that of the pack at the end of the charge under its heaviest load, the winding
    as hot as in its warmest gait, the field weakened where the study does so. Heat contours hold
    for a constant torque; a gait may cross them as long as its mean loss does not.
    """
    warmest = next((one.value for one in limits if one.name == q.WINDING_TEMPERATURE.name), None)
    return tuple(_map(view, place, warmest) for place in range(len(q.JOINTS)))


def _map(view: View, place: int, warmest: float | None) -> TorqueSpeed:
    speeds, torques = view.of(q.MOTOR_SPEED)[place], view.of(q.MOTOR_TORQUE)[place]
    loops = tuple(
        Loop(gait, np.abs(speed), torque * np.where(speed < 0.0, -1.0, 1.0))
        for gait, speed, torque in zip(view.gaits, speeds, torques, strict=True)
    )
    speed = np.linspace(0.0, HEADROOM * max(float(np.abs(speeds).max()), 1.0), POINTS)
    driving, braking = _limits(view, place, speed)
    contours = _contours(view, place, speed, warmest) if warmest is not None else ()
    return TorqueSpeed(q.JOINTS[place], loops, speed, driving, braking, contours)


def _limits(view: View, place: int, speed: Array) -> tuple[Array, Array]:
    warm = view.of(q.HOT_RESISTANCE)[place].max()
    driving, against = (peak_torque_at(view, place, one, warm) for one in (speed, -speed))
    return driving, -against


def _contours(view: View, place: int, speed: Array, warmest: float) -> tuple[Contour, ...]:
    ambient = float(view.of(q.AMBIENT_TEMPERATURE))
    temperatures = (ambient + share * (warmest - ambient) for share in STEPS)
    return tuple(Contour(one, lasting_torque_at(view, place, speed, one)) for one in temperatures)


@dataclass(frozen=True)
class RatioCurve:
    """How many times the motor of a joint turns as fast as the joint.

    Attributes
    ----------
    joint : str
        Which joint.
    loops : tuple of Loop
        Angle of the joint [rad] and ratio [1], in the order of the angle; NaN where the joint is
        too slow to tell.
    """

    joint: str
    loops: tuple[Loop, ...]


def ratio_curves(view: View) -> tuple[RatioCurve, ...]:
    """
    Draw the ratio of each joint over its angle.

    Parameters
    ----------
    view : View
        The design.

    Returns
    -------
    tuple of RatioCurve
        One a joint.

    Notes
    -----
    Motor speed over joint speed, which holds for every transmission, whatever its kind.
    """
    return tuple(
        RatioCurve(joint, tuple(_ratio(view, place, gait) for gait in range(len(view.gaits))))
        for place, joint in enumerate(q.JOINTS)
    )


def _ratio(view: View, place: int, gait: int) -> Loop:
    angle = view.of(q.JOINT_ANGLE)[place, gait]
    joint = view.of(q.JOINT_SPEED)[place, gait]
    fast = np.abs(joint) > SLOW * np.abs(joint).max()
    ratio = np.abs(view.of(q.MOTOR_SPEED)[place, gait]) / np.where(fast, np.abs(joint), np.nan)
    order = np.argsort(angle, kind="stable")
    return Loop(view.gaits[gait], angle[order], ratio[order])


@dataclass(frozen=True)
class Warming:
    """How warm motors get over the legs of the mission, walked from a cold start.

    Attributes
    ----------
    course : Course
        Temperatures of winding and housing of every joint.
    legs : tuple of str
        Those of every round, in their order.
    ends : Array
        Shape (leg,): when each of them ends [s].
    """

    course: Course
    legs: tuple[str, ...]
    ends: Array


def warming(view: View) -> Warming:
    """
    Follow temperatures over the first rounds of the mission.

    Parameters
    ----------
    view : View
        The design.

    Returns
    -------
    Warming
        Of `ROUNDS` rounds.
    """
    legs = view.evaluation.entries["leg"] * ROUNDS
    ends = np.cumsum(np.tile(view.of(q.LEG_TIME), ROUNDS))
    return Warming(mission_course(view, rounds=ROUNDS, moments=MOMENTS), legs, ends)


def plain_curves(view: View, limits: tuple[Limit, ...]) -> Plain:
    """
    Turn the curves of a design into what JSON can hold.

    Parameters
    ----------
    view : View
        The design.
    limits : tuple of Limit
        Of the study.

    Returns
    -------
    dict
        `torque_speed` and `ratio` by joint, and `temperatures` by time from a cold start; SI,
        null where there is no value.
    """
    maps = torque_speed_maps(view, limits)
    warm = warming(view)
    return {
        "torque_speed": {
            one.joint: {
                "gaits": _plain_loops(one.loops, "speed", "torque"),
                "speed": _plain(one.speed),
                "driving": _plain(one.driving),
                "braking": _plain(one.braking),
                "contours": [
                    {"temperature": line.temperature, "torque": _plain(line.torque)}
                    for line in one.contours
                ],
            }
            for one in maps
        },
        "ratio": {
            one.joint: _plain_loops(one.loops, "angle", "ratio") for one in ratio_curves(view)
        },
        "temperatures": {
            "legs": list(warm.legs),
            "ends": _plain(warm.ends),
            "time": _plain(warm.course.time),
            "winding": dict(zip(q.JOINTS, map(_plain, warm.course.winding), strict=True)),
            "housing": dict(zip(q.JOINTS, map(_plain, warm.course.housing), strict=True)),
        },
    }


def _plain_loops(loops: tuple[Loop, ...], x: str, y: str) -> Plain:
    return {one.gait: {x: _plain(one.x), y: _plain(one.y)} for one in loops}


def _plain(values: Array) -> list[float | None]:
    return [float(one) if np.isfinite(one) else None for one in values]
