"""The glossary of electricity and mission: power, charge and distance."""

from tradeopt.quantities.quantity import DESIGN, DRIVE, DRIVE_GAIT, GAIT, Quantity, margin

DRIVE_LOSS = Quantity("drive_loss", "W", DRIVE_GAIT, "mean loss in the drive electronics", (0, 20))
DRIVE_POWER = Quantity(
    "drive_power", "W", DRIVE_GAIT, "mean electric power of one drive", (-50, 200)
)
DRIVE_CURRENT_MARGIN = margin(
    "drive_current_margin", DRIVE, "peak current of the drive electronics left"
)
REGENERATION_LOSS = Quantity(
    "regeneration_loss", "W", GAIT, "mean returned power that does not reach the pack", (0, 50)
)
STANDBY_POWER = Quantity(
    "standby_power", "W", DESIGN, "computing, sensing, joints that hold still", (10, 200)
)
BUS_POWER = Quantity(
    "bus_power",
    "W",
    ("design", "gait", "phase"),
    "both legs and standby, drawn from the pack",
    (-100, 1500),
)
GAIT_SHARE = Quantity("gait_share", "1", GAIT, "share of the mission's time", (0, 1))
PACK_ENERGY = Quantity("pack_energy", "J", DESIGN, "nominal energy of the pack", (1e6, 1e7))
LOW_BUS_VOLTAGE = Quantity(
    "low_bus_voltage",
    "V",
    DESIGN,
    "pack at the end of the charge under its heaviest load",
    (20, 60),
)
RUN_TIME = Quantity("run_time", "s", DESIGN, "time on one charge", (1e3, 1e5))
PACK_CURRENT_MARGIN = margin(
    "pack_current_margin", DESIGN, "current limit of the cells left at the peak"
)
PACK_POWER_MARGIN = margin("pack_power_margin", DESIGN, "power the sagging pack could still give")
VOLTAGE_MARGIN = margin(
    "voltage_margin", DRIVE, "bus voltage left at the motor's fastest and hardest"
)
MEAN_POWER = Quantity("mean_power", "W", GAIT, "mean power drawn from the pack", (50, 1000))
ENDURANCE = Quantity(
    "endurance", "s", DESIGN, "time on one charge, in the mission's mix", (1e3, 1e5)
)
RANGE = Quantity("range", "m", DESIGN, "distance on one charge, in the mission's mix", (1e3, 1e5))
COST_OF_TRANSPORT = Quantity(
    "cost_of_transport",
    "1",
    DESIGN,
    "energy per weight and distance, in the mission's mix",
    (0.1, 4),
)
MECHANICAL_COST_OF_TRANSPORT = Quantity(
    "mechanical_cost_of_transport",
    "1",
    DESIGN,
    "positive joint work per weight and distance",
    (0.01, 1),
)
