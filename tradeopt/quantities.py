"""The glossary: every quantity that passes between stages, with its SI unit, axes and meaning.

Axes. `design` is always first. `joint` are the six driven joints of the left leg, in the order of
`JOINTS`; the right leg is its mirror image half a stride later. `gait` are the gaits of the study
in their order in the file, `phase` the evenly spaced places of one stride, `body` the bodies of
`BODIES`, `inertial` the ten inertial parameters of a body (m, m*c, Ixx, Ixy, Iyy, Ixz, Iyz, Izz
about the body's own origin), `axis` x forward, y to the left, z up.

Sign. Angle and torque of a joint belong together: torque times speed is the power given to the
leg. Positive extends the leg against gravity: hip_pitch moves the leg backward, knee straightens
it (a bent knee has a negative angle), and ankle_pitch presses the toe down. Roll turns about x,
yaw about z.
"""

from dataclasses import dataclass

from tradeopt.physics.walking.frame import BODIES, JOINTS

__all__ = ["BODIES", "JOINTS"]  # the order of the axes `body` and `joint` is the physics' own

INERTIAL_PARAMETERS = 10
MATURITIES = ("off_the_shelf", "minor_change", "new")
"""How far along a part is; `maturity` quantities hold places in this tuple."""

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

# surroundings and frame
GRAVITY = Quantity("gravity", "m/s^2", DESIGN, "acceleration of free fall", (9.7, 9.9))
AMBIENT_TEMPERATURE = Quantity("ambient_temperature", "K", DESIGN, "air around it", (260, 320))
THIGH_LENGTH = Quantity("thigh_length", "m", DESIGN, "hip axis to knee axis", (0.3, 0.5))
SHANK_LENGTH = Quantity("shank_length", "m", DESIGN, "knee axis to ankle axis", (0.3, 0.5))
ANKLE_HEIGHT = Quantity("ankle_height", "m", DESIGN, "ankle axis above the sole", (0.06, 0.12))
HIP_SPACING = Quantity("hip_spacing", "m", DESIGN, "between the hip centres", (0.14, 0.3))
FOOT_LENGTH = Quantity("foot_length", "m", DESIGN, "heel edge to toe edge", (0.18, 0.3))
FOOT_WIDTH = Quantity("foot_width", "m", DESIGN, "width of the sole", (0.07, 0.14))
HEEL_LENGTH = Quantity("heel_length", "m", DESIGN, "ankle axis to heel edge", (0.04, 0.1))
FRAME_LENGTHS = (
    THIGH_LENGTH,
    SHANK_LENGTH,
    ANKLE_HEIGHT,
    HIP_SPACING,
    FOOT_LENGTH,
    FOOT_WIDTH,
    HEEL_LENGTH,
)
"""The lengths that a walk depends on; the axis `length` of the reference frame."""

REFERENCE_FRAME = Quantity(
    "reference_frame",
    "m",
    ("design", "length"),
    "lengths of the baseline, which the gaits are laid out around",
    (0.1, 0.4),
)
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
STRUCTURE_MATURITY = Quantity(
    "structure_maturity", "1", ("design", "body"), "maturity, place in MATURITIES", (0, 2)
)
STRUCTURE_GROWTH = Quantity(
    "structure_growth", "kg", ("design", "body"), "growth allowance of a body's structure", (0, 2)
)
STRUCTURE_INERTIA = Quantity(
    "structure_inertia",
    "kg,kg*m,kg*m^2",
    ("design", "body", "inertial"),
    "inertial parameters of a body's structure, basic",
    (0, 1),
)
BODY_WIDTH = Quantity(
    "body_width", "m", ("design", "body"), "a body's structure from left to right", (0.04, 0.15)
)
MOTOR_MASS = Quantity("motor_mass", "kg", DRIVE, "motor with housing", (0.2, 4))
TRANSMISSION_MASS = Quantity("transmission_mass", "kg", DRIVE, "transmission", (0, 3))
SPRING_MASS = Quantity("spring_mass", "kg", DRIVE, "spring with its mounts", (0, 1))
COOLING_MASS = Quantity("cooling_mass", "kg", DRIVE, "fan, ducts and rings", (0, 0.3))
MOTOR_MATURITY, TRANSMISSION_MATURITY, SPRING_MATURITY, COOLING_MATURITY = (
    Quantity(f"{part}_maturity", "1", DRIVE, "maturity, place in MATURITIES", (0, 2))
    for part in ("motor", "transmission", "spring", "cooling")
)
MOTOR_GROWTH, TRANSMISSION_GROWTH, SPRING_GROWTH, COOLING_GROWTH = (
    Quantity(f"{part}_growth", "kg", DRIVE, f"growth allowance of the {part}", (0, 0.5))
    for part in ("motor", "transmission", "spring", "cooling")
)
MOUNT_BODY = Quantity(
    "mount_body", "1", DRIVE, "body that carries the drive, place in BODIES", (0, 6)
)
MOUNT_POSITION = Quantity(
    "mount_position",
    "m",
    (*DRIVE, "axis"),
    "where the mount puts the centre of the drive, in that body's frame",
    (-0.4, 0.1),
)
MOUNT_AXIS = Quantity(
    "mount_axis", "1", DRIVE, "axis of that body the shaft lies along: 0 x, 1 y, 2 z", (0, 2)
)
BATTERY_MASS = Quantity("battery_mass", "kg", DESIGN, "pack with its housing", (1, 20))
BATTERY_MATURITY = Quantity(
    "battery_maturity", "1", DESIGN, "maturity, place in MATURITIES", (0, 2)
)
BATTERY_GROWTH = Quantity("battery_growth", "kg", DESIGN, "growth allowance of the pack", (0, 2))
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
REFERENCES = (REFERENCE_INERTIA, REFERENCE_FRAME)
"""What the study gives beside its parameters: the baseline's own masses and lengths."""

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
REACH_MARGIN = _margin(
    "reach_margin",
    GAIT,
    "leg length left at most stretch, over that left at the least bend allowed",
)
KNEE_FLEXION_MARGIN = _margin(
    "knee_flexion_margin", GAIT, "knee bend above the least allowed, over that; 1 if recorded"
)
GROUND_LOAD_MARGIN = _margin(
    "ground_load_margin", GAIT, "least force of the ground over the weight"
)
BALANCE_MARGIN = _margin(
    "balance_margin",
    GAIT,
    "room of the centre of pressure on the sole, 5 mm added, over half the foot's width",
)
STEP_CLEARANCE_MARGIN = _margin(
    "step_clearance_margin",
    GAIT,
    "height of the swinging sole over the edges of stairs, over the leg length; 1 on the level",
)
FOOT_LOAD = Quantity(
    "foot_load",
    "N",
    ("design", "gait", "phase"),
    "force of the ground on the left foot, normal to it; 0 where a recording does not tell",
    (0, 1200),
)
FRICTION_USE = Quantity(
    "friction_use", "1", GAIT, "coefficient of friction that the feet ask of the ground", (0, 0.6)
)
SOLE_ROOM = Quantity(
    "sole_room",
    "m",
    GAIT,
    "centre of pressure to the nearest rim of the sole; 0 at best where a foot rolls",
    (-0.01, 0.05),
)
TOUCHDOWN_ENERGY = Quantity(
    "touchdown_energy",
    "J",
    GAIT,
    "estimate: what each touchdown would take from stiff legs; no other number has it",
    (0, 20),
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
TRANSMISSION_RATIO_MARGIN = _margin(
    "transmission_ratio_margin", DRIVE, "largest ratio of the transmission's construction left"
)
MOTOR_CURRENT = Quantity("motor_current", "A", STRIDE, "q-axis current, amplitude", (-40, 40))
COLD_COPPER_LOSS = Quantity(
    "cold_copper_loss", "W", DRIVE_GAIT, "mean copper loss with the winding at 20 degC", (0, 80)
)
IRON_LOSS = Quantity("iron_loss", "W", STRIDE, "hysteresis and eddy loss", (0, 20))
MOTOR_TORQUE_MARGIN = _margin("motor_torque_margin", DRIVE, "peak torque of the motor left")
MOTOR_SCALING_MARGIN = _margin(
    "motor_scaling_margin", DRIVE, "1 at the family's reference size, 0 at half or twice of it"
)

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
DRIVE_CURRENT_MARGIN = _margin(
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
PACK_CURRENT_MARGIN = _margin(
    "pack_current_margin", DESIGN, "current limit of the cells left at the peak"
)
PACK_POWER_MARGIN = _margin("pack_power_margin", DESIGN, "power the sagging pack could still give")
VOLTAGE_MARGIN = _margin(
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

# limbs under load
LIMB = ("design", "body", "gait")
LIMB_FORCE = Quantity(
    "limb_force",
    "N",
    ("design", "body"),
    "weight that one leg carries; 0 where no limb",
    (0, 1500),
)
LIMB_MOMENT = Quantity(
    "limb_moment", "N*m", LIMB, "largest bending moment with twist, as one moment", (0, 150)
)
LIMB_DEFLECTING_MOMENT = Quantity(
    "limb_deflecting_moment",
    "N*m",
    LIMB,
    "largest constant moment that deflects the limb's end as much as its own does",
    (0, 100),
)
LIMB_TWISTING_MOMENT = Quantity(
    "limb_twisting_moment", "N*m", LIMB, "largest moment about the limb's own axis", (0, 40)
)
LIMB_STRESS_MARGIN = _margin("limb_stress_margin", LIMB, "strength of the limb left at the peak")
LIMB_COLUMN_MARGIN = _margin(
    "limb_column_margin", LIMB, "load left before the limb buckles as a column"
)
LIMB_WALL_MARGIN = _margin("limb_wall_margin", LIMB, "stress left before the limb's wall buckles")
LIMB_STIFFNESS_MARGIN = _margin(
    "limb_stiffness_margin", LIMB, "allowed deflection and twist of the limb left"
)

# layout
MOTOR_LENGTH = Quantity("motor_length", "m", DRIVE, "housing along the shaft", (0.02, 0.09))
TRANSMISSION_LENGTH = Quantity(
    "transmission_length", "m", DRIVE, "what it adds along the motor's shaft", (0.0, 0.06)
)
DRIVE_BODY = Quantity("drive_body", "1", DRIVE, "body that carries it, place in BODIES", (0, 6))
DRIVE_POSITION = Quantity(
    "drive_position",
    "m",
    (*DRIVE, "axis"),
    "centre of the drive in that body's frame, as laid out",
    (-0.4, 0.1),
)
DRIVE_SIZE = Quantity(
    "drive_size",
    "m",
    (*DRIVE, "axis"),
    "sides of the box around motor and transmission, along that body's axes",
    (0.04, 0.15),
)
DRIVE_GAP = Quantity(
    "drive_gap", "m", DESIGN, "least gap between two drives of a straight leg", (-0.1, 0.1)
)
HIP_WIDTH = Quantity("hip_width", "m", DESIGN, "over the drives of both hips", (0.3, 0.6))
HIP_GAP = Quantity("hip_gap", "m", DESIGN, "between the drives of the two hips", (-0.1, 0.2))
SHANK_WIDTH = Quantity(
    "shank_width", "m", DESIGN, "over the ankle's drives and the shank, left to right", (0.06, 0.3)
)
KNEE_GAP = Quantity(
    "knee_gap", "m", GAIT, "between the knees and their drives, as if side by side", (-0.1, 0.2)
)
LEG_CLEARANCE = Quantity(
    "leg_clearance", "m", GAIT, "between shank or foot and those of the other leg", (-0.1, 0.2)
)
DRIVE_GAP_MARGIN = _margin("drive_gap_margin", DESIGN, "gap above the one asked, per hip spacing")
HIP_GAP_MARGIN = _margin("hip_gap_margin", DESIGN, "gap above the one asked, per hip spacing")
SHANK_WIDTH_MARGIN = _margin("shank_width_margin", DESIGN, "allowed width of the shank left")
KNEE_GAP_MARGIN = _margin("knee_gap_margin", GAIT, "gap above the one asked, per hip spacing")
LEG_CLEARANCE_MARGIN = _margin(
    "leg_clearance_margin", GAIT, "clearance above the one asked, per hip spacing"
)
