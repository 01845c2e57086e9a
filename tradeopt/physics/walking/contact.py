"""How two feet share the load, and how well the ground can carry it."""

from typing import Final

import numpy as np

from tradeopt.arrays import Array, as_array
from tradeopt.physics.walking.frame import Frame
from tradeopt.physics.walking.stride import Stride
from tradeopt.physics.walking.vectors import mirrored, skew

LOADED_SHARE: Final = 0.1
"""Normal force on a foot, over the weight, from which its friction and its centre of pressure
count [1]; below it both are quotients of small numbers."""


BALANCE_TOLERANCE: Final = 5e-3
"""Error of the centre of pressure that says nothing of a robot's balance [m]; a choice."""


def left_foot_share(frame: Frame, stride: Stride, total: Array) -> Array:
    """Part of the ground's wrenches that the left foot carries.

    Parameters
    ----------
    frame : Frame
        Lengths of the feet [m].
    stride : Stride
        Load shares [1] and centres of pressure [m].
    total : Array, shape (..., 6, phase)
        Wrenches of the ground on both feet together, about the origin of the walking
        frame [N, N m].

    Returns
    -------
    Array, shape (..., 6, phase)
        Wrenches on the left foot, about the same point [N, N m].

    Notes
    -----
    Of all splits the one of least ``sum |D^-1/2 w_i|^2 / share_i``, with w_i at the centre of
    pressure of foot i and moments weighed by the radii of gyration of the sole (D = diag(1, 1, 1,
    k_x^2, k_y^2, k_z^2)): ``w_i = share_i X_i D X_i' (sum_j share_j X_j D X_j')^-1 W``. Exact
    while one foot carries all; linear in the wrench; as smooth as the shares. Where the wrench
    fits the two centres of pressure, the feet carry forces in proportion to the shares and no
    tilting moments.

    Examples
    --------
    >>> import numpy as np
    >>> from tradeopt.physics.walking.gait import StandingPose
    >>> from tradeopt.physics.walking.pattern import stand
    >>> frame = Frame(0.4, 0.4, 0.09, 0.18, 0.24, 0.1, 0.07)
    >>> inertia = np.zeros((7, 10))
    >>> inertia[0, 0] = 50.0
    >>> stride = stand(frame, StandingPose(0.4, 0.18), inertia, phases=2)
    >>> lift = np.zeros((6, 2))
    >>> lift[2], lift[4] = 490.0, -490.0 * 0.05
    >>> left_foot_share(frame, stride, lift)[[2, 3, 4], 0].round(4).tolist()
    [245.0, 22.05, -12.25]
    """
    left, right = stride.load_share, np.roll(stride.load_share, stride.phases // 2)
    carried = np.where(right > 0, 0.0, total)
    carried[..., left <= 0] = 0.0
    both = np.flatnonzero((left > 0) & (right > 0))
    if both.size:
        near = (
            _compliance(frame, stride.pressure_point[:, both]) * left[both, np.newaxis, np.newaxis]
        )
        far = _compliance(frame, mirrored(stride.pressure_point)[:, both])
        summed = near + far * right[both, np.newaxis, np.newaxis]
        # near @ inverse(summed), both symmetric
        split = np.linalg.solve(summed, near)
        carried[..., both] = np.einsum("nji,...jn->...in", split, total[..., both])
    return carried


def _compliance(frame: Frame, point: Array) -> Array:
    """Matrix X D X' of a foot that is held at a point, shape (phase, 6, 6)."""
    radius = _sole_radii(frame)
    arm = skew(point.T)
    matrix = np.zeros((len(arm), 6, 6))
    matrix[:, :3, :3] = np.eye(3)
    matrix[:, 3:, :3] = arm
    matrix[:, :3, 3:] = -arm
    matrix[:, 3:, 3:] = np.diag(radius**2) - arm @ arm
    return matrix


def _sole_radii(frame: Frame) -> Array:
    """Radii of gyration of a rectangular sole about x, y and z [m]."""
    width, length = frame.foot_width, frame.foot_length
    return np.array([width, length, float(np.hypot(width, length))]) / float(np.sqrt(12.0))


def zero_moment_point(wrench: Array, *, least_force: float, height: Array | float = 0.0) -> Array:
    """Point of a level plane about which the ground's wrench has no tilting moment.

    Parameters
    ----------
    wrench : Array, shape (..., 6, phase)
        Force and moment of the ground about a point [N, N m].
    least_force : float
        Normal force that smaller ones are taken for, so that a robot about to leave the ground
        gives a far but finite point [N].
    height : Array, shape (phase,), or float
        Height of the plane above that point [m].

    Returns
    -------
    Array, shape (..., 2, phase)
        Forward and sideways distance from that point [m].

    Notes
    -----
    ``x = (h f_x - n_y) / f_z``, ``y = (h f_y + n_x) / f_z``. Where the force is below the least
    one the result is no place of pressure any more.

    References
    ----------
    M. Vukobratovic, B. Borovac, "Zero-moment point: thirty five years of its life",
    Int. J. Humanoid Robotics 1(1):157-173, 2004.

    Examples
    --------
    >>> import numpy as np
    >>> wrench = np.array([[0.0], [0.0], [500.0], [10.0], [-25.0], [0.0]])
    >>> zero_moment_point(wrench, least_force=1.0)[:, 0].tolist()
    [0.05, 0.02]
    """
    normal = np.maximum(wrench[..., 2:3, :], least_force)
    moment = np.concatenate((-wrench[..., 4:5, :], wrench[..., 3:4, :]), axis=-2)
    return (moment + height * wrench[..., :2, :]) / normal


def sole_room(foot_wrench: Array, *, room: Array, foot_width: Array, least_force: Array) -> Array:
    """Least distance of a foot's centre of pressure from the rim of what carries it.

    Parameters
    ----------
    foot_wrench : Array, shape (..., 6, phase)
        Wrench on the foot about its reference centre of pressure, in axes of the sole [N, N m].
    room : Array, shape (..., 2, phase)
        From that point to the front and to the rear end of what touches the ground [m].
    foot_width : Array, shape (...)
        Inner edge to outer edge of the sole [m].
    least_force : Array, shape (...)
        Phases with less normal force than this do not count [N].

    Returns
    -------
    Array, shape (...)
        Distance over the stride, negative where the pressure would leave the sole [m].

    Notes
    -----
    Rectangular sole on its centre line. While the foot rolls over an edge there is no room along
    it, so a rolling gait has none at best. Some phase has to count, or the result is infinite;
    whether the foot is pressed on at all is for `least_load` to say.

    References
    ----------
    M. Vukobratovic, B. Borovac, "Zero-moment point: thirty five years of its life",
    Int. J. Humanoid Robotics 1(1):157-173, 2004.

    Examples
    --------
    >>> import numpy as np
    >>> wrench = np.array([[0.0], [0.0], [500.0], [5.0], [0.0], [0.0]])
    >>> room = np.array([[0.12], [0.12]])
    >>> limit = {"foot_width": np.array(0.1), "least_force": np.array(50.0)}
    >>> sole_room(wrench, room=room, **limit).round(4)
    np.float64(0.04)
    """
    normal = foot_wrench[..., 2, :]
    pressed = np.maximum(normal, as_array(least_force)[..., np.newaxis])
    along = -foot_wrench[..., 4, :] / pressed
    aside = np.abs(foot_wrench[..., 3, :]) / pressed
    ends = np.minimum(room[..., 0, :] - along, room[..., 1, :] + along)
    left = np.minimum(ends, as_array(foot_width)[..., np.newaxis] / 2 - aside)
    return as_array(np.where(normal >= pressed, left, np.inf).min(axis=-1))


def balance_margin(room: Array, foot_width: Array) -> Array:
    """Room that the centre of pressure has on the sole, as a share of what it could have.

    Parameters
    ----------
    room : Array, shape (...)
        From the centre of pressure to the rim of the sole [m].
    foot_width : Array, shape (...)
        Inner edge to outer edge of the sole [m].

    Returns
    -------
    Array, shape (...)
        1 and a little more in the middle of the sole; negative where the robot would tip over [1].

    Notes
    -----
    5 mm are added to the room, so that a foot that rolls, and has none, is not taken for one that
    tips.

    Examples
    --------
    >>> import numpy as np
    >>> balance_margin(np.array([0.05, -0.02]), np.array(0.1)).round(4).tolist()
    [1.1, -0.3]
    """
    return as_array((room + BALANCE_TOLERANCE) / (foot_width / 2))


def least_load(normal_force: Array, *, weight: Array) -> Array:
    """Least normal force of the ground over the weight, over the stride.

    Parameters
    ----------
    normal_force : Array, shape (..., phase)
        Force of the ground on the whole robot, normal to it [N].
    weight : Array, shape (...)
        Mass times acceleration of free fall normal to the ground [N].

    Returns
    -------
    Array, shape (...)
        1 at rest, less when the robot bounces; negative where the ground would have to pull [1].

    Notes
    -----
    A walk keeps at least one foot on the ground, so that anything below 0 cannot be walked.

    Examples
    --------
    >>> import numpy as np
    >>> least_load(np.array([400.0, 600.0]), weight=np.array(500.0))
    array(0.8)
    """
    return as_array(normal_force.min(axis=-1) / weight)


def friction_use(foot_wrench: Array, *, least_force: Array) -> Array:
    """Greatest coefficient of friction that a foot asks of the ground.

    Parameters
    ----------
    foot_wrench : Array, shape (..., 6, phase)
        Wrench on the foot about any point [N, N m].
    least_force : Array, shape (...)
        Phases with less normal force than this do not count [N].

    Returns
    -------
    Array, shape (...)
        Tangential over normal force, the greatest over the stride [1].

    Notes
    -----
    Coulomb's cone; the friction that a twist of the foot takes up is left out.

    Examples
    --------
    >>> import numpy as np
    >>> wrench = np.array([[30.0], [40.0], [500.0], [0.0], [0.0], [0.0]])
    >>> friction_use(wrench, least_force=np.array(50.0)).round(4)
    np.float64(0.1)
    """
    normal = foot_wrench[..., 2, :]
    pressed = np.maximum(normal, as_array(least_force)[..., np.newaxis])
    squares = foot_wrench[..., 0, :] ** 2 + foot_wrench[..., 1, :] ** 2
    used = np.where(normal >= pressed, squares / pressed**2, 0.0)
    greatest: Array = np.sqrt(used.max(axis=-1))
    return greatest
