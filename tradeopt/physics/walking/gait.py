"""What a walk and a stand are told to be."""

import math
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

    @property
    def stride_time(self) -> float:
        """Time of two steps [s]."""
        return 2 * self.step_time

    @property
    def mean_speed(self) -> float:
        """Way along the ground over time [m/s]."""
        return self.speed

    @property
    def step_length(self) -> float:
        """Between two footprints [m]."""
        return self.speed * self.step_time


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

    @property
    def stride_time(self) -> float:
        """Length given to a stride in which nothing moves [s]; no result depends on it."""
        return 1.0

    @property
    def mean_speed(self) -> float:
        """Nil [m/s]."""
        return 0.0

    @property
    def step_length(self) -> float:
        """Nil [m]."""
        return 0.0


@dataclass(frozen=True)
class OneFootPose:
    """Standing still on one foot, each foot in turn.

    Parameters
    ----------
    knee_flexion : float
        Bend of the knee that carries [rad].
    step_width : float
        Between the centre lines of the two feet [m].
    foot_clearance : float
        Height of the other sole above the ground [m].
    slope : float
        Rise of the ground ahead; positive is uphill [rad].
    gravity : float
        Acceleration of free fall [m/s2].
    """

    knee_flexion: float
    step_width: float
    foot_clearance: float
    slope: float = 0.0
    gravity: float = STANDARD_GRAVITY

    @property
    def stride_time(self) -> float:
        """Length given to a stride in which nothing moves [s]; no result depends on it."""
        return 1.0

    @property
    def mean_speed(self) -> float:
        """Nil [m/s]."""
        return 0.0

    @property
    def step_length(self) -> float:
        """Nil [m]."""
        return 0.0


@dataclass(frozen=True)
class StairGait:
    """Walking up or down stairs foot over foot, the soles flat.

    Parameters
    ----------
    riser : float
        Height from step to step; positive is up [m].
    tread : float
        Depth from edge to edge [m].
    step_time : float
        From one touchdown to the next of the other foot [s].
    double_support : float
        Share of the step time with both feet on the ground [1].
    knee_flexion_min : float
        Least bend of the knee over the stride; it sets how high the pelvis is carried [rad].
    foot_clearance : float
        Height that the swinging ankle gains over the path from step to step, half-way [m].
    step_width : float
        Between the centre lines of the two feet [m].
    body_lean : float
        Forward tilt of the torso from the vertical [rad].
    gravity : float
        Acceleration of free fall [m/s2].
    """

    riser: float
    tread: float
    step_time: float
    double_support: float
    knee_flexion_min: float
    foot_clearance: float
    step_width: float
    body_lean: float = 0.0
    gravity: float = STANDARD_GRAVITY

    @property
    def stride_time(self) -> float:
        """Time of two steps [s]."""
        return 2 * self.step_time

    @property
    def mean_speed(self) -> float:
        """Level way over time [m/s]."""
        return self.tread / self.step_time

    @property
    def step_length(self) -> float:
        """Between two footprints [m]."""
        return math.hypot(self.tread, self.riser)


@dataclass(frozen=True)
class SideStepGait:
    """Stepping sideways, or turning on the spot: out and close to the left, then to the right.

    Parameters
    ----------
    side_step : float
        Way of the body to the side with each pair of steps [m].
    turn : float
        Turn of the body with each pair of steps [rad].
    step_time : float
        From one touchdown to the next [s].
    double_support : float
        Share of the step time with both feet on the ground [1].
    knee_flexion_min : float
        Least bend of the knee over the stride; it sets how high the pelvis is carried [rad].
    foot_clearance : float
        Height of the swinging sole above the ground, half-way [m].
    step_width : float
        Between the centre lines of the two feet when they are closed [m].
    gravity : float
        Acceleration of free fall [m/s2].
    """

    side_step: float
    turn: float
    step_time: float
    double_support: float
    knee_flexion_min: float
    foot_clearance: float
    step_width: float
    gravity: float = STANDARD_GRAVITY

    @property
    def stride_time(self) -> float:
        """Time of four steps [s]."""
        return 4 * self.step_time

    @property
    def mean_speed(self) -> float:
        """Way of the body to the side over time, there and back [m/s]."""
        return self.side_step / (2 * self.step_time)

    @property
    def step_length(self) -> float:
        """Way of a foot with each step [m]."""
        return self.side_step
