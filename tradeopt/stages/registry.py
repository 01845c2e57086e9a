"""Every known kind: those of this package, and those that other packages register."""

from collections.abc import Iterable, Mapping
from functools import cache
from importlib.metadata import entry_points

from tradeopt.chain.kind import Kind, Slot
from tradeopt.errors import ChainError, Problem
from tradeopt.stages import (
    battery,
    belts,
    best_spring,
    cooling,
    cooling_by_shape,
    electronics,
    energy,
    field,
    from_model,
    gait,
    gears,
    heat,
    layout,
    limbs,
    linkage,
    mass,
    mission,
    motor,
    peak,
    ratio_table,
    recorded,
    recorded_motion,
    reliability,
    robot,
    ropes,
    sized_spring,
    spring,
    touch,
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
    limbs.TUBE,
    robot.ON_BODY,
    robot.CONSTANT,
    robot.HELD,
    from_model.URDF,
    from_model.FRAME,
    from_model.BODY,
    from_model.LIGHTER_BODY,
    from_model.NO_STOPS,
    from_model.FIXED_STOPS,
    from_model.STOPS,
    motor.SCALED,
    motor.CATALOGUE,
    transmission.CONSTANT,
    transmission.GEARED,
    gears.SPUR,
    gears.PLANETARY,
    gears.STRAIN_WAVE,
    gears.CYCLOID,
    linkage.FOUR_BAR,
    linkage.SCREW_LEVER,
    ropes.ROPE,
    belts.BELT,
    ratio_table.TABLE,
    spring.NONE,
    spring.TWO_WAY,
    spring.ONE_SIDED,
    spring.CLUTCHED,
    spring.SERIES,
    best_spring.BEST,
    best_spring.BEST_ONE_SIDED,
    sized_spring.TORSION,
    sized_spring.COMPRESSION_ON_LEVER,
    sized_spring.LEAF,
    cooling.STILL_AIR,
    cooling.FAN,
    cooling_by_shape.STILL_CAN,
    cooling_by_shape.BLOWN_CAN,
    battery.PACK,
    electronics.INVERTERS,
    electronics.BRIDGES,
    gait.PATTERN,
    gait.STAIRS,
    gait.SIDE_STEP,
    gait.STAND,
    gait.ONE_FOOT,
    recorded.RECORDED,
    recorded_motion.RECORDED_MOTION,
    mission.DISTANCE,
    mission.TIME,
    mission.SIT,
    mission.IN_ORDER,
    reliability.CONSTANT_RATE,
    mass.ROLL_UP,
    heat.TWO_NODE,
    heat.OVER_MISSION,
    electronics.SINE_WAVE,
    mission.ONE_CHARGE,
    limbs.MASSLESS_LIMBS,
    layout.BOXES,
    energy.BY_USE,
    ropes.BY_MISSION,
    reliability.ONE_ROUND,
    reliability.OVER_DISTANCE,
    upkeep.BY_DISTANCE,
    upkeep.BY_HOURS,
    upkeep.BY_CHARGE,
    upkeep.BY_BENDS,
    upkeep.BY_WEAR,
    upkeep.SUM,
    field.UNDISTURBED,
    field.WEAKENED,
    touch.BARE,
    touch.GUARDED,
    peak.LOAD_CASE,
    peak.STAND_UP,
    peak.FROM_HOT,
)

REQUIRED_SLOTS: frozenset[str] = frozenset(
    kind.slot.name for kind in BUILT_IN if kind.slot.required
)
"""Slots that every study fills; any other is there when the study names it."""


@cache
def known_kinds() -> Mapping[str, Kind]:
    """Return all kinds by `slot.kind`, the registered ones of other packages included."""
    origins = dict.fromkeys(BUILT_IN, "tradeopt") | dict(_registered())
    return catalogue(origins, origins)


def catalogue(
    kinds: Iterable[Kind], origins: Mapping[Kind, str] | None = None
) -> Mapping[str, Kind]:
    """
    Arrange kinds by slot and name.

    Parameters
    ----------
    kinds : iterable of Kind
        Of any slots.
    origins : mapping of Kind to str, optional
        Where each comes from, for messages.

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
    where_from = origins or {}
    for kind in kinds:
        name = f"{kind.slot.name}.{kind.name}"
        home = homes.setdefault(kind.slot.name, kind.slot)
        if name in found:
            both = " and ".join(_told(one, where_from) for one in (found[name], kind))
            problems.append(Problem(name, f"two kinds of that name: {both}", "one"))
        if home is not kind.slot:
            got = f"a second slot {kind.slot.name!r}, at {kind.slot.path} beside {home.path}"
            problems.append(Problem(name, got, "one slot of a name"))
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


def _told(kind: Kind, origins: Mapping[Kind, str]) -> str:
    return f"{kind.meaning!r} from {origins[kind]}" if kind in origins else repr(kind.meaning)


def _registered() -> Iterable[tuple[Kind, str]]:
    for point in entry_points(group=GROUP):
        where = f"entry point {point.name}"
        try:
            kind = point.load()
        except (ImportError, AttributeError) as error:
            got = f"{point.value}, which cannot be loaded: {error}"
            raise ChainError((Problem(where, got, "a Kind object"),)) from error
        if not isinstance(kind, Kind):
            got = f"{type(kind).__name__} from {point.value}"
            raise ChainError((Problem(where, got, "a Kind object"),))
        yield kind, point.value
