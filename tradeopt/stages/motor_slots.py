"""Slots of what motors meet: field, heat and voltage, all joints at once."""

from tradeopt import quantities as q
from tradeopt.chain.kind import Slot

FIELD = Slot(
    "field",
    "stages.field",
    {"duty": (q.FIELD_CURRENT, q.COLD_COPPER_LOSS, q.WEAKENING_VOLTAGE)},
    default="undisturbed",
)
HEAT = Slot(
    "heat",
    "stages.heat",
    {
        "duty": (
            q.WINDING_TEMPERATURE,
            q.HOUSING_TEMPERATURE,
            q.COPPER_LOSS,
            q.HOT_RESISTANCE,
            q.RUNAWAY_MARGIN,
            q.MISSION_WINDING_TEMPERATURE,
            q.MISSION_HOUSING_TEMPERATURE,
            q.WINDING_HEAT_MARGIN,
            q.MAGNET_HEAT_MARGIN,
        )
    },
    default="two_node",
)
VOLTAGE = Slot("voltage", "stages.voltage", {"duty": (q.VOLTAGE_MARGIN,)}, default="sine_wave")
TOUCH = Slot(
    "touch",
    "robot.touch",
    {"duty": (q.TOUCH_TEMPERATURE, q.TOUCH_MARGIN)},
    default="bare",
    required=False,
)
