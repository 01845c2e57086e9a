"""The glossary of peaks: short load cases beside the gaits, such as standing up from a crouch."""

from tradeopt.quantities.quantity import DESIGN, DRIVE, Quantity, margin

PEAK = ("design", "peak")
DRIVE_PEAK = ("design", "joint", "peak")

PEAK_TIME = Quantity("peak_time", "s", PEAK, "how long the peak lasts", (0.5, 10))
PEAK_GAIT = Quantity(
    "peak_gait", "1", (*PEAK, "gait"), "1 at the gait that the peak follows, else 0", (0, 0.5)
)
PEAK_TORQUE = Quantity(
    "peak_torque", "N*m", DRIVE_PEAK, "joint torque that the drive gives in the peak", (-120, 120)
)
PEAK_SPEED = Quantity("peak_speed", "rad/s", DRIVE_PEAK, "joint speed in the peak", (-4, 4))
PEAK_ANGLE = Quantity("peak_angle", "rad", DRIVE_PEAK, "joint angle in the peak", (-1.5, 0.5))
PEAK_SHAFT_TORQUE = Quantity(
    "peak_shaft_torque", "N*m", DRIVE_PEAK, "torque at the motor shaft in the peak", (-8, 8)
)
PEAK_SHAFT_SPEED = Quantity(
    "peak_shaft_speed", "rad/s", DRIVE_PEAK, "speed of the motor shaft in the peak", (-200, 200)
)
PEAK_CURRENT = Quantity(
    "peak_current", "A", DRIVE_PEAK, "q-axis current in the peak, amplitude", (-80, 80)
)
PEAK_WINDING_TEMPERATURE = Quantity(
    "peak_winding_temperature", "K", DRIVE_PEAK, "winding at the end of the peak", (280, 450)
)
DRIVE_CURRENT_LIMIT = Quantity(
    "drive_current_limit", "A", DESIGN, "largest current of one inverter, amplitude", (20, 120)
)
PEAK_TRANSMISSION_MARGIN = margin(
    "peak_transmission_margin", DRIVE, "least of the transmission's margins in the peaks"
)
PEAK_TORQUE_MARGIN = margin(
    "peak_torque_margin", DRIVE_PEAK, "peak torque of the motor left in the peak"
)
PEAK_CURRENT_MARGIN = margin(
    "peak_current_margin", DRIVE_PEAK, "current of the inverter left in the peak"
)
PEAK_VOLTAGE_MARGIN = margin(
    "peak_voltage_margin", DRIVE_PEAK, "bus voltage left in the peak, on the pack's last charge"
)
PEAK_HEAT_MARGIN = margin(
    "peak_heat_margin", DRIVE_PEAK, "share of the winding's range left at the end of the peak"
)
