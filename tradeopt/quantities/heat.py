"""The glossary of heat: cooling and temperatures."""

from tradeopt.quantities.quantity import DRIVE, DRIVE_GAIT, DRIVE_LEG, Quantity, margin

COOLING_POWER = Quantity("cooling_power", "W", DRIVE, "what fans take", (0, 6))
WINDING_TO_HOUSING = Quantity("winding_to_housing", "K/W", DRIVE, "thermal resistance", (0.1, 2))
HOUSING_TO_AIR = Quantity("housing_to_air", "K/W", DRIVE, "thermal resistance", (0.3, 5))
STILL_HOUSING_TO_AIR = Quantity(
    "still_housing_to_air", "K/W", DRIVE, "thermal resistance while the motors are off", (0.3, 5)
)
WINDING_CAPACITY = Quantity("winding_capacity", "J/K", DRIVE, "heat capacity", (30, 200))
HOUSING_CAPACITY = Quantity(
    "housing_capacity", "J/K", DRIVE, "heat capacity of housing, iron and magnets", (200, 900)
)
WINDING_LIMIT = Quantity(
    "winding_limit", "K", DRIVE, "temperature that the winding's insulation stands", (380, 460)
)
MAGNET_LIMIT = Quantity(
    "magnet_limit", "K", DRIVE, "temperature that the magnets stand", (340, 430)
)
WINDING_TEMPERATURE = Quantity(
    "winding_temperature", "K", DRIVE_GAIT, "winding, if the gait went on for ever", (260, 420)
)
HOUSING_TEMPERATURE = Quantity(
    "housing_temperature", "K", DRIVE_GAIT, "housing, if the gait went on for ever", (260, 380)
)
MISSION_WINDING_TEMPERATURE = Quantity(
    "mission_winding_temperature", "K", DRIVE_LEG, "winding at its warmest in the leg", (260, 420)
)
MISSION_HOUSING_TEMPERATURE = Quantity(
    "mission_housing_temperature", "K", DRIVE_LEG, "housing at its warmest in the leg", (260, 380)
)
COPPER_LOSS = Quantity("copper_loss", "W", DRIVE_GAIT, "mean copper loss, winding hot", (0, 120))
HOT_RESISTANCE = Quantity(
    "hot_resistance", "ohm", DRIVE_GAIT, "one phase, winding hot", (0.02, 0.5)
)
RUNAWAY_MARGIN = margin(
    "runaway_margin", DRIVE_GAIT, "distance from copper loss that feeds itself without end"
)
WINDING_HEAT_MARGIN = margin(
    "winding_heat_margin", DRIVE, "share of the winding's range above 20 degC left at its warmest"
)
MAGNET_HEAT_MARGIN = margin(
    "magnet_heat_margin",
    DRIVE,
    "share of the magnets' range above 20 degC left, where they are as warm as the housing",
)
TOUCH_TEMPERATURE = Quantity(
    "touch_temperature", "K", DRIVE, "surface that a hand meets, at its warmest", (290, 350)
)
TOUCH_MARGIN = margin(
    "touch_margin", DRIVE, "share of the touched surface's range above 20 degC that is left"
)
