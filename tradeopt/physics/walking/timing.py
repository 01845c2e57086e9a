"""When a foot stands and when it swings, and the smooth curves that its path is made of."""

from dataclasses import dataclass
from typing import Final, TypeAlias

import numpy as np

from tradeopt.arrays import Array, Codes

DOUBLE_SUPPORT_RANGE: Final = (0.02, 0.9)
"""Shares of double support that the paths can be drawn for [1]; others are moved to the nearer."""

State: TypeAlias = tuple[float, float, float]
"""Position, speed and acceleration."""

REST: Final[State] = (0.0, 0.0, 0.0)
"""At the origin, without speed or acceleration."""


@dataclass(frozen=True)
class Timing:
    """Times since the left foot's touchdown, and which of the four spells each one falls in.

    Parameters
    ----------
    time : Array, shape (phase,)
        Time since touchdown [s].
    step : float
        From one touchdown to the next of the other foot [s].
    both : float
        Time with both feet on the ground after each touchdown [s].
    spell : Codes, shape (phase,)
        0 landing, 1 alone on the ground, 2 leaving, 3 swinging [1].
    """

    time: Array
    step: float
    both: float
    spell: Codes

    @classmethod
    def of(cls, step_time: float, double_support: float, phases: int) -> "Timing":
        """Cut a stride of two steps [s] into evenly spaced phases."""
        low, high = DOUBLE_SUPPORT_RANGE
        both = step_time * min(max(double_support, low), high)
        time = np.linspace(0.0, 2 * step_time, phases, endpoint=False)
        # a phase on a border belongs to the later spell, however its time was rounded
        borders = np.array([both, step_time, step_time + both]) - 1e-9 * step_time
        spell = np.searchsorted(borders, time, side="right")
        return cls(time, step_time, both, spell)

    def pick(self, landing: Array, flat: Array, rolling: Array, swing: Array) -> Array:
        """Value of the spell that each phase falls in."""
        return np.choose(self.spell, (landing, flat, rolling, swing))

    @property
    def shares(self) -> tuple[Array, Array, Array, Array]:
        """How far each spell is done, from 0 to 1, at every phase."""
        single = self.step - self.both
        starts = (0.0, self.both, self.step, self.step + self.both)
        lengths = (self.both, single, self.both, single)
        landing, flat, rolling, swing = (
            np.clip((self.time - start) / length, 0.0, 1.0)
            for start, length in zip(starts, lengths, strict=True)
        )
        return landing, flat, rolling, swing

    @property
    def load_share(self) -> Array:
        """Part of the load on the left foot: handed over smoothly while both feet stand."""
        landing, flat, rolling, swing = self.shares
        return self.pick(
            smooth_step(landing),
            np.ones_like(flat),
            1 - smooth_step(rolling),
            np.zeros_like(swing),
        )


def quintic(start: State, end: State, duration: float, share: Array) -> Array:
    """Polynomial of fifth degree between two states.

    Parameters
    ----------
    start, end : State
        Position, speed and acceleration [m, m/s, m/s2] or [rad, rad/s, rad/s2].
    duration : float
        Time from the one to the other [s].
    share : Array, shape (phase,)
        Elapsed part of that time, from 0 to 1 [1].

    Returns
    -------
    Array, shape (phase,)
        Position [m] or [rad].

    Notes
    -----
    The one polynomial of that degree that meets six conditions. It may overshoot between states
    of high speed.

    Examples
    --------
    >>> import numpy as np
    >>> quintic(REST, (1.0, 0.0, 0.0), 1.0, np.array([0.0, 0.25, 0.5, 1.0])).round(4).tolist()
    [0.0, 0.1035, 0.5, 1.0]
    """
    position, speed, acceleration = start[0], start[1] * duration, start[2] * duration**2
    gap = end[0] - position - speed - acceleration / 2
    speed_gap = end[1] * duration - speed - acceleration
    acceleration_gap = end[2] * duration**2 - acceleration
    cubic = 10 * gap - 4 * speed_gap + acceleration_gap / 2
    quartic = -15 * gap + 7 * speed_gap - acceleration_gap
    fifth = 6 * gap - 3 * speed_gap + acceleration_gap / 2
    bend = cubic + share * (quartic + share * fifth)
    return np.asarray(position + share * (speed + share * (acceleration / 2 + share * bend)))


def smooth_step(share: Array) -> Array:
    """Rise from 0 to 1 that starts and ends at rest.

    Parameters
    ----------
    share : Array, shape (phase,)
        Elapsed part of the time; below 0 and above 1 the rise has not begun or is over [1].

    Returns
    -------
    Array, shape (phase,)
        From 0 to 1 [1].

    Notes
    -----
    ``10 s^3 - 15 s^4 + 6 s^5``: speed and acceleration vanish at both ends.

    Examples
    --------
    >>> import numpy as np
    >>> smooth_step(np.array([-0.5, 0.25, 0.5, 2.0])).round(4).tolist()
    [0.0, 0.1035, 0.5, 1.0]
    """
    return quintic(REST, (1.0, 0.0, 0.0), 1.0, np.clip(share, 0.0, 1.0))


def lift(share: Array) -> Array:
    """Rise from 0 to 1 half-way, and back.

    Parameters
    ----------
    share : Array, shape (phase,)
        Elapsed part of the time, from 0 to 1 [1].

    Returns
    -------
    Array, shape (phase,)
        From 0 to 1 and back to 0 [1].

    Notes
    -----
    ``64 (s (1 - s))^3``: speed and acceleration vanish at both ends.

    Examples
    --------
    >>> import numpy as np
    >>> lift(np.array([0.0, 0.25, 0.5, 1.0])).round(4).tolist()
    [0.0, 0.4219, 1.0, 0.0]
    """
    return np.asarray(64 * (share * (1 - share)) ** 3)
