"""Putting peaks through the transmissions of a study, whatever kinds they are."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.chain.stage import Stage, Values
from tradeopt.errors import ChainError, Problem
from tradeopt.quantities import Quantity

MOMENTS = 2
"""Places of the stride that a peak is shown as, both alike but for the foot on the ground."""

_STANDS_FOR: Mapping[Quantity, Quantity] = {
    q.DRIVE_TORQUE: q.PEAK_TORQUE,
    q.JOINT_SPEED: q.PEAK_SPEED,
    q.JOINT_ANGLE: q.PEAK_ANGLE,
}
_GIVEN: Mapping[Quantity, Quantity] = {
    q.MOTOR_TORQUE: q.PEAK_SHAFT_TORQUE,
    q.MOTOR_SPEED: q.PEAK_SHAFT_SPEED,
}
_STILL = (q.JOINT_ACCELERATION, q.STRIDE_TIME, q.FOOT_LOAD, q.GAIT_SHARE)
"""What else a transmission may ask of a gait: a peak has no acceleration, its own time, one foot
on the ground, and no share of the mission in which anything would wear."""


@dataclass(frozen=True)
class InPeaks:
    """The transmissions once more, shown each peak in the place of a gait.

    Attributes
    ----------
    stage : Stage
        The step of the transmissions that takes the loads of the gaits.
    """

    stage: Stage

    def __post_init__(self) -> None:
        known = (*_STANDS_FOR, *_STILL)
        problems = tuple(
            Problem(
                where=self.name,
                got=f"a need of {need.name}, which a peak has none of",
                want="transmissions that follow from torque, speed and angle",
            )
            for need in self.stage.needs
            if "gait" in need.axes and need not in known
        )
        if problems:
            raise ChainError(problems)

    @property
    def name(self) -> str:
        """What error messages call it."""
        return f"{self.stage.name} in peaks"

    @cached_property
    def needs(self) -> tuple[Quantity, ...]:
        """The peaks, and all that the transmissions need beside the gaits."""
        others = (need for need in self.stage.needs if "gait" not in need.axes)
        return (*others, *_STANDS_FOR.values(), q.PEAK_TIME)

    @property
    def gives(self) -> tuple[Quantity, ...]:
        """What arrives at the motors, and what the transmissions have left."""
        return (*_GIVEN.values(), q.PEAK_TRANSMISSION_MARGIN)

    def compute(self, values: Values) -> Values:
        """Show the transmissions every peak as a gait of two moments."""
        angle = values[q.PEAK_ANGLE.name]
        load = np.zeros((len(angle), angle.shape[2], MOMENTS))
        load[..., 0] = 1.0
        seen: dict[str, Array] = {
            q.JOINT_ACCELERATION.name: np.zeros((*angle.shape, MOMENTS)),
            q.STRIDE_TIME.name: values[q.PEAK_TIME.name],
            q.FOOT_LOAD.name: load,
            q.GAIT_SHARE.name: np.zeros((len(angle), angle.shape[2])),
        }
        for gait_has, peak_has in _STANDS_FOR.items():
            one = values[peak_has.name]
            seen[gait_has.name] = np.repeat(one[..., None], MOMENTS, axis=-1)
        wanted = {
            need.name: seen[need.name] if need.name in seen else values[need.name]
            for need in self.stage.needs
        }
        found = self.stage.compute(wanted)
        margins = [found[one.name] for one in self.stage.gives if one.is_margin]
        return {
            **{peak.name: found[gait.name][..., 0] for gait, peak in _GIVEN.items()},
            q.PEAK_TRANSMISSION_MARGIN.name: np.stack(margins).min(axis=0),
        }
