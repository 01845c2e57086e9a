"""The glossary: every quantity that passes between stages, with its SI unit, axes and meaning.

Axes. `design` is always first. `joint` are the six driven joints of the left leg, in the order of
`JOINTS`; the right leg is its mirror image half a stride later. `gait` are the gaits of the study
in their order in the file, `phase` the evenly spaced places of one stride, `body` the bodies of
`BODIES`, `inertial` the ten inertial parameters of a body (m, m*c, Ixx, Ixy, Iyy, Ixz, Iyz, Izz
about the body's own origin), `axis` x forward, y to the left, z up. `leg` are the legs of the
mission in their order, `joint_group` the counted joints beside the two legs, `component` the parts
that may fail, `task` the tasks of upkeep, all named by the study file.

Sign. Angle and torque of a joint belong together: torque times speed is the power given to the
leg. Positive extends the leg against gravity: hip_pitch moves the leg backward, knee straightens
it (a bent knee has a negative angle), and ankle_pitch presses the toe down. Roll turns about x,
yaw about z.
"""

from dataclasses import dataclass

from tradeopt.physics.walking.frame import BODIES, JOINTS

__all__ = ["BODIES", "JOINTS"]  # the order of the axes `body` and `joint` is the physics' own

INERTIAL_PARAMETERS = 10
PHASES = 100
"""Places a stride is cut into; 100 keep the peaks within 2 %."""


@dataclass(frozen=True)
class Quantity:
    """One named thing that a stage gives and others need.

    Attributes
    ----------
    name : str
        The word used in code, study file and results.
    unit : str
        SI unit; "1" for plain numbers.
    axes : tuple of str
        Axes of its array, `design` first.
    meaning : str
        One line for the reader of a design sheet.
    typical : tuple of float
        Usual range, SI; the contract tests draw from it.
    is_margin : bool
        True for a share of reserve that every design must keep at 0 or more.
    """

    name: str
    unit: str
    axes: tuple[str, ...]
    meaning: str
    typical: tuple[float, float]
    is_margin: bool = False


def _margin(name: str, axes: tuple[str, ...], meaning: str) -> Quantity:
    return Quantity(name, "1", axes, meaning, (-0.5, 1.0), is_margin=True)


DESIGN = ("design",)
DRIVE = ("design", "joint")
DRIVE_GAIT = ("design", "joint", "gait")
STRIDE = ("design", "joint", "gait", "phase")
GAIT = ("design", "gait")
LEG = ("design", "leg")
JOINT_GROUP = ("design", "joint_group")
COMPONENT = ("design", "component")
TASK = ("design", "task")

# surroundings and frame
GRAVITY = Quantity("gravity", "m/s^2", DESIGN, "acceleration of free fall", (9.7, 9.9))
AMBIENT_TEMPERATURE = Quantity("ambient_temperature", "K", DESIGN, "air around it", (260, 320))
AIR_DENSITY_RATIO = Quantity(
    "air_density_ratio", "1", DESIGN, "over that at sea level, equally warm", (0.6, 1.0)
)
THIGH_LENGTH = Quantity("thigh_length", "m", DESIGN, "hip axis to knee axis", (0.3, 0.5))
SHANK_LENGTH = Quantity("shank_length", "m", DESIGN, "knee axis to ankle axis", (0.3, 0.5))
ANKLE_HEIGHT = Quantity("ankle_height", "m", DESIGN, "ankle axis above the sole", (0.06, 0.12))
HIP_SPACING = Quantity("hip_spacing", "m", DESIGN, "between the hip centres", (0.14, 0.3))
FOOT_LENGTH = Quantity("foot_length", "m", DESIGN, "heel edge to toe edge", (0.18, 0.3))
FOOT_WIDTH = Quantity("foot_width", "m", DESIGN, "width of the sole", (0.07, 0.14))
HEEL_LENGTH = Quantity("heel_length", "m", DESIGN, "ankle axis to heel edge", (0.04, 0.1))
BODY_LENGTH = Quantity(
    "body_length",
    "m",
    ("design", "body"),
    "from a body's joint to the next one below it",
    (0.0, 0.5),
)

# masses
STRUCTURE_MASS = Quantity(
    "structure_mass", "kg", ("design", "body"), "a body without its drives, basic", (0.2, 20)
)
STRUCTURE_GROWTH = Quantity(
    "structure_growth", "kg", ("design", "body"), "growth allowance of a body's structure", (0, 2)
)
STRUCTURE_INERTIA = Quantity(
    "structure_inertia",
    "kg,kg*m,kg*m^2",
    ("design", "body", "inertial"),
    "inertial parameters of a body's structure with its growth",
    (0, 1),
)
MOTOR_MASS = Quantity("motor_mass", "kg", DRIVE, "motor with housing", (0.2, 4))
TRANSMISSION_MASS = Quantity("transmission_mass", "kg", DRIVE, "transmission", (0, 3))
SPRING_MASS = Quantity("spring_mass", "kg", DRIVE, "spring with its mounts", (0, 1))
COOLING_MASS = Quantity("cooling_mass", "kg", DRIVE, "fan, ducts and rings", (0, 0.3))
MOUNT_BODY = Quantity(
    "mount_body", "1", DRIVE, "body that carries the drive, place in BODIES", (0, 6)
)
MOUNT_POSITION = Quantity(
    "mount_position",
    "m",
    (*DRIVE, "axis"),
    "centre of the drive in that body's frame",
    (-0.4, 0.1),
)
BATTERY_MASS = Quantity("battery_mass", "kg", DESIGN, "pack with its housing", (1, 20))
BATTERY_POSITION = Quantity(
    "battery_position",
    "m",
    ("design", "axis"),
    "centre of the pack in the torso frame",
    (-0.2, 0.5),
)
BATTERY_SIZE = Quantity(
    "battery_size", "m", DESIGN, "edge of a cube of the pack's volume", (0.1, 0.4)
)
GROUP_MASS = Quantity("group_mass", "kg", JOINT_GROUP, "a group of other joints, basic", (0, 10))
GROUP_GROWTH = Quantity(
    "group_growth", "kg", JOINT_GROUP, "growth allowance of a group of other joints", (0, 1)
)
GROUP_INERTIA = Quantity(
    "group_inertia",
    "kg,kg*m,kg*m^2",
    (*JOINT_GROUP, "inertial"),
    "inertial parameters of a group in the torso, with its growth",
    (0, 1),
)
COMPONENT_MASS = Quantity(
    "component_mass", "kg", COMPONENT, "all pieces of a component, spare ones included", (0, 2)
)
COMPONENT_GROWTH = Quantity(
    "component_growth", "kg", COMPONENT, "growth allowance of all its pieces", (0, 0.2)
)
COMPONENT_INERTIA = Quantity(
    "component_inertia",
    "kg,kg*m,kg*m^2",
    (*COMPONENT, "body", "inertial"),
    "inertial parameters that a component adds to each body",
    (0, 0.1),
)
INERTIA = Quantity(
    "inertia",
    "kg,kg*m,kg*m^2",
    ("design", "body", "inertial"),
    "inertial parameters of every body with all it carries",
    (0, 1),
)
REFERENCE_INERTIA = Quantity(
    "reference_inertia",
    "kg,kg*m,kg*m^2",
    ("design", "body", "inertial"),
    "inertial parameters of the baseline, which the gaits are balanced for",
    (0, 1),
)
BASIC_MASS = Quantity(
    "basic_mass", "kg", DESIGN, "whole robot without growth allowance", (20, 150)
)
TOTAL_MASS = Quantity(
    "total_mass", "kg", DESIGN, "whole robot, predicted: basic plus growth", (20, 150)
)

# gait and joint loads
STRIDE_TIME = Quantity("stride_time", "s", GAIT, "one stride: two steps", (0.8, 2.0))
WALKING_SPEED = Quantity("walking_speed", "m/s", GAIT, "mean forward speed", (0, 1.5))
JOINT_ANGLE = Quantity("joint_angle", "rad", STRIDE, "joint angle", (-1, 1))
JOINT_SPEED = Quantity("joint_speed", "rad/s", STRIDE, "joint speed", (-5, 5))
JOINT_ACCELERATION = Quantity(
    "joint_acceleration", "rad/s^2", STRIDE, "joint acceleration", (-80, 80)
)
JOINT_TORQUE = Quantity("joint_torque", "N*m", STRIDE, "torque the joint must give", (-120, 120))
REACH_MARGIN = _margin("reach_margin", GAIT, "leg length left when the leg is stretched most")
KNEE_FLEXION_MARGIN = _margin(
    "knee_flexion_margin", GAIT, "knee bend above the least allowed, rad"
)
GROUND_LOAD_MARGIN = _margin(
    "ground_load_margin", GAIT, "least force of the ground over the weight, for baseline masses"
)

# drives
SPRING_TORQUE = Quantity(
    "spring_torque", "N*m", STRIDE, "torque the spring gives the joint", (-60, 60)
)
DRIVE_TORQUE = Quantity(
    "drive_torque", "N*m", STRIDE, "joint torque less the spring's", (-120, 120)
)
SPRING_TRAVEL_MARGIN = _margin(
    "spring_travel_margin", DRIVE, "spring travel left at the largest angle"
)
ROTOR_INERTIA = Quantity(
    "rotor_inertia", "kg*m^2", DRIVE, "rotor about the motor shaft", (1e-5, 1e-3)
)
TORQUE_CONSTANT = Quantity(
    "torque_constant", "N*m/A", DRIVE, "torque per ampere of q-axis current amplitude", (0.05, 0.3)
)
PHASE_RESISTANCE = Quantity("phase_resistance", "ohm", DRIVE, "one phase at 20 degC", (0.02, 0.4))
PHASE_INDUCTANCE = Quantity("phase_inductance", "H", DRIVE, "one phase", (2e-5, 4e-4))
POLE_PAIRS = Quantity("pole_pairs", "1", DRIVE, "pole pairs", (7, 21))
HYSTERESIS_TORQUE = Quantity(
    "hysteresis_torque", "W*s/rad", DRIVE, "iron loss per speed", (0.005, 0.08)
)
EDDY_COEFFICIENT = Quantity(
    "eddy_coefficient", "W*s^2/rad^2", DRIVE, "iron loss per speed squared", (1e-6, 1e-4)
)
PEAK_MOTOR_TORQUE = Quantity(
    "peak_motor_torque", "N*m", DRIVE, "largest torque of the motor", (1, 20)
)
MOTOR_DIAMETER = Quantity("motor_diameter", "m", DRIVE, "outside of the housing", (0.05, 0.15))
WINDING_AREA = Quantity("winding_area", "m^2", DRIVE, "winding facing the stator", (0.003, 0.05))
HOUSING_AREA = Quantity(
    "housing_area", "m^2", DRIVE, "housing and bracket facing the air", (0.005, 0.08)
)
MOTOR_TORQUE = Quantity("motor_torque", "N*m", STRIDE, "torque at the motor shaft", (-8, 8))
MOTOR_SPEED = Quantity("motor_speed", "rad/s", STRIDE, "speed of the motor shaft", (-200, 200))
TRANSMISSION_LOSS = Quantity(
    "transmission_loss", "W", DRIVE_GAIT, "mean loss in the transmission", (0, 30)
)
TRANSMISSION_TORQUE_MARGIN = _margin(
    "transmission_torque_margin", DRIVE, "rated torque of the transmission left at the peak"
)
MOTOR_CURRENT = Quantity("motor_current", "A", STRIDE, "q-axis current, amplitude", (-40, 40))
COLD_COPPER_LOSS = Quantity(
    "cold_copper_loss", "W", DRIVE_GAIT, "mean copper loss with the winding at 20 degC", (0, 80)
)
IRON_LOSS = Quantity("iron_loss", "W", STRIDE, "hysteresis and eddy loss", (0, 20))
MOTOR_TORQUE_MARGIN = _margin("motor_torque_margin", DRIVE, "peak torque of the motor left")

# heat
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
RUNAWAY_MARGIN = _margin(
    "runaway_margin", DRIVE_GAIT, "distance from copper loss that feeds itself without end"
)

# electricity and mission
DRIVE_LOSS = Quantity("drive_loss", "W", DRIVE_GAIT, "mean loss in the drive electronics", (0, 20))
DRIVE_POWER = Quantity(
    "drive_power", "W", DRIVE_GAIT, "mean electric power of one drive", (-50, 200)
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
LEG_PROGRESS_MARGIN = _margin(
    "leg_progress_margin", LEG, "1, or -1 where a distance is asked of a gait that walks nowhere"
)
GAIT_SHARE = Quantity(
    "gait_share", "1", GAIT, "share of a round's time; the rest is sitting", (0, 0.5)
)
ROUND_TIME = Quantity("round_time", "s", DESIGN, "all legs of the mission once", (100, 1e4))
ROUND_DISTANCE = Quantity("round_distance", "m", DESIGN, "all legs of the mission once", (0, 5000))
ROUND_STRIDES = Quantity("round_strides", "1", DESIGN, "strides in one round", (10, 1e4))
PACK_ENERGY = Quantity("pack_energy", "J", DESIGN, "nominal energy of the pack", (1e6, 1e7))
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
CELL_HEAT_MARGIN = _margin(
    "cell_heat_margin", GAIT, "share of the cells' range of temperature left above"
)
CELL_COLD_MARGIN = _margin(
    "cell_cold_margin", DESIGN, "share of that range left below, for charging where gaits brake"
)
CHARGE_CURRENT_MARGIN = _margin(
    "charge_current_margin", DESIGN, "charging current of the cells left at the hardest braking"
)
CHARGE_VOLTAGE_MARGIN = _margin(
    "charge_voltage_margin", DESIGN, "greatest voltage of a full cell left at the hardest braking"
)
PACK_CURRENT_MARGIN = _margin(
    "pack_current_margin", DESIGN, "current limit of the cells left at the peak"
)
PACK_POWER_MARGIN = _margin("pack_power_margin", DESIGN, "power the sagging pack could still give")
VOLTAGE_MARGIN = _margin(
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
