"""Strides written as CSV files the way a robot's log or a motion lab would give them."""

from collections.abc import Mapping, Sequence

import numpy as np
from scipy.interpolate import CubicSpline

from tests.oracles.robot import ANGLE_SIGNS
from tradeopt.arrays import Array
from tradeopt.physics.walking.frame import JOINTS
from tradeopt.physics.walking.stride import Stride


def angle_columns(stride: Stride, side: str = "") -> dict[str, Array]:
    """Joint angles of the left leg, or of the right one in its own axes."""
    angle = stride.joint_angle
    if side == "right_":
        angle = np.roll(angle, stride.phases // 2, axis=1) * ANGLE_SIGNS[:, np.newaxis]
    return {f"{side}{joint}_angle [rad]": angle[k] for k, joint in enumerate(JOINTS)}


def phase_table(columns: Mapping[str, Array]) -> str:
    """One stride over phase."""
    count = len(next(iter(columns.values())))
    return table({"phase [1]": np.arange(count) / count, **columns})


def log_table(
    columns: Mapping[str, Array],
    lengths: Sequence[float],
    *,
    rate: float = 100.0,
    noise: Mapping[str, float] | None = None,
    lead: float = 0.0,
    seed: int = 1,
) -> str:
    """Strides of given lengths [s] one after the other, sampled at a rate [Hz].

    The log starts at a share `lead` of the first stride; noise is white, by column.
    """
    rng = np.random.default_rng(seed)
    ends = np.concatenate(([0.0], np.cumsum(lengths)))
    time = np.arange(lead * lengths[0], ends[-1], 1.0 / rate)
    phase = np.interp(time, ends, np.arange(len(ends)))
    found = {"time [s]": time - time[0]}
    for name, column in columns.items():
        places = np.arange(len(column) + 1) / len(column)
        curve = CubicSpline(places, np.append(column, column[0]), bc_type="periodic")
        deviation = (noise or {}).get(name, 0.0)
        found[name] = curve(phase % 1.0) + deviation * rng.normal(size=len(time))
    return table(found)


def table(columns: Mapping[str, Array]) -> str:
    """CSV with a header."""
    rows = [
        ",".join(f"{value:.9g}" for value in row) for row in zip(*columns.values(), strict=True)
    ]
    return "\n".join([",".join(columns), *rows]) + "\n"
