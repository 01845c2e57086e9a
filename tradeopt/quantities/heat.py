"""The glossary of heat: cooling and temperatures."""

from tradeopt.quantities.quantity import DRIVE, DRIVE_GAIT, Quantity, margin

COOLING_POWER = Quantity("cooling_power", "W", DRIVE, "what fans take", (0, 6))
WINDING_TO_HOUSING = Quantity("winding_to_housing", "K/W", DRIVE, "thermal resistance", (0.1, 2))
HOUSING_TO_AIR = Quantity("housing_to_air", "K/W", DRIVE, "thermal resistance", (0.3, 5))
WINDING_TEMPERATURE = Quantity(
    "winding_temperature", "K", DRIVE_GAIT, "winding, if the gait went on for ever", (260, 420)
)
HOUSING_TEMPERATURE = Quantity(
    "housing_temperature", "K", DRIVE_GAIT, "housing, if the gait went on for ever", (260, 380)
)
COPPER_LOSS = Quantity("copper_loss", "W", DRIVE_GAIT, "mean copper loss, winding hot", (0, 120))
HOT_RESISTANCE = Quantity(
    "hot_resistance", "ohm", DRIVE_GAIT, "one phase, winding hot", (0.02, 0.5)
)
RUNAWAY_MARGIN = margin(
    "runaway_margin", DRIVE_GAIT, "distance from copper loss that feeds itself without end"
)
