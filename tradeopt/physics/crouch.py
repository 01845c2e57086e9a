"""Standing up from a crouch: what a bent leg has to carry, by its triangle."""

from typing import NamedTuple

import numpy as np

from tradeopt.arrays import Array


class Crouch(NamedTuple):
    """A leg of thigh and shank, hip above ankle, knee bent.

    Attributes
    ----------
    knee_lever : Array, shape (...)
        From the line of the weight to the knee [m].
    hip_bend : Array, shape (...)
        Between thigh and that line [rad].
    hip_share : Array, shape (...)
        Turn of the hip per turn of the knee [1].
    """

    knee_lever: Array
    hip_bend: Array
    hip_share: Array


def crouch(thigh: Array, shank: Array, knee_flexion: Array) -> Crouch:
    """Find the levers of a crouch whose weight passes through hip and ankle.

    Parameters
    ----------
    thigh : Array, shape (...)
        Hip axis to knee axis [m].
    shank : Array, shape (...)
        Knee axis to ankle axis [m].
    knee_flexion : Array, shape (...)
        Bend of the knee from straight, below half a turn [rad].

    Returns
    -------
    Crouch
        Knee lever [m], bend of the hip [rad] and its share of the turn [1]. The ankle takes the
        rest of the bend.

    Notes
    -----
    With c^2 = a^2 + b^2 + 2 a b cos(phi) the lever is a b sin(phi)/c, the bend of the hip
    atan2(b sin(phi), a + b cos(phi)) and its slope (b^2 + a b cos(phi))/c^2. The masses of the leg
    itself and its swing upwards are left out; a load factor on the weight stands for both.

    References
    ----------
    Law of cosines.

    Examples
    --------
    >>> found = crouch(np.array(0.4), np.array(0.4), np.deg2rad(120.0))
    >>> found.knee_lever.round(4), np.rad2deg(found.hip_bend).round(4), found.hip_share.round(4)
    (np.float64(0.3464), np.float64(60.0), np.float64(0.5))
    """
    along, across = shank * np.cos(knee_flexion), shank * np.sin(knee_flexion)
    squared = np.square(thigh + along) + np.square(across)
    return Crouch(
        knee_lever=thigh * across / np.sqrt(squared),
        hip_bend=np.arctan2(across, thigh + along),
        hip_share=(np.square(shank) + thigh * along) / squared,
    )
