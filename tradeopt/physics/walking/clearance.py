"""How near the two legs come to each other over a stride.

Everything is seen from the torso, where the right leg is the left one mirrored and half a stride
later; so joint angles are all it takes, and a recorded gait will do as well as a made one.
"""

from dataclasses import dataclass

import numpy as np

from tradeopt.arrays import Array, as_array
from tradeopt.physics.walking.frame import JOINTS
from tradeopt.physics.walking.vectors import mirrored


@dataclass(frozen=True)
class LegLine:
    """Points along the middle of the left leg, seen from the mid-point of the hip centres.

    Parameters
    ----------
    hip, knee, ankle, heel, toe : Array, shape (..., 3, phase)
        Places; heel and toe are half-way between ankle axis and sole, where the foot's middle
        is [m].
    """

    hip: Array
    knee: Array
    ankle: Array
    heel: Array
    toe: Array


@dataclass(frozen=True)
class FootShape:
    """What is to be known of a foot to draw its middle line.

    Parameters
    ----------
    ankle_height : Array, shape (...)
        Ankle axis above the sole [m].
    heel : Array, shape (...)
        Ankle axis to heel edge, along the sole [m].
    toe : Array, shape (...)
        Ankle axis to toe edge, along the sole [m].
    width : Array, shape (...)
        Width of the sole [m].
    """

    ankle_height: Array
    heel: Array
    toe: Array
    width: Array


def leg_line(
    joint_angle: Array, hip_spacing: Array, thigh: Array, shank: Array, foot: FootShape
) -> LegLine:
    """Forward kinematics of the middle line of the left leg, for many designs at once.

    Parameters
    ----------
    joint_angle : Array, shape (..., 6, phase)
        Joint angles in the order of `JOINTS` [rad].
    hip_spacing : Array, shape (...)
        Between the hip centres [m].
    thigh : Array, shape (...)
        Hip centre to knee axis [m].
    shank : Array, shape (...)
        Knee axis to ankle axis [m].
    foot : FootShape
        The foot; the ends of its line are drawn in by half its width, so that a round end does not
        stick out [m].

    Returns
    -------
    LegLine
        Places of the leg's points [m].

    Notes
    -----
    Below the hip's roll the leg stays in one plane, in which all pitch angles add up; that plane
    is then turned by roll and yaw. `leg_pose` gives the same for one robot at a time, with
    attitudes.

    Examples
    --------
    >>> foot = FootShape(np.array(0.1), np.array(0.07), np.array(0.17), np.array(0.1))
    >>> sizes = np.array(0.18), np.array(0.4), np.array(0.38)
    >>> line = leg_line(np.zeros((6, 1)), *sizes, foot)
    >>> line.ankle[:, 0].round(4).tolist(), line.toe[:, 0].round(4).tolist()
    ([0.0, 0.09, -0.78], [0.12, 0.09, -0.83])
    """
    yaw, roll, pitch, knee, ankle_pitch, ankle_roll = (
        joint_angle[..., JOINTS.index(name), :] for name in JOINTS
    )
    thigh, shank, height, heel, toe, width = (
        as_array(length)[..., np.newaxis]
        for length in (thigh, shank, foot.ankle_height, foot.heel, foot.toe, foot.width)
    )
    below_knee = pitch - knee
    below_ankle = below_knee + ankle_pitch
    to_knee = _down(pitch, thigh)
    to_ankle = to_knee + _down(below_knee, shank)
    half = height / 2.0
    middle = to_ankle + np.stack(
        (
            -half * np.cos(ankle_roll) * np.sin(below_ankle),
            half * np.sin(ankle_roll),
            -half * np.cos(ankle_roll) * np.cos(below_ankle),
        ),
        axis=-2,
    )
    zero = np.zeros_like(pitch)
    ahead = np.stack((np.cos(below_ankle), zero, -np.sin(below_ankle)), axis=-2)
    front, back = (
        np.maximum(reach - width / 2.0, 0.0)[..., np.newaxis, :] for reach in (toe, heel)
    )
    hip = np.zeros_like(to_knee)
    hip[..., 1, :] = as_array(hip_spacing)[..., np.newaxis] / 2.0
    points = (
        np.zeros_like(to_knee),
        to_knee,
        to_ankle,
        middle - back * ahead,
        middle + front * ahead,
    )
    return LegLine(*(hip + _turned(point, roll, yaw) for point in points))


def _down(angle: Array, length: Array) -> Array:
    """Vector along a limb that is pitched by an angle, in the plane of the leg."""
    return np.stack(
        (-length * np.sin(angle), np.zeros_like(angle), -length * np.cos(angle)), axis=-2
    )


def _turned(vector: Array, roll: Array, yaw: Array) -> Array:
    x, y, z = (vector[..., component, :] for component in range(3))
    aside = y * np.cos(roll) - z * np.sin(roll)
    upward = y * np.sin(roll) + z * np.cos(roll)
    cosine, sine = np.cos(yaw), np.sin(yaw)
    return np.stack((x * cosine - aside * sine, x * sine + aside * cosine, upward), axis=-2)


@dataclass(frozen=True)
class LegGaps:
    """Least distances over a stride between the middle lines of the two legs.

    Parameters
    ----------
    knees, ankles : Array, shape (...)
        From left to right, as if both were side by side; forward distance is not counted, as
        knees pass each other at some time of every stride [m].
    feet : Array, shape (...)
        Foot to foot [m].
    foot_to_shank : Array, shape (...)
        Foot to the other leg's shank [m].
    shanks : Array, shape (...)
        Shank to shank [m].
    """

    knees: Array
    ankles: Array
    feet: Array
    foot_to_shank: Array
    shanks: Array


def leg_gaps(line: LegLine) -> LegGaps:
    """Least distances between the two legs over a stride.

    Parameters
    ----------
    line : LegLine
        The left leg; the right one is its mirror image half a stride later [m].

    Returns
    -------
    LegGaps
        Distances between middle lines [m]; less the radii of what surrounds the lines they are
        those of capsules.

    Notes
    -----
    Left foot to right shank stands for right foot to left shank too, half a stride later.

    Examples
    --------
    >>> foot = FootShape(np.array(0.1), np.array(0.07), np.array(0.17), np.array(0.1))
    >>> sizes = np.array(0.18), np.array(0.4), np.array(0.38)
    >>> gaps = leg_gaps(leg_line(np.zeros((6, 2)), *sizes, foot))
    >>> gaps.knees.round(4), gaps.feet.round(4)
    (np.float64(0.18), np.float64(0.18))
    """
    foot, shank = (line.heel, line.toe), (line.knee, line.ankle)
    return LegGaps(
        knees=_sideways(line.knee),
        ankles=_sideways(line.ankle),
        feet=_least_distance(foot, foot),
        foot_to_shank=_least_distance(foot, shank),
        shanks=_least_distance(shank, shank),
    )


def _sideways(point: Array) -> Array:
    left = point[..., 1, :]
    gap: Array = (left + np.roll(left, left.shape[-1] // 2, axis=-1)).min(axis=-1)
    return gap


def _least_distance(first: tuple[Array, Array], second: tuple[Array, Array]) -> Array:
    """Least distance between a limb of the left leg and the mirror image of another one."""
    least: Array = segment_distance(*first, mirrored(second[0]), mirrored(second[1])).min(axis=-1)
    return least


def segment_distance(start: Array, end: Array, other_start: Array, other_end: Array) -> Array:
    """Distance between two straight segments.

    Parameters
    ----------
    start, end : Array, shape (..., 3, phase)
        Ends of the one [m].
    other_start, other_end : Array, shape (..., 3, phase)
        Ends of the other [m].

    Returns
    -------
    Array, shape (..., phase)
        Least distance between any two of their points [m].

    Notes
    -----
    The nearest points of the two lines, moved back to the ends where they lie beyond; exact, also
    for parallel segments and for those of no length. Less the two radii it is the distance of two
    capsules.

    References
    ----------
    Ericson, "Real-Time Collision Detection", chapter 5, closest points of two segments (from
    memory).

    Examples
    --------
    >>> a, b = np.array([[0.0], [0.0], [0.0]]), np.array([[1.0], [0.0], [0.0]])
    >>> c, d = np.array([[0.5], [-1.0], [0.3]]), np.array([[0.5], [1.0], [0.3]])
    >>> segment_distance(a, b, c, d).round(4).tolist()
    [0.3]
    """
    along, other, between = end - start, other_end - other_start, start - other_start
    length, other_length = _dot(along, along), _dot(other, other)
    skewness, ahead, aside = _dot(along, other), _dot(along, between), _dot(other, between)
    slant = length * other_length - skewness**2
    place = np.clip(_share(skewness * aside - ahead * other_length, slant), 0.0, 1.0)
    other_place = np.clip(_share(skewness * place + aside, other_length), 0.0, 1.0)
    place = np.clip(_share(skewness * other_place - ahead, length), 0.0, 1.0)
    gap = between + place[..., np.newaxis, :] * along - other_place[..., np.newaxis, :] * other
    distance: Array = np.sqrt(_dot(gap, gap))
    return distance


def _dot(first: Array, second: Array) -> Array:
    product: Array = np.einsum("...in,...in->...n", first, second)
    return product


def _share(part: Array, whole: Array) -> Array:
    """Return part over whole, and 0 where the whole is nothing."""
    nothing = np.zeros_like(part)
    share: Array = np.divide(part, whole, out=nothing, where=whole > 0.0)
    return share
