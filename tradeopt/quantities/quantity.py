"""What a quantity is, and the axes that quantities have."""

from dataclasses import dataclass

from tradeopt.physics.walking.frame import BODIES, JOINTS

__all__ = [
    "BODIES",
    "COMPONENT",
    "DESIGN",
    "DRIVE",
    "DRIVE_GAIT",
    "DRIVE_LEG",
    "GAIT",
    "INERTIAL_PARAMETERS",
    "JOINTS",
    "JOINT_GROUP",
    "LEG",
    "LEGS",
    "PHASES",
    "PLACES",
    "STRIDE",
    "TASK",
    "Quantity",
]  # the order of the axes `body` and `joint` is the physics' own

LEGS = 2
"""Legs of the robot; everything by joint is said of one of them."""

INERTIAL_PARAMETERS = 10
PHASES = 100
"""Places a stride is cut into; 100 keep the peaks within 2 %."""

PLACES = 101
"""Even steps that a curve over the joint angle is read into, its ends included."""


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


def margin(name: str, axes: tuple[str, ...], meaning: str) -> Quantity:
    """Return a share of reserve."""
    return Quantity(name, "1", axes, meaning, (-0.5, 1.0), is_margin=True)


DESIGN = ("design",)
DRIVE = ("design", "joint")
DRIVE_GAIT = ("design", "joint", "gait")
DRIVE_LEG = ("design", "joint", "leg")
STRIDE = ("design", "joint", "gait", "phase")
GAIT = ("design", "gait")
LEG = ("design", "leg")
JOINT_GROUP = ("design", "joint_group")
COMPONENT = ("design", "component")
TASK = ("design", "task")
