"""The glossary of layout: where the drives sit and how near things come to each other."""

from tradeopt.quantities.quantity import DESIGN, DRIVE, GAIT, Quantity, margin

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
DRIVE_GAP_MARGIN = margin("drive_gap_margin", DESIGN, "gap above the one asked, per hip spacing")
HIP_GAP_MARGIN = margin("hip_gap_margin", DESIGN, "gap above the one asked, per hip spacing")
SHANK_WIDTH_MARGIN = margin("shank_width_margin", DESIGN, "allowed width of the shank left")
KNEE_GAP_MARGIN = margin("knee_gap_margin", GAIT, "gap above the one asked, per hip spacing")
LEG_CLEARANCE_MARGIN = margin(
    "leg_clearance_margin", GAIT, "clearance above the one asked, per hip spacing"
)
