"""Slots of peaks: the load cases that a study names, and what they ask of every drive."""

from tradeopt import quantities as q
from tradeopt.chain.kind import Slot

PEAK = Slot(
    "peak",
    "peaks.{peak}",
    {"duty": (q.PEAK_TIME, q.PEAK_GAIT, q.PEAK_TORQUE, q.PEAK_SPEED, q.PEAK_ANGLE)},
    default="load_case",
    required=False,
)
PEAK_DUTY = Slot(
    "peak_duty",
    "stages.peak_duty",
    {
        "duty": (
            q.PEAK_CURRENT,
            q.PEAK_WINDING_TEMPERATURE,
            q.PEAK_TORQUE_MARGIN,
            q.PEAK_CURRENT_MARGIN,
            q.PEAK_VOLTAGE_MARGIN,
            q.PEAK_HEAT_MARGIN,
        )
    },
    default="from_hot",
    required=False,
    beside=PEAK,
)
