"""The glossary of frame and masses, and of what a model file says of them."""

from tradeopt.quantities.quantity import COMPONENT, DESIGN, DRIVE, JOINT_GROUP, Quantity

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
MATURITIES = ("off_the_shelf", "minor_change", "new")
"""How far along a part is; `maturity` quantities hold places in this tuple."""

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
GROUP_MASS = Quantity("group_mass", "kg", JOINT_GROUP, "a group of other joints, basic", (0, 10))
GROUP_MATURITY = Quantity(
    "group_maturity", "1", JOINT_GROUP, "how far along it is, place in MATURITIES", (0, 2)
)
GROUP_GROWTH = Quantity(
    "group_growth", "kg", JOINT_GROUP, "growth allowance of a group of other joints", (0, 1)
)
GROUP_INERTIA = Quantity(
    "group_inertia",
    "kg,kg*m,kg*m^2",
    (*JOINT_GROUP, "inertial"),
    "inertial parameters of a group in the torso, basic",
    (0, 1),
)
COMPONENT_MASS = Quantity(
    "component_mass", "kg", COMPONENT, "all pieces of a component, spare ones included", (0, 2)
)
COMPONENT_MATURITY = Quantity(
    "component_maturity", "1", COMPONENT, "how far along it is, place in MATURITIES", (0, 2)
)
COMPONENT_GROWTH = Quantity(
    "component_growth", "kg", COMPONENT, "growth allowance of all its pieces", (0, 0.2)
)
COMPONENT_INERTIA = Quantity(
    "component_inertia",
    "kg,kg*m,kg*m^2",
    (*COMPONENT, "body", "inertial"),
    "inertial parameters that a component adds to each body, basic",
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
REFERENCES = (REFERENCE_INERTIA, REFERENCE_FRAME)
"""What the study gives beside its parameters: the baseline's own masses and lengths."""

BASIC_MASS = Quantity(
    "basic_mass", "kg", DESIGN, "whole robot without growth allowance", (20, 150)
)
TOTAL_MASS = Quantity(
    "total_mass", "kg", DESIGN, "whole robot, predicted: basic plus growth", (20, 150)
)

# what a robot's model file says
MODEL_THIGH_LENGTH = Quantity("model_thigh_length", "m", DESIGN, "thigh of the file", (0.3, 0.5))
MODEL_SHANK_LENGTH = Quantity("model_shank_length", "m", DESIGN, "shank of the file", (0.3, 0.5))
MODEL_HIP_SPACING = Quantity("model_hip_spacing", "m", DESIGN, "hips of the file", (0.14, 0.3))
MODEL_INERTIA = Quantity(
    "model_inertia",
    "kg,kg*m,kg*m^2",
    ("design", "body", "inertial"),
    "inertial parameters of every body of the file, with all that the file puts on it",
    (0, 1),
)
MODEL_LOWER_ANGLE = Quantity(
    "model_lower_angle", "rad", DRIVE, "lower end of a joint of the file", (-2.5, -1.0)
)
MODEL_UPPER_ANGLE = Quantity(
    "model_upper_angle", "rad", DRIVE, "upper end of a joint of the file", (1.0, 2.0)
)
