"""The glossary of electricity and mission: power, charge and distance."""

from tradeopt.quantities.quantity import (
    COMPONENT,
    DESIGN,
    DRIVE,
    DRIVE_GAIT,
    GAIT,
    JOINT_GROUP,
    LEG,
    Quantity,
    margin,
)

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
GROUP_POWER = Quantity(
    "group_power", "W", JOINT_GROUP, "holding power of a group of other joints", (0, 20)
)
COMPONENT_POWER = Quantity(
    "component_power", "W", COMPONENT, "all pieces of a component, spare ones included", (0, 5)
)
STANDBY_POWER = Quantity(
    "standby_power", "W", DESIGN, "computing, sensing, joints that hold still", (10, 200)
)
SITTING_POWER = Quantity(
    "sitting_power", "W", DESIGN, "computing and sensing, all motors off", (10, 200)
)
BUS_POWER = Quantity(
    "bus_power",
    "W",
    ("design", "gait", "phase"),
    "both legs and standby, drawn from the pack",
    (-100, 1500),
)
LEG_GAIT = Quantity(
    "leg_gait", "1", (*LEG, "gait"), "share of the leg in each gait; the rest is sitting", (0, 0.5)
)
LEG_TIME = Quantity("leg_time", "s", LEG, "time of the leg in one round", (100, 5000))
LEG_DISTANCE = Quantity("leg_distance", "m", LEG, "distance of the leg in one round", (0, 3000))
LEG_PROGRESS_MARGIN = margin(
    "leg_progress_margin", LEG, "1, or -1 where a distance is asked of a gait that walks nowhere"
)
GAIT_SHARE = Quantity(
    "gait_share", "1", GAIT, "share of a round's time; the rest is sitting", (0, 0.5)
)
ROUND_TIME = Quantity("round_time", "s", DESIGN, "all legs of the mission once", (100, 1e4))
ROUND_DISTANCE = Quantity("round_distance", "m", DESIGN, "all legs of the mission once", (0, 5000))
ROUND_STRIDES = Quantity("round_strides", "1", DESIGN, "strides in one round", (10, 1e4))
PACK_ENERGY = Quantity("pack_energy", "J", DESIGN, "nominal energy of the pack", (1e6, 1e7))
WEAKENING_VOLTAGE = Quantity(
    "weakening_voltage",
    "V",
    DESIGN,
    "bus voltage that drives keep to by weakening the field; 0 where they never do",
    (0, 54),
)
LOW_BUS_VOLTAGE = Quantity(
    "low_bus_voltage",
    "V",
    DESIGN,
    "pack at the end of the charge under its heaviest load",
    (20, 60),
)
RUN_TIME = Quantity("run_time", "s", DESIGN, "time on one charge", (1e3, 1e5))
LEG_RUN_TIME = Quantity(
    "leg_run_time", "s", LEG, "time in the leg on one charge, all rounds together", (100, 1e5)
)
PACK_LOSS = Quantity(
    "pack_loss", "J", DESIGN, "lost in cells and wiring on one charge", (1e3, 1e6)
)
CELL_TEMPERATURE = Quantity(
    "cell_temperature", "K", GAIT, "cells, if the gait went on for ever", (260, 340)
)
CELL_HEAT_MARGIN = margin(
    "cell_heat_margin", GAIT, "share of the cells' range of temperature left above"
)
CELL_COLD_MARGIN = margin(
    "cell_cold_margin", DESIGN, "share of that range left below, for charging where gaits brake"
)
CHARGE_CURRENT_MARGIN = margin(
    "charge_current_margin", DESIGN, "charging current of the cells left at the hardest braking"
)
CHARGE_VOLTAGE_MARGIN = margin(
    "charge_voltage_margin", DESIGN, "greatest voltage of a full cell left at the hardest braking"
)
PACK_CURRENT_MARGIN = margin(
    "pack_current_margin", DESIGN, "current limit of the cells left at the peak"
)
PACK_POWER_MARGIN = margin("pack_power_margin", DESIGN, "power the sagging pack could still give")
VOLTAGE_MARGIN = margin(
    "voltage_margin", DRIVE, "bus voltage left at the motor's fastest and hardest"
)
MEAN_POWER = Quantity("mean_power", "W", GAIT, "mean power drawn from the pack", (50, 1000))
ENDURANCE = Quantity(
    "endurance", "s", DESIGN, "time on one charge, legs of the mission in order", (1e3, 1e5)
)
RANGE = Quantity(
    "range", "m", DESIGN, "distance on one charge, legs of the mission in order", (1e3, 1e5)
)
COMPLETED_ROUNDS = Quantity(
    "completed_rounds", "1", DESIGN, "whole rounds of the mission on one charge", (0, 50)
)
COST_OF_TRANSPORT = Quantity(
    "cost_of_transport", "1", DESIGN, "energy per weight and distance, over a round", (0.1, 4)
)
MECHANICAL_COST_OF_TRANSPORT = Quantity(
    "mechanical_cost_of_transport",
    "1",
    DESIGN,
    "positive joint work per weight and distance, over a round",
    (0.01, 1),
)
