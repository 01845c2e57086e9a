"""The lengths of a walking robot's legs, and the order of its joints and bodies."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from tradeopt.arrays import Array

JOINTS: Final = ("hip_yaw", "hip_roll", "hip_pitch", "knee", "ankle_pitch", "ankle_roll")
"""Joints of a leg from the hip down."""

BODIES: Final = ("torso", "hip_yaw", "hip_roll", "thigh", "shank", "ankle", "foot")
"""Bodies from the torso down; body ``k + 1`` hangs from joint ``k``."""

JOINT_AXES: Final = (2, 0, 1, 1, 1, 0)
"""Which axis of its body a joint turns about: 0 is x, 1 is y, 2 is z."""

JOINT_SENSES: Final = (1.0, 1.0, 1.0, -1.0, 1.0, 1.0)
"""Sense of a joint about its axis; the knee turns about -y, so that positive straightens it."""


@dataclass(frozen=True)
class Frame:
    """Lengths of the legs and feet.

    Parameters
    ----------
    thigh : float
        Hip centre to knee axis [m].
    shank : float
        Knee axis to ankle axis [m].
    ankle_height : float
        Ankle axis above the sole [m].
    hip_spacing : float
        Left hip centre to right hip centre [m].
    foot_length : float
        Heel edge to toe edge of the sole [m].
    foot_width : float
        Inner edge to outer edge of the sole [m].
    heel : float
        Ankle axis to heel edge, along the sole [m].
    """

    thigh: float
    shank: float
    ankle_height: float
    hip_spacing: float
    foot_length: float
    foot_width: float
    heel: float

    @property
    def leg_length(self) -> float:
        """Hip centre to sole of the straight leg [m]."""
        return self.thigh + self.shank + self.ankle_height

    @property
    def toe(self) -> float:
        """Ankle axis to toe edge, along the sole [m]."""
        return self.foot_length - self.heel


def joint_offsets(frame: Frame) -> Array:
    """Place of each joint of the left leg in the body it is mounted on.

    Parameters
    ----------
    frame : Frame
        Lengths of the legs [m].

    Returns
    -------
    Array, shape (6, 3)
        Vector from the origin of the body above to the joint, in the axes of that body [m].

    Notes
    -----
    The three hip axes meet in one point, and so do the two ankle axes. Legs whose axes pass one
    another at a distance are outside this model.

    Examples
    --------
    >>> frame = Frame(0.4, 0.38, 0.09, 0.18, 0.24, 0.1, 0.07)
    >>> joint_offsets(frame)[[0, 3, 4]].tolist()
    [[0.0, 0.09, 0.0], [0.0, 0.0, -0.4], [0.0, 0.0, -0.38]]
    """
    offsets = np.zeros((len(JOINTS), 3))
    offsets[JOINTS.index("hip_yaw"), 1] = frame.hip_spacing / 2
    offsets[JOINTS.index("knee"), 2] = -frame.thigh
    offsets[JOINTS.index("ankle_pitch"), 2] = -frame.shank
    return offsets
