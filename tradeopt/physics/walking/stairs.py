"""Paths of the feet on stairs."""

from typing import Final

import numpy as np

from tradeopt.arrays import Array
from tradeopt.physics.walking.feet import Feet, pressure_path
from tradeopt.physics.walking.frame import Frame
from tradeopt.physics.walking.gait import StairGait
from tradeopt.physics.walking.timing import Timing, lift, smooth_step

RISE_SHARE: Final = 0.65
"""Part of the swing in which the foot gains or loses its height [1]; a choice of shape."""

WAIT_SHARE: Final = 0.2
"""Part of the swing that the foot goes straight up or down beside an edge [1]; a choice of
shape."""

INNER_SWING: Final = (0.1, 0.9)
"""Part of the swing in which the sole has to be clear of the stairs [1]; before and after, it
leaves and meets them."""


def stair_feet(frame: Frame, gait: StairGait, phases: int) -> Feet:
    """Feet of a robot that walks up or down stairs.

    Parameters
    ----------
    frame : Frame
        Lengths of the legs and feet [m].
    gait : StairGait
        How it walks [m, s, rad].
    phases : int
        Number of evenly spaced phases of the stride; even [1].

    Returns
    -------
    Feet
        Path, load and centre of pressure of the left foot from its touchdown [m, 1]. The walking
        frame rises or sinks with the robot: its origin is where the left ankle stands at
        touchdown, at the height of the sole.

    Notes
    -----
    The soles stay flat, in the middle of the treads, one step a foot. The swing goes over two
    risers: upward the foot rises first and then goes ahead, downward the other way round, so that
    it passes outside the edges; a sole longer than the tread cannot.

    Examples
    --------
    >>> frame = Frame(0.4, 0.4, 0.09, 0.18, 0.24, 0.1, 0.07)
    >>> gait = StairGait(0.17, 0.28, 0.8, 0.25, 0.3, 0.05, 0.16)
    >>> feet = stair_feet(frame, gait, 8)
    >>> feet.pressure_point[2, 1:4].round(4).tolist()
    [-0.0425, -0.085, -0.1275]
    """
    timing = Timing.of(gait.step_time, gait.double_support, phases)
    steps_gone = timing.time / gait.step_time
    ahead, raised = _swing(gait, timing)
    along, room = pressure_path(frame, timing, rolls=False)
    sunk, gone = gait.riser * steps_gone, gait.tread * steps_gone
    side = np.full(phases, gait.step_width / 2)
    still = np.zeros(phases)
    return Feet(
        period=2 * gait.step_time,
        ankle_position=np.stack((ahead - gone, side, frame.ankle_height + raised - sunk)),
        pitch=still,
        load_share=timing.load_share,
        pressure_point=np.stack((along - gone, side, -sunk)),
        sole_room=room,
        yaw=still,
        step_clearance=_clearance(frame, gait, timing, ahead, raised),
    )


def _swing(gait: StairGait, timing: Timing) -> tuple[Array, Array]:
    """Forward and upward way of the foot from the step it stands on [m]."""
    swing = timing.shares[3]
    first, last = (
        smooth_step(swing / RISE_SHARE),
        smooth_step((swing - WAIT_SHARE) / (1 - WAIT_SHARE)),
    )
    if gait.riser < 0:
        backward = 1 - swing
        first = 1 - smooth_step(backward / RISE_SHARE)
        last = 1 - smooth_step((backward - WAIT_SHARE) / (1 - WAIT_SHARE))
    raised = 2 * gait.riser * first + gait.foot_clearance * lift(swing)
    return 2 * gait.tread * last, raised


def _clearance(
    frame: Frame, gait: StairGait, timing: Timing, ahead: Array, raised: Array
) -> float:
    """Least height of the swinging sole over the highest step below it [m]."""
    low, high = INNER_SWING
    inner = (timing.shares[3] > low) & (timing.shares[3] < high)
    # from the edge of the own step to the end of the sole that is over the higher step
    spare = (gait.tread - frame.foot_length) / 2
    leading = frame.foot_length + spare if gait.riser > 0 else spare
    below = gait.riser * np.floor((ahead + leading) / gait.tread)
    return float((raised - below)[inner].min(initial=np.inf))
