"""The glossary of gaits: motion and torque of the joints, and what is known of a recording."""

from tradeopt.quantities.quantity import DRIVE, DRIVE_GAIT, GAIT, STRIDE, Quantity, margin

# gait and joint loads
STRIDE_TIME = Quantity("stride_time", "s", GAIT, "one stride: two steps", (0.8, 2.0))
WALKING_SPEED = Quantity("walking_speed", "m/s", GAIT, "mean forward speed", (0, 1.5))
JOINT_ANGLE = Quantity("joint_angle", "rad", STRIDE, "joint angle", (-1, 1))
JOINT_SPEED = Quantity("joint_speed", "rad/s", STRIDE, "joint speed", (-5, 5))
JOINT_ACCELERATION = Quantity(
    "joint_acceleration", "rad/s^2", STRIDE, "joint acceleration", (-80, 80)
)
JOINT_TORQUE = Quantity("joint_torque", "N*m", STRIDE, "torque the joint must give", (-120, 120))
REACH_MARGIN = margin(
    "reach_margin",
    GAIT,
    "leg length left at most stretch, over that left at the least bend allowed",
)
KNEE_FLEXION_MARGIN = margin(
    "knee_flexion_margin", GAIT, "knee bend above the least allowed, over that; 1 if recorded"
)
GROUND_LOAD_MARGIN = margin(
    "ground_load_margin", GAIT, "least force of the ground over the weight"
)
BALANCE_MARGIN = margin(
    "balance_margin",
    GAIT,
    "room of the centre of pressure on the sole, 5 mm added, over half the foot's width",
)
STEP_CLEARANCE_MARGIN = margin(
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
JOINT_RANGE_MARGIN = margin(
    "joint_range_margin", DRIVE, "least distance to an end stop, over half the range"
)

# recorded gaits
RECORDED_STRIDES = Quantity(
    "recorded_strides",
    "1",
    GAIT,
    "strides that a recording is the mean of; 0 if laid out",
    (0, 50),
)
STRIDE_SPREAD = Quantity(
    "stride_spread", "rad", DRIVE_GAIT, "standard deviation of the angle over strides", (0, 0.05)
)
STRIDE_DRIFT = Quantity(
    "stride_drift",
    "rad",
    DRIVE_GAIT,
    "what the mean stride ended above its start, taken off along it",
    (-0.02, 0.02),
)
STRIDE_SPREAD_MARGIN = margin(
    "stride_spread_margin", DRIVE_GAIT, "accepted spread of recorded strides left"
)
SCALED_TORQUE = Quantity(
    "scaled_torque",
    "1",
    GAIT,
    "1 where torques are recorded and grow with weight and leg, 0 where they follow the masses",
    (0, 1),
)
