"""Every slot of the chain: where it stands in the study file and what any kind of it gives."""

from tradeopt import quantities as q
from tradeopt.chain.kind import Slot

SURROUNDINGS = Slot(
    "surroundings",
    "surroundings",
    {"size": (q.GRAVITY, q.AMBIENT_TEMPERATURE, q.AIR_DENSITY_RATIO)},
    default="still",
)
FRAME = Slot(
    "frame",
    "robot.frame",
    {
        "size": (
            q.THIGH_LENGTH,
            q.SHANK_LENGTH,
            q.ANKLE_HEIGHT,
            q.HIP_SPACING,
            q.FOOT_LENGTH,
            q.FOOT_WIDTH,
            q.HEEL_LENGTH,
            q.BODY_LENGTH,
        )
    },
    default="biped",
)
BODY = Slot(
    "body",
    "robot.bodies.{body}",
    {
        "size": (
            q.STRUCTURE_MASS,
            q.STRUCTURE_MATURITY,
            q.STRUCTURE_INERTIA,
            q.BODY_WIDTH,
        ),
        "duty": (
            q.LIMB_STRESS_MARGIN,
            q.LIMB_COLUMN_MARGIN,
            q.LIMB_WALL_MARGIN,
            q.LIMB_STIFFNESS_MARGIN,
        ),
    },
    default="solid",
)
MOUNT = Slot(
    "mount",
    "robot.drives.{joint}.mount",
    {"size": (q.MOUNT_BODY, q.MOUNT_POSITION, q.MOUNT_AXIS)},
    default="on_body",
)
MOTOR = Slot(
    "motor",
    "robot.drives.{joint}.motor",
    {
        "size": (
            q.MOTOR_MASS,
            q.MOTOR_MATURITY,
            q.MOTOR_DIAMETER,
            q.MOTOR_LENGTH,
            q.ROTOR_INERTIA,
            q.TORQUE_CONSTANT,
            q.PHASE_RESISTANCE,
            q.PHASE_INDUCTANCE,
            q.POLE_PAIRS,
            q.HYSTERESIS_TORQUE,
            q.EDDY_COEFFICIENT,
            q.PEAK_MOTOR_TORQUE,
            q.MOTOR_SCALING_MARGIN,
            q.MOTOR_FRICTION,
            q.SATURATION_CURRENT,
            q.WINDING_AREA,
            q.HOUSING_AREA,
            q.WINDING_CAPACITY,
            q.HOUSING_CAPACITY,
            q.WINDING_LIMIT,
            q.MAGNET_LIMIT,
        ),
        "duty": (q.MOTOR_CURRENT, q.IRON_LOSS, q.MOTOR_TORQUE_MARGIN),
    },
    default="scaled",
)
TRANSMISSION = Slot(
    "transmission",
    "robot.drives.{joint}.transmission",
    {
        "size": (
            q.TRANSMISSION_MASS,
            q.TRANSMISSION_MATURITY,
            q.TRANSMISSION_LENGTH,
            q.TRANSMISSION_DIAMETER,
            q.TRANSMISSION_STIFFNESS,
            q.TRANSMISSION_REACH_MARGIN,
            q.TRANSMISSION_ANGLE_MARGIN,
            q.TRANSMISSION_ROOM_MARGIN,
            q.ROPE_BENDING_MARGIN,
        ),
        "duty": (
            q.MOTOR_TORQUE,
            q.MOTOR_SPEED,
            q.TRANSMISSION_LOSS,
            q.TRANSMISSION_EFFICIENCY,
            q.BACKDRIVING_EFFICIENCY,
            q.REFLECTED_INERTIA,
            q.BACKDRIVING_TORQUE,
            q.WIND_UP,
            q.STANCE_RATIO,
            q.SWING_RATIO,
            q.TRANSMISSION_TORQUE_MARGIN,
            q.TRANSMISSION_RATIO_MARGIN,
            q.TRANSMISSION_RANGE_MARGIN,
            q.PRETENSION_MARGIN,
            q.STRIDE_BENDS,
            q.STRIDE_WEAR,
        ),
    },
)
COOLING = Slot(
    "cooling",
    "robot.drives.{joint}.cooling",
    {
        "size": (
            q.COOLING_MASS,
            q.COOLING_MATURITY,
            q.COOLING_POWER,
            q.WINDING_TO_HOUSING,
            q.HOUSING_TO_AIR,
            q.STILL_HOUSING_TO_AIR,
        )
    },
)
BATTERY = Slot(
    "battery",
    "robot.battery",
    {
        "size": (
            q.BATTERY_MASS,
            q.BATTERY_MATURITY,
            q.BATTERY_POSITION,
            q.BATTERY_SIZE,
            q.PACK_ENERGY,
        ),
        "duty": (
            q.RUN_TIME,
            q.LEG_RUN_TIME,
            q.LOW_BUS_VOLTAGE,
            q.PACK_LOSS,
            q.PACK_CURRENT_MARGIN,
            q.PACK_POWER_MARGIN,
            q.CELL_TEMPERATURE,
            q.CELL_HEAT_MARGIN,
            q.CELL_COLD_MARGIN,
            q.CHARGE_CURRENT_MARGIN,
            q.CHARGE_VOLTAGE_MARGIN,
        ),
    },
    default="pack",
)
ELECTRONICS = Slot(
    "electronics",
    "robot.electronics",
    {
        "size": (q.DRIVE_CURRENT_LIMIT,),
        "duty": (
            q.DRIVE_LOSS,
            q.DRIVE_POWER,
            q.BUS_POWER,
            q.MEAN_POWER,
            q.REGENERATION_LOSS,
            q.DRIVE_CURRENT_MARGIN,
        ),
    },
    default="inverters",
)
STANDBY = Slot(
    "standby",
    "robot.standby",
    {"size": (q.STANDBY_POWER, q.SITTING_POWER)},
    default="constant",
)
JOINT_GROUP = Slot(
    "joint_group",
    "robot.other_joints.{joint_group}",
    {"size": (q.GROUP_MASS, q.GROUP_MATURITY, q.GROUP_INERTIA, q.GROUP_POWER)},
    default="held",
    required=False,
)
COMPONENT = Slot(
    "component",
    "robot.reliability.{component}",
    {
        "size": (
            q.COMPONENT_MASS,
            q.COMPONENT_MATURITY,
            q.COMPONENT_INERTIA,
            q.COMPONENT_POWER,
            q.COMPONENT_GROUPS,
            q.COMPONENT_NEEDED,
            q.COMPONENT_SPARE,
            q.COMMON_CAUSE,
        ),
        "duty": (q.COMPONENT_WEAR,),
    },
    default="constant_rate",
    required=False,
)
GAIT = Slot(
    "gait",
    "gaits.{gait}",
    {
        "size": (
            q.RECORDED_STRIDES,
            q.STRIDE_SPREAD,
            q.STRIDE_DRIFT,
            q.STRIDE_SPREAD_MARGIN,
            q.SCALED_TORQUE,
        ),
        "duty": (
            q.STRIDE_TIME,
            q.WALKING_SPEED,
            q.JOINT_ANGLE,
            q.JOINT_SPEED,
            q.JOINT_ACCELERATION,
            q.JOINT_TORQUE,
            q.REACH_MARGIN,
            q.KNEE_FLEXION_MARGIN,
            q.GROUND_LOAD_MARGIN,
            q.BALANCE_MARGIN,
            q.STEP_CLEARANCE_MARGIN,
            q.FOOT_LOAD,
            q.FRICTION_USE,
            q.SOLE_ROOM,
            q.TOUCHDOWN_ENERGY,
        ),
    },
)
LEG = Slot(
    "leg",
    "mission.{leg}",
    {"duty": (q.LEG_GAIT, q.LEG_TIME, q.LEG_DISTANCE, q.LEG_PROGRESS_MARGIN)},
    default="distance",
)
ROUND = Slot(
    "round",
    "stages.round",
    {"duty": (q.GAIT_SHARE, q.ROUND_TIME, q.ROUND_DISTANCE, q.ROUND_STRIDES)},
    default="in_order",
)
TASK = Slot(
    "task",
    "upkeep.{task}",
    {"duty": (q.TASK_TIME,)},
    default="by_distance",
    required=False,
)
MASS = Slot(
    "mass",
    "stages.mass",
    {
        "size": (
            q.INERTIA,
            q.BASIC_MASS,
            q.TOTAL_MASS,
            q.STRUCTURE_GROWTH,
            q.MOTOR_GROWTH,
            q.TRANSMISSION_GROWTH,
            q.SPRING_GROWTH,
            q.COOLING_GROWTH,
            q.BATTERY_GROWTH,
            q.GROUP_GROWTH,
            q.COMPONENT_GROWTH,
        )
    },
    default="roll_up",
)
RANGE = Slot(
    "range",
    "stages.range",
    {
        "duty": (
            q.ENDURANCE,
            q.RANGE,
            q.COMPLETED_ROUNDS,
            q.COST_OF_TRANSPORT,
            q.MECHANICAL_COST_OF_TRANSPORT,
        )
    },
    default="one_charge",
)
LIMB_LOAD = Slot(
    "limb_load",
    "stages.limb_load",
    {
        "duty": (
            q.LIMB_FORCE,
            q.LIMB_MOMENT,
            q.LIMB_DEFLECTING_MOMENT,
            q.LIMB_TWISTING_MOMENT,
        )
    },
    default="massless_limbs",
)
LAYOUT = Slot(
    "layout",
    "robot.layout",
    {
        "size": (
            q.DRIVE_BODY,
            q.DRIVE_POSITION,
            q.DRIVE_SIZE,
            q.DRIVE_GAP,
            q.HIP_WIDTH,
            q.HIP_GAP,
            q.SHANK_WIDTH,
            q.DRIVE_GAP_MARGIN,
            q.HIP_GAP_MARGIN,
            q.SHANK_WIDTH_MARGIN,
        ),
        "duty": (
            q.KNEE_GAP,
            q.LEG_CLEARANCE,
            q.KNEE_GAP_MARGIN,
            q.LEG_CLEARANCE_MARGIN,
        ),
    },
    default="boxes",
)
MODEL = Slot(
    "model",
    "robot.model",
    {
        "size": (
            q.MODEL_THIGH_LENGTH,
            q.MODEL_SHANK_LENGTH,
            q.MODEL_HIP_SPACING,
            q.MODEL_INERTIA,
            q.MODEL_LOWER_ANGLE,
            q.MODEL_UPPER_ANGLE,
        )
    },
    required=False,
)
STOPS = Slot(
    "stops",
    "robot.drives.{joint}.stops",
    {"duty": (q.JOINT_RANGE_MARGIN,)},
    default="none",
)
ENERGY = Slot(
    "energy",
    "stages.energy",
    {
        "duty": (
            q.LEG_ENERGY,
            q.JOINT_ENERGY,
            q.TRANSMISSION_ENERGY,
            q.COPPER_ENERGY,
            q.IRON_ENERGY,
            q.DRIVE_ENERGY,
            q.COOLING_ENERGY,
            q.STANDBY_ENERGY,
            q.REGENERATION_ENERGY,
        )
    },
    default="by_use",
)
CHANCE = Slot(
    "chance",
    "stages.chance",
    {"duty": (q.COMPONENT_CHANCE, q.CHANCE_OF_FINISHING, q.DISTANCE_TO_STOP)},
    default="one_round",
    required=False,
    beside=COMPONENT,
)
UPKEEP = Slot(
    "upkeep",
    "stages.upkeep",
    {"duty": (q.UPKEEP_TIME,)},
    default="sum",
    required=False,
    beside=TASK,
)
