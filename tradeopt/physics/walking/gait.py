"""What a walk and a stand are told to be."""

from dataclasses import dataclass
from typing import Final

STANDARD_GRAVITY: Final = 9.80665
"""Standard acceleration of free fall [m/s2]; 3rd General Conference on Weights and
Measures, 1901."""


@dataclass(frozen=True)
class WalkingGait:
    """Steady walking, the same step again and again, left and right alike.

    Parameters
    ----------
    speed : float
        Mean speed along the ground [m/s].
    step_time : float
        From one heel strike to the next of the other foot [s].
    double_support : float
        Share of the step time with both feet on the ground [1].
    knee_flexion_min : float
        Least bend of the knee over the stride; it sets how high the pelvis is carried [rad].
    foot_clearance : float
        Height that the swinging ankle gains over the straight path, half-way [m].
    step_width : float
        Between the centre lines of the two feet [m].
    slope : float
        Rise of the ground ahead; positive is uphill [rad].
    toe_off_angle : float
        Pitch of the foot when its toe leaves the ground; 0 keeps the foot flat. The heel strikes
        at half this angle, toe up [rad].
    body_lean : float
        Forward tilt of the torso from the vertical [rad].
    gravity : float
        Acceleration of free fall [m/s2].
    """

    speed: float
    step_time: float
    double_support: float
    knee_flexion_min: float
    foot_clearance: float
    step_width: float
    slope: float = 0.0
    toe_off_angle: float = 0.0
    body_lean: float = 0.0
    gravity: float = STANDARD_GRAVITY


@dataclass(frozen=True)
class StandingPose:
    """Standing still on both feet, side by side.

    Parameters
    ----------
    knee_flexion : float
        Bend of the knees [rad].
    step_width : float
        Between the centre lines of the two feet [m].
    slope : float
        Rise of the ground ahead; positive is uphill [rad].
    gravity : float
        Acceleration of free fall [m/s2].
    """

    knee_flexion: float
    step_width: float
    slope: float = 0.0
    gravity: float = STANDARD_GRAVITY
