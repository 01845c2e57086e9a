"""One stride of a robot: all that its loads follow from."""

import math
from dataclasses import dataclass

from tradeopt.arrays import Array


@dataclass(frozen=True)
class Stride:
    """Motion of torso and left leg over one stride; the right leg is the mirror image.

    Parameters
    ----------
    period : float
        Time of the stride [s]; infinite where nothing moves.
    speed : float
        Mean speed along the ground [m/s].
    gravity : Array, shape (3,)
        Acceleration of free fall in the walking frame, tilted with the slope [m/s2].
    joint_angle : Array, shape (6, phase)
        Angles of the left leg [rad].
    joint_speed : Array, shape (6, phase)
        Their rates [rad/s].
    joint_acceleration : Array, shape (6, phase)
        Their accelerations [rad/s2].
    base_position : Array, shape (3, phase)
        Mid-point of the hip centres in the walking frame [m].
    base_acceleration : Array, shape (3, phase)
        Its acceleration [m/s2].
    base_rotation : Array, shape (3, 3, phase)
        Attitude of the torso [1].
    base_angular_speed : Array, shape (3, phase)
        Rate of turn of the torso, in the axes of the walking frame [rad/s].
    base_angular_acceleration : Array, shape (3, phase)
        Its rate [rad/s2].
    load_share : Array, shape (phase,)
        Part of the robot's load on the left foot [1].
    pressure_point : Array, shape (3, phase)
        Reference centre of pressure of the left foot, in the walking frame [m].
    sole_room : Array, shape (2, phase)
        From the reference centre of pressure to the front and to the rear end of what touches
        the ground [m].
    reach_margin : float
        Leg length left at the greatest stretch, over that at the least bend the knee has to keep;
        negative where a foot is out of reach [1].
    knee_flexion_margin : float
        Least bend of the knee over the bend that keeps clear of the straight leg, less 1 [1].
    step_clearance : float
        Least height of the swinging sole over the edges of steps [m]; infinite where there are
        none.
    """

    period: float
    speed: float
    gravity: Array
    joint_angle: Array
    joint_speed: Array
    joint_acceleration: Array
    base_position: Array
    base_acceleration: Array
    base_rotation: Array
    base_angular_speed: Array
    base_angular_acceleration: Array
    load_share: Array
    pressure_point: Array
    sole_room: Array
    reach_margin: float
    knee_flexion_margin: float
    step_clearance: float = math.inf

    @property
    def phases(self) -> int:
        """Number of phases of the stride."""
        return int(self.joint_angle.shape[-1])
