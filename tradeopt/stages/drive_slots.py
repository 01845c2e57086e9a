"""Slots beside the transmission: the spring, and what ropes have to stand over the mission."""

from tradeopt import quantities as q
from tradeopt.chain.kind import Slot

SPRING = Slot(
    "spring",
    "robot.drives.{joint}.spring",
    {
        "size": (q.SPRING_MASS, q.SPRING_MATURITY, q.SERIES_COMPLIANCE),
        "duty": (
            q.SPRING_TORQUE,
            q.DRIVE_TORQUE,
            q.SPRING_STIFFNESS,
            q.SPRING_REST_ANGLE,
            q.SPRING_TRAVEL_MARGIN,
            q.SPRING_STRESS_MARGIN,
        ),
    },
    default="none",
)
ROPE_USE = Slot(
    "rope_use",
    "stages.rope_use",
    {"duty": (q.ROPE_BENDS, q.ROPE_WEAR)},
    default="by_mission",
)
