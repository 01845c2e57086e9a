"""Paths of the feet of a robot that steps sideways or turns on the spot."""

import math

import numpy as np

from tradeopt.physics.walking.feet import Feet
from tradeopt.physics.walking.frame import Frame
from tradeopt.physics.walking.gait import SideStepGait
from tradeopt.physics.walking.timing import DOUBLE_SUPPORT_RANGE, lift, smooth_step


def side_step_feet(frame: Frame, gait: SideStepGait, phases: int) -> Feet:
    """Feet of a robot that steps to the left and back to the right, or turns so.

    Parameters
    ----------
    frame : Frame
        Lengths of the legs and feet [m].
    gait : SideStepGait
        How it steps [m, rad, s].
    phases : int
        Number of evenly spaced phases of the four steps; even [1].

    Returns
    -------
    Feet
        Path, yaw, load and centre of pressure of the left foot [m, rad, 1]: it swings out, carries
        alone for two steps, and swings back.

    Notes
    -----
    A step to one side is no mirror image of itself, but steps to the left and back are: the right
    foot does half a stride later what the left one did. So all loads are those of both
    directions. The frame stands still, half-way; soles are flat and pressed at their middle.

    Examples
    --------
    >>> frame = Frame(0.4, 0.4, 0.09, 0.18, 0.24, 0.1, 0.07)
    >>> gait = SideStepGait(0.1, 0.0, 0.8, 0.25, 0.3, 0.05, 0.18)
    >>> side_step_feet(frame, gait, 8).ankle_position[1].round(4).tolist()
    [0.04, 0.061, 0.14, 0.14, 0.14, 0.14, 0.14, 0.119]
    """
    low, high = DOUBLE_SUPPORT_RANGE
    both = min(max(gait.double_support, low), high)
    steps = 4 * np.arange(phases) / phases
    out, back = (np.clip((steps - start - both) / (1 - both), 0.0, 1.0) for start in (0, 3))
    place = smooth_step(out) - smooth_step(back) - 0.5
    yaw = gait.turn * place
    middle = frame.toe - frame.foot_length / 2
    side = gait.step_width / 2
    # on a turn the ankles go round the middle between them
    forward = -side * np.sin(yaw)
    aside = side * np.cos(yaw) + gait.side_step * place
    raised = gait.foot_clearance * (lift(out) + lift(back))
    ankle = np.stack((forward, aside, frame.ankle_height + raised))
    pressed = np.stack(
        (forward + middle * np.cos(yaw), aside + middle * np.sin(yaw), np.zeros(phases))
    )
    return Feet(
        period=4 * gait.step_time,
        ankle_position=ankle,
        pitch=np.zeros(phases),
        load_share=smooth_step((steps - 1) / both) - smooth_step((steps - 3) / both),
        pressure_point=pressed,
        sole_room=np.full((2, phases), frame.foot_length / 2),
        yaw=yaw,
        step_clearance=math.inf,
    )
