"""Every known kind: those of this package, and those that other packages register."""

from collections.abc import Iterable, Mapping
from functools import cache
from importlib.metadata import entry_points

from tradeopt.chain.kind import Kind, Slot
from tradeopt.errors import ChainError, Problem
from tradeopt.stages import (
    battery,
    cooling,
    electronics,
    energy,
    gait,
    heat,
    mass,
    mission,
    motor,
    reliability,
    robot,
    slots,
    spring,
    transmission,
    upkeep,
)

GROUP = "tradeopt.kinds"
"""Entry-point group in which another package registers its `Kind` objects."""

BUILT_IN: tuple[Kind, ...] = (
    robot.STILL,
    robot.BIPED,
    robot.SOLID,
    robot.LIMB,
    robot.ON_BODY,
    robot.CONSTANT,
    robot.HELD,
    motor.SCALED,
    transmission.CONSTANT,
    spring.NONE,
    spring.TWO_WAY,
    spring.ONE_SIDED,
    cooling.STILL_AIR,
    cooling.FAN,
    battery.PACK,
    electronics.INVERTERS,
    gait.PATTERN,
    gait.STAND,
    gait.RECORDED,
    mission.DISTANCE,
    mission.TIME,
    mission.SIT,
    mission.IN_ORDER,
    reliability.CONSTANT_RATE,
    mass.ROLL_UP,
    heat.TWO_NODE,
    electronics.SINE_WAVE,
    mission.ONE_CHARGE,
    energy.BY_USE,
    reliability.ONE_ROUND,
    reliability.OVER_DISTANCE,
    upkeep.BY_DISTANCE,
    upkeep.BY_HOURS,
    upkeep.BY_CHARGE,
    upkeep.SUM,
)

_OPTIONAL = (slots.JOINT_GROUP, slots.COMPONENT, slots.TASK, slots.CHANCE, slots.UPKEEP)

REQUIRED_SLOTS: frozenset[str] = frozenset(
    kind.slot.name for kind in BUILT_IN if kind.slot not in _OPTIONAL
)
"""Slots that every study fills; the others are there when the study names them."""


@cache
def known_kinds() -> Mapping[str, Kind]:
    """Return all kinds by `slot.kind`, the registered ones of other packages included."""
    return catalogue((*BUILT_IN, *_registered()))


def catalogue(kinds: Iterable[Kind]) -> Mapping[str, Kind]:
    """
    Arrange kinds by slot and name.

    Parameters
    ----------
    kinds : iterable of Kind
        Of any slots.

    Returns
    -------
    mapping of str to Kind
        By `slot.kind`.

    Raises
    ------
    ChainError
        Where two kinds of a slot bear one name, two slots bear one name, or a kind lacks a step of
        its slot.
    """
    found: dict[str, Kind] = {}
    homes: dict[str, Slot] = {}
    problems: list[Problem] = []
    for kind in kinds:
        name = f"{kind.slot.name}.{kind.name}"
        home = homes.setdefault(kind.slot.name, kind.slot)
        if name in found:
            problems.append(Problem(name, "two kinds of that name", "one"))
        if home is not kind.slot:
            problems.append(
                Problem(name, f"a second slot {kind.slot.name!r}", "one slot of a name")
            )
        if set(kind.steps) != set(kind.slot.steps):
            problems.append(
                Problem(name, f"steps {sorted(kind.steps)}", f"steps {sorted(kind.slot.steps)}")
            )
        found[name] = kind
    if problems:
        raise ChainError(tuple(problems))
    return found


def slots_of(kinds: Mapping[str, Kind]) -> tuple[Slot, ...]:
    """Return every slot that some kind fills, once, in the order met."""
    return tuple({kind.slot.name: kind.slot for kind in kinds.values()}.values())


def kinds_of(slot: Slot, kinds: Mapping[str, Kind]) -> Mapping[str, Kind]:
    """Return the kinds of one slot by name."""
    return {kind.name: kind for kind in kinds.values() if kind.slot.name == slot.name}


def _registered() -> Iterable[Kind]:
    for point in entry_points(group=GROUP):
        kind = point.load()
        if not isinstance(kind, Kind):
            got = f"{type(kind).__name__} from {point.value}"
            raise ChainError((Problem(f"entry point {point.name}", got, "a Kind object"),))
        yield kind
