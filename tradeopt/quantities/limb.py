"""The glossary of limbs under load."""

from tradeopt.quantities.quantity import Quantity, margin

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
LIMB_STRESS_MARGIN = margin("limb_stress_margin", LIMB, "strength of the limb left at the peak")
LIMB_COLUMN_MARGIN = margin(
    "limb_column_margin", LIMB, "load left before the limb buckles as a column"
)
LIMB_WALL_MARGIN = margin("limb_wall_margin", LIMB, "stress left before the limb's wall buckles")
LIMB_STIFFNESS_MARGIN = margin(
    "limb_stiffness_margin", LIMB, "allowed deflection and twist of the limb left"
)
