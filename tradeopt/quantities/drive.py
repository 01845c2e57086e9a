"""The glossary of drives: spring, motor and transmission of a joint."""

from tradeopt.quantities.quantity import DRIVE, DRIVE_GAIT, STRIDE, Quantity, margin

SPRING_TORQUE = Quantity(
    "spring_torque", "N*m", STRIDE, "torque the spring gives the joint", (-60, 60)
)
DRIVE_TORQUE = Quantity(
    "drive_torque", "N*m", STRIDE, "joint torque less the spring's", (-120, 120)
)
SPRING_TRAVEL_MARGIN = margin(
    "spring_travel_margin", DRIVE, "spring travel left at the largest angle"
)
SPRING_STRESS_MARGIN = margin(
    "spring_stress_margin", DRIVE, "strength left of a spring whose size is given"
)
SPRING_STIFFNESS = Quantity("spring_stiffness", "N*m/rad", DRIVE, "torque per angle", (0, 300))
SPRING_REST_ANGLE = Quantity(
    "spring_rest_angle",
    "rad",
    DRIVE,
    "joint angle without torque, or of the first touch; 0 where neither",
    (-1, 1),
)
SERIES_COMPLIANCE = Quantity(
    "series_compliance",
    "rad/(N*m)",
    DRIVE,
    "of a spring that carries the drive's torque",
    (0, 1e-3),
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
MOTOR_FRICTION = Quantity(
    "motor_friction", "N*m", DRIVE, "friction of bearings and seals at the shaft", (0.005, 0.05)
)
SATURATION_CURRENT = Quantity(
    "saturation_current",
    "A",
    DRIVE,
    "unsaturated current of the torque that takes twice as much",
    (40, 200),
)
WINDING_AREA = Quantity("winding_area", "m^2", DRIVE, "winding facing the stator", (0.003, 0.05))
HOUSING_AREA = Quantity(
    "housing_area", "m^2", DRIVE, "housing and bracket facing the air", (0.005, 0.08)
)
MOTOR_TORQUE = Quantity("motor_torque", "N*m", STRIDE, "torque at the motor shaft", (-8, 8))
MOTOR_SPEED = Quantity("motor_speed", "rad/s", STRIDE, "speed of the motor shaft", (-200, 200))
TRANSMISSION_LOSS = Quantity(
    "transmission_loss", "W", DRIVE_GAIT, "mean loss in the transmission", (0, 30)
)
TRANSMISSION_TORQUE_MARGIN = margin(
    "transmission_torque_margin", DRIVE, "rated torque of the transmission left at the peak"
)
TRANSMISSION_RATIO_MARGIN = margin(
    "transmission_ratio_margin", DRIVE, "largest ratio of the transmission's construction left"
)
TRANSMISSION_DIAMETER = Quantity(
    "transmission_diameter", "m", DRIVE, "outside, where it is wider than the motor", (0, 0.15)
)
TRANSMISSION_EFFICIENCY = Quantity(
    "transmission_efficiency", "1", DRIVE, "where the motor drives, without drag", (0.6, 1)
)
BACKDRIVING_EFFICIENCY = Quantity(
    "backdriving_efficiency",
    "1",
    DRIVE,
    "where the joint drives, without drag; 0 or less locks itself",
    (0.3, 1),
)
TRANSMISSION_STIFFNESS = Quantity(
    "transmission_stiffness", "N*m/rad", DRIVE, "least one, at the joint", (2e3, 5e4)
)
WIND_UP = Quantity("wind_up", "rad", DRIVE, "turn of the joint under its peak torque", (0, 0.03))
REFLECTED_INERTIA = Quantity(
    "reflected_inertia",
    "kg*m^2",
    DRIVE,
    "rotor as the joint feels it, at the largest ratio",
    (0, 1),
)
BACKDRIVING_TORQUE = Quantity(
    "backdriving_torque",
    "N*m",
    DRIVE,
    "torque at the joint that just turns the motor, at the largest ratio",
    (0, 10),
)
STANCE_RATIO = Quantity("stance_ratio", "1", DRIVE_GAIT, "mean ratio, foot on the ground", (5, 40))
SWING_RATIO = Quantity("swing_ratio", "1", DRIVE_GAIT, "mean ratio, foot off the ground", (5, 40))
TRANSMISSION_RANGE_MARGIN = margin(
    "transmission_range_margin", DRIVE, "range of the transmission left at the farthest angle"
)
TRANSMISSION_REACH_MARGIN = margin(
    "transmission_reach_margin", DRIVE, "0 where links come in line, negative where they part"
)
TRANSMISSION_ANGLE_MARGIN = margin(
    "transmission_angle_margin", DRIVE, "links push squarely enough, on one branch"
)
TRANSMISSION_ROOM_MARGIN = margin(
    "transmission_room_margin", DRIVE, "room that its moving parts leave of their box"
)
ROPE_BENDING_MARGIN = margin(
    "rope_bending_margin", DRIVE, "drum against the least one for the rope, wires against strength"
)
PRETENSION_MARGIN = margin(
    "pretension_margin", DRIVE, "pull left before a strand of rope or belt is slack, or it slips"
)
STRIDE_BENDS = Quantity("stride_bends", "1", DRIVE_GAIT, "bends of the rope in a stride", (0, 4))
STRIDE_WEAR = Quantity(
    "stride_wear", "1", DRIVE_GAIT, "bending life of the rope spent in a stride", (0, 1e-5)
)
ROPE_BENDS = Quantity(
    "rope_bends", "1/m", DRIVE, "bends of the rope by distance walked, one drive", (0, 4)
)
ROPE_WEAR = Quantity(
    "rope_wear", "1/m", DRIVE, "bending life of the rope spent by distance walked", (0, 1e-5)
)
MOTOR_CURRENT = Quantity("motor_current", "A", STRIDE, "q-axis current, amplitude", (-40, 40))
FIELD_CURRENT = Quantity(
    "field_current", "A", STRIDE, "d-axis current that weakens the field, amplitude", (-20, 0)
)
COLD_COPPER_LOSS = Quantity(
    "cold_copper_loss", "W", DRIVE_GAIT, "mean copper loss with the winding at 20 degC", (0, 80)
)
IRON_LOSS = Quantity("iron_loss", "W", STRIDE, "hysteresis, eddy and bearing loss", (0, 20))
MOTOR_TORQUE_MARGIN = margin("motor_torque_margin", DRIVE, "peak torque of the motor left")
MOTOR_SCALING_MARGIN = margin(
    "motor_scaling_margin", DRIVE, "1 at the family's reference size, 0 at half or twice of it"
)
