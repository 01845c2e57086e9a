"""The glossary of where the energy of a charge goes, of coming home, and of upkeep."""

from tradeopt.quantities.quantity import COMPONENT, DESIGN, DRIVE, LEG, TASK, Quantity

# where the energy of one charge goes
LEG_ENERGY = Quantity("leg_energy", "J", LEG, "drawn from the pack in the leg", (1e4, 1e7))
JOINT_ENERGY = Quantity(
    "joint_energy", "J", DRIVE, "net work of the drives at the joint, both sides", (-1e6, 1e7)
)
TRANSMISSION_ENERGY = Quantity(
    "transmission_energy", "J", DRIVE, "lost in transmissions, both sides", (0, 1e6)
)
COPPER_ENERGY = Quantity("copper_energy", "J", DRIVE, "lost in windings, both sides", (0, 1e7))
IRON_ENERGY = Quantity("iron_energy", "J", DRIVE, "lost in iron, both sides", (0, 1e6))
DRIVE_ENERGY = Quantity(
    "drive_energy", "J", DRIVE, "lost in drive electronics, both sides", (0, 1e6)
)
COOLING_ENERGY = Quantity("cooling_energy", "J", DRIVE, "taken by fans, both sides", (0, 1e6))
STANDBY_ENERGY = Quantity(
    "standby_energy", "J", DESIGN, "taken by what is always on, sitting included", (1e5, 1e7)
)
REGENERATION_ENERGY = Quantity(
    "regeneration_energy", "J", DESIGN, "braking power that does not reach the pack", (0, 1e6)
)

# coming home, and upkeep
COMPONENT_WEAR = Quantity(
    "component_wear", "1", COMPONENT, "mean failures of one piece in a round", (0, 1e-3)
)
COMPONENT_GROUPS = Quantity("component_groups", "1", COMPONENT, "groups, all needed", (1, 12))
COMPONENT_NEEDED = Quantity("component_needed", "1", COMPONENT, "pieces a group needs", (1, 3))
COMPONENT_SPARE = Quantity("component_spare", "1", COMPONENT, "pieces beyond those", (0, 2))
COMMON_CAUSE = Quantity(
    "common_cause", "1", COMPONENT, "share of failures that takes a whole group", (0, 0.2)
)
COMPONENT_CHANCE = Quantity(
    "component_chance", "1", COMPONENT, "chance that the component lasts", (0.9, 1)
)
CHANCE_OF_FINISHING = Quantity(
    "chance_of_finishing", "1", DESIGN, "chance that no failure stops it on the way", (0.9, 1)
)
DISTANCE_TO_STOP = Quantity(
    "distance_to_stop", "m", DESIGN, "mean distance before a failure first stops it", (1e4, 1e8)
)
TASK_TIME = Quantity("task_time", "s", TASK, "time of a task of upkeep in 100 km", (60, 1e4))
UPKEEP_TIME = Quantity("upkeep_time", "s", DESIGN, "time of service in 100 km", (60, 1e4))
