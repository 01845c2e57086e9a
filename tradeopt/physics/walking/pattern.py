"""Strides made to order, in balance: walking, stairs, side steps and standing."""

from tradeopt.arrays import Array
from tradeopt.physics.walking.feet import Feet, one_foot, standing_feet, walking_feet
from tradeopt.physics.walking.frame import Frame
from tradeopt.physics.walking.gait import (
    OneFootPose,
    SideStepGait,
    StairGait,
    StandingPose,
    WalkingGait,
)
from tradeopt.physics.walking.posture import Posture, balanced
from tradeopt.physics.walking.sidesteps import side_step_feet
from tradeopt.physics.walking.stairs import stair_feet
from tradeopt.physics.walking.stride import Stride


def walk(frame: Frame, gait: WalkingGait, inertia: Array, phases: int = 100) -> Stride:
    """Steady walk whose zero-moment point stays where the feet can carry it.

    Parameters
    ----------
    frame : Frame
        Lengths of the legs and feet [m].
    gait : WalkingGait
        How it walks [m/s, s, m, rad].
    inertia : Array, shape (7, 10)
        Inertial parameters of the reference robot that the walk is balanced
        for [kg, kg m, kg m2].
    phases : int
        Number of evenly spaced phases of the stride; even [1].

    Returns
    -------
    Stride
        Motion of torso and left leg from left heel strike to left heel strike [m, rad, s].

    Raises
    ------
    ValueError
        If the number of phases is odd.

    Notes
    -----
    The feet are laid down first; the torso then sways as the linear inverted pendulum wants, at
    constant height and attitude, and is shifted by ``w^2 / (w^2 + (n W)^2)`` times the error of
    the whole robot's zero-moment point, harmonic by harmonic, until that is small. A step too
    long for the legs gives a negative reach margin.

    References
    ----------
    S. Kajita, H. Hirukawa, K. Harada, K. Yokoi, *Introduction to Humanoid Robotics*, Springer,
    2014, chapter 4.

    Examples
    --------
    >>> import numpy as np
    >>> frame = Frame(0.4, 0.4, 0.09, 0.18, 0.24, 0.1, 0.07)
    >>> inertia = np.zeros((7, 10))
    >>> inertia[0, [0, 3]] = 50.0, 10.0
    >>> stride = walk(frame, WalkingGait(0.5, 0.6, 0.25, 0.2, 0.05, 0.18), inertia)
    >>> round(stride.knee_flexion_margin, 4), stride.period
    (0.3333, 1.2)
    """
    feet = walking_feet(frame, gait, phases)
    lean = gait.body_lean + gait.slope
    posture = Posture(gait.speed, gait.slope, lean, gait.knee_flexion_min, gait.gravity)
    return balanced(frame, feet, posture, inertia)


def climb(frame: Frame, gait: StairGait, inertia: Array, phases: int = 100) -> Stride:
    """Walk up or down stairs, the zero-moment point between the feet that carry it.

    Parameters
    ----------
    frame : Frame
        Lengths of the legs and feet [m].
    gait : StairGait
        How it walks [m, s, rad].
    inertia : Array, shape (7, 10)
        Inertial parameters of the reference robot that the walk is balanced
        for [kg, kg m, kg m2].
    phases : int
        Number of evenly spaced phases of the stride; even [1].

    Returns
    -------
    Stride
        Motion of torso and left leg from left touchdown to left touchdown [m, rad, s]; its speed
        is the level one.

    Raises
    ------
    ValueError
        If the number of phases is odd.

    Notes
    -----
    The torso rises or sinks at constant speed, and so does the walking frame. In double support
    the zero-moment point is taken on the line between the two soles. A step too high for the
    legs gives a negative reach margin, a foot that hits an edge a negative step clearance.

    References
    ----------
    S. Kajita, H. Hirukawa, K. Harada, K. Yokoi, *Introduction to Humanoid Robotics*, Springer,
    2014, chapter 4.

    Examples
    --------
    >>> import numpy as np
    >>> frame = Frame(0.4, 0.4, 0.09, 0.18, 0.24, 0.1, 0.07)
    >>> inertia = np.zeros((7, 10))
    >>> inertia[0, [0, 3]] = 50.0, 10.0
    >>> stairs = StairGait(0.17, 0.28, 0.8, 0.25, 0.3, 0.05, 0.16)
    >>> stride = climb(frame, stairs, inertia)
    >>> round(stride.speed, 4), round(stride.knee_flexion_margin, 4), stride.step_clearance > 0.0
    (0.35, 1.0, True)
    """
    feet = stair_feet(frame, gait, phases)
    posture = Posture(gait.mean_speed, 0.0, gait.body_lean, gait.knee_flexion_min, gait.gravity)
    return balanced(frame, feet, posture, inertia)


def side_step(frame: Frame, gait: SideStepGait, inertia: Array, phases: int = 100) -> Stride:
    """Step to the left and back to the right, or turn so on the spot.

    Parameters
    ----------
    frame : Frame
        Lengths of the legs and feet [m].
    gait : SideStepGait
        How it steps [m, rad, s].
    inertia : Array, shape (7, 10)
        Inertial parameters of the reference robot that the steps are balanced
        for [kg, kg m, kg m2].
    phases : int
        Number of evenly spaced phases of the four steps; even [1].

    Returns
    -------
    Stride
        Motion of torso and left leg over two steps to the left and two to the right [m, rad, s];
        its speed is the way to the side over the time, there and back.

    Raises
    ------
    ValueError
        If the number of phases is odd.

    Notes
    -----
    The torso looks half-way between the two feet.

    References
    ----------
    S. Kajita, H. Hirukawa, K. Harada, K. Yokoi, *Introduction to Humanoid Robotics*, Springer,
    2014, chapter 4.

    Examples
    --------
    >>> import numpy as np
    >>> frame = Frame(0.4, 0.4, 0.09, 0.18, 0.24, 0.1, 0.07)
    >>> inertia = np.zeros((7, 10))
    >>> inertia[0, [0, 3]] = 50.0, 10.0
    >>> stride = side_step(frame, SideStepGait(0.1, 0.0, 0.8, 0.25, 0.3, 0.05, 0.18), inertia)
    >>> round(stride.speed, 4), stride.period
    (0.0625, 3.2)
    """
    feet = side_step_feet(frame, gait, phases)
    posture = Posture(gait.mean_speed, 0.0, 0.0, gait.knee_flexion_min, gait.gravity)
    return balanced(frame, feet, posture, inertia)


def stand(frame: Frame, pose: StandingPose, inertia: Array, phases: int = 100) -> Stride:
    """Stand on both feet with the weight over the middle of the soles.

    Parameters
    ----------
    frame : Frame
        Lengths of the legs and feet [m].
    pose : StandingPose
        How it stands [rad, m].
    inertia : Array, shape (7, 10)
        Inertial parameters of the reference robot that the pose is balanced
        for [kg, kg m, kg m2].
    phases : int
        Number of phases, all alike; even [1].

    Returns
    -------
    Stride
        The same pose at every phase [m, rad, s].

    Raises
    ------
    ValueError
        If the number of phases is odd.

    Notes
    -----
    The torso is upright, on a slope too, and is moved along the ground until the whole robot's
    weight passes through the middle of the soles.

    Examples
    --------
    >>> import numpy as np
    >>> frame = Frame(0.4, 0.4, 0.09, 0.18, 0.24, 0.1, 0.07)
    >>> inertia = np.zeros((7, 10))
    >>> inertia[0, [0, 3]] = 50.0, 10.0
    >>> stride = stand(frame, StandingPose(0.4, 0.18), inertia, phases=2)
    >>> stride.joint_angle[3].round(4).tolist(), stride.base_position[:, 0].round(4).tolist()
    ([-0.4, -0.4], [0.05, 0.0, 0.8725])
    """
    feet = standing_feet(frame, pose, phases)
    return _still(frame, feet, pose, inertia)


def stand_on_one_foot(
    frame: Frame, pose: OneFootPose, inertia: Array, phases: int = 100
) -> Stride:
    """Stand on one foot, each foot in turn, the weight over the middle of its sole.

    Parameters
    ----------
    frame : Frame
        Lengths of the legs and feet [m].
    pose : OneFootPose
        How it stands [rad, m].
    inertia : Array, shape (7, 10)
        Inertial parameters of the reference robot that the pose is balanced
        for [kg, kg m, kg m2].
    phases : int
        Number of phases; even [1].

    Returns
    -------
    Stride
        The left leg carries in the first half of the phases and hangs in the second [m, rad, s].

    Raises
    ------
    ValueError
        If the number of phases is odd.

    Notes
    -----
    So one leg's phases hold both tasks, and the two legs together do both at any time. Nothing
    moves: the change of feet is left out.

    Examples
    --------
    >>> import numpy as np
    >>> frame = Frame(0.4, 0.4, 0.09, 0.18, 0.24, 0.1, 0.07)
    >>> inertia = np.zeros((7, 10))
    >>> inertia[0, [0, 3]] = 50.0, 10.0
    >>> stride = stand_on_one_foot(frame, OneFootPose(0.4, 0.18, 0.05), inertia, phases=2)
    >>> stride.base_position[:2].round(4).tolist()
    [[0.05, 0.05], [0.09, -0.09]]
    """
    return _still(frame, one_foot(frame, pose, phases), pose, inertia)


def _still(frame: Frame, feet: Feet, pose: StandingPose | OneFootPose, inertia: Array) -> Stride:
    posture = Posture(0.0, pose.slope, pose.slope, pose.knee_flexion, pose.gravity)
    return balanced(frame, feet, posture, inertia)
