"""Recorded gaits: tables of one stride over phase, or logs of many strides over time."""

from dataclasses import dataclass

import numpy as np

from tradeopt.arrays import Array
from tradeopt.chain.kind import File
from tradeopt.errors import StudyError
from tradeopt.physics.walking.recording import (
    cut,
    foot_strikes,
    leg_forward,
    leg_swings,
    load_share,
    mean_stride,
    most_forward,
    regular,
)
from tradeopt.physics.walking.rhythm import repetition_time
from tradeopt.quantities import JOINTS, PHASES
from tradeopt.stages.recorded import LEG_COLUMNS, MIRRORED_COLUMNS, STRIDE_COLUMNS, STRIDE_TIME
from tradeopt.study.place import MOST_PROBLEMS
from tradeopt.study.table import (
    LARGEST_GAP,
    Table,
    check_angles,
    check_phase,
    header_of,
    parse_table,
)
from tradeopt.study.told import Told

PHASE, TIME = "phase", "time"
LEFT, RIGHT = "left_", "right_"

LEAST_STRIDES = 3
"""Strides of one leg that a log must have; fewer do not tell a spread from a drift."""

TIME_SLACK = 0.02
"""How far, as a share, the stride time of the study may be from that of a log."""

_FOOT_LOAD = "foot_load"


def read_stride(content: str, file: str, leaf: File, told: Told) -> dict[str, Array]:
    """
    Read a recorded gait as the mean stride of the left leg.

    Parameters
    ----------
    content : str
        CSV with units in its header: a column `phase` (one stride) or `time` (a log of many), and
        columns of one leg, or of both with `left_` and `right_` before their names.
    file : str
        What to call it in messages.
    leaf : File
        Which columns are wanted.
    told : Told
        What the study says beside it.

    Returns
    -------
    dict of str to Array
        Every known column over the phases, NaN where the file has none; the number of `strides`,
        and their `spread` and `drift` by joint.

    Raises
    ------
    StudyError
        With every problem found.

    Notes
    -----
    A log is cut where the foot takes up load, if there is a column `foot_load`, and else where the
    leg swings forward past the middle of its range; the mean stride then begins where the leg is
    most forward. A stride of the right leg counts as one of the left leg in a mirror.
    """
    table = _table(content, file, leaf, told)
    problems = check_angles(table)
    if problems:
        raise StudyError(problems)
    legs = _legs(table)
    strides = _from_log(table, legs, told) if TIME in table.numbers else _from_phase(table, legs)
    if not np.isfinite(load_share(strides.columns.get(_FOOT_LOAD, np.ones(PHASES)))).all():
        want = "a walk with at least one foot on the ground at any phase"
        raise StudyError((table.head_problem(_FOOT_LOAD, "a stride with both feet lifted", want),))
    missing = np.full(PHASES, np.nan)
    found = {one.name: strides.columns.get(one.name, missing) for one in STRIDE_COLUMNS}
    angles = [f"{joint}_angle" for joint in JOINTS]
    return found | {
        "strides": np.array(float(strides.count)),
        "spread": np.array([strides.spread[name] for name in angles]),
        "drift": np.array([strides.drift[name] for name in angles]),
    }


@dataclass(frozen=True)
class _Strides:
    """Mean stride by column, how many it is the mean of, spread and drift by column."""

    columns: dict[str, Array]
    count: int
    spread: dict[str, float]
    drift: dict[str, float]


def _table(content: str, file: str, leaf: File, told: Told) -> Table:
    header = header_of(content, file)
    names = {cell.partition("[")[0].strip() for cell in header.cells}
    clock = TIME if TIME in names and PHASE not in names else PHASE
    two_legs = any(name.startswith((LEFT, RIGHT)) for name in names)
    wanted = {clock: "s" if clock == TIME else "1"}
    optional = []
    must = {one.name for one in leaf.columns if told.asks_for(one)}
    for column in STRIDE_COLUMNS:
        sides = (LEFT, RIGHT) if two_legs and column.name in LEG_COLUMNS else ("",)
        for side in sides:
            wanted[side + column.name] = column.unit
            if column.name not in must:
                optional.append(side + column.name)
    return parse_table(content, wanted, file=file, optional=optional)


def _legs(table: Table) -> list[dict[str, Array]]:
    """Return the columns of each leg; those of a right leg as a left leg has them in a mirror."""
    whole = {name: column for name, column in table.numbers.items() if np.isfinite(column).all()}
    torso = {name: one for name, one in whole.items() if not name.startswith((LEFT, RIGHT))}
    torso = {name: one for name, one in torso.items() if name not in (PHASE, TIME)}
    if len(torso) == len(whole) - 1:
        return [torso]
    left = {name.removeprefix(LEFT): one for name, one in whole.items() if name.startswith(LEFT)}
    right = {
        name.removeprefix(RIGHT): -one if name.removeprefix(RIGHT) in MIRRORED_COLUMNS else one
        for name, one in whole.items()
        if name.startswith(RIGHT)
    }
    return [left | torso, right]


def _from_phase(table: Table, legs: list[dict[str, Array]]) -> _Strides:
    """One stride a leg, the right one half a stride later."""
    from scipy.interpolate import CubicSpline  # noqa: PLC0415 - a fifth of every start, for few

    problems = check_phase(table, PHASE)
    if problems:
        raise StudyError(problems)
    phase = table.numbers[PHASE]
    places = np.arange(PHASES + 1) / PHASES
    parts: dict[str, list[Array]] = {}
    for number, leg in enumerate(legs):
        for name, samples in leg.items():
            ends = np.append(phase, phase[0] + 1.0), np.append(samples, samples[0])
            curve = CubicSpline(*ends, bc_type="periodic")
            parts.setdefault(name, []).append(curve(places + number / 2))
    return _mean(parts)


def _from_log(table: Table, legs: list[dict[str, Array]], told: Told) -> _Strides:
    time = _checked_time(table)
    parts: dict[str, list[Array]] = {}
    times: list[float] = []
    for leg in legs:
        strides = _strides_of(table, time, leg)
        times.extend(strides[:, 1] - strides[:, 0])
        pieces = cut(time, np.stack(tuple(leg.values())), strides, PHASES)
        for number, name in enumerate(leg):
            parts.setdefault(name, []).extend(pieces[:, number])
    _check_stride_time(table, float(np.mean(times)), told)
    mean = _mean(parts)
    if _FOOT_LOAD in mean.columns:
        return mean
    start = most_forward(_forward(mean.columns))
    moved = {name: np.roll(column, -start) for name, column in mean.columns.items()}
    return _Strides(moved, mean.count, mean.spread, mean.drift)


def _mean(parts: dict[str, list[Array]]) -> _Strides:
    columns: dict[str, Array] = {}
    spread: dict[str, float] = {}
    drift: dict[str, float] = {}
    for name, strides in parts.items():
        # one stride has nothing to differ from
        stack = np.stack(strides if len(strides) > 1 else strides * 2)[:, np.newaxis]
        (columns[name],), (spread[name],), (drift[name],) = mean_stride(stack)
    return _Strides(columns, max(map(len, parts.values())), spread, drift)


def _forward(leg: dict[str, Array]) -> Array:
    return leg_forward(leg["hip_pitch_angle"], leg["knee_angle"])


def _checked_time(table: Table) -> Array:
    time = table.numbers[TIME]
    problems = [
        table.problem(
            TIME,
            row + 1,
            f"{time[row + 1]:.6g} s after {time[row]:.6g} s",
            "times that rise from row to row",
        )
        for row in np.flatnonzero(np.diff(time) <= 0.0).tolist()
    ]
    if problems:
        raise StudyError(tuple(problems[:MOST_PROBLEMS]))
    return time


def _strides_of(table: Table, time: Array, leg: dict[str, Array]) -> Array:
    """Find the strides of a leg, or say why there are none."""
    forward = _forward(leg)
    even = np.linspace(time[0], time[-1], len(time))
    period = repetition_time(np.interp(even, time, forward), (even[-1] - even[0]) / len(even))
    want = f"a log of {LEAST_STRIDES} strides or more of a steady walk"
    if np.isnan(period):
        raise StudyError((table.head_problem(TIME, "angles that do not repeat", want),))
    if _FOOT_LOAD in leg:
        starts = foot_strikes(time, leg[_FOOT_LOAD])
    else:
        starts = leg_swings(time, forward, period)
    strides = regular(starts)
    if len(strides) < LEAST_STRIDES:
        got = f"{len(strides)} whole strides of {period:.3g} s"
        raise StudyError((table.head_problem(TIME, got, want),))
    _check_gaps(table, time, strides)
    return strides


def _check_gaps(table: Table, time: Array, strides: Array) -> None:
    steps = np.diff(time)
    stride_time = float(np.median(strides[:, 1] - strides[:, 0]))
    # a thousandth of a stride leaves room for times written in milliseconds
    wide = steps > (LARGEST_GAP + 1e-3) * stride_time
    inside = (time[1:] > strides[0, 0]) & (time[:-1] < strides[-1, 1])
    want = f"at most {LARGEST_GAP:.0%} of the stride of {stride_time:.3g} s between rows"
    problems = [
        table.problem(TIME, row, f"a gap of {steps[row]:.3g} s after {time[row]:.6g} s", want)
        for row in np.flatnonzero(wide & inside).tolist()
    ]
    if problems:
        raise StudyError(tuple(problems[:MOST_PROBLEMS]))


def _check_stride_time(table: Table, recorded: float, told: Told) -> None:
    said = told.numbers.get(STRIDE_TIME.name, recorded)
    if abs(said - recorded) > TIME_SLACK * recorded:
        got = f"strides of {recorded:.4g} s, where the study says {said:.4g} s"
        want = f"a {STRIDE_TIME.name} within {TIME_SLACK:.0%} of the recorded one"
        raise StudyError((table.head_problem(TIME, got, want),))
