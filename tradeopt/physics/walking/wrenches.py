"""Wrenches that move the bodies of a walking robot, about the origin of the walking frame."""

from typing import Final

import numpy as np

from tradeopt.arrays import Array
from tradeopt.physics.walking.frame import BODIES
from tradeopt.physics.walking.motion import BodyMotion
from tradeopt.physics.walking.vectors import cross

PARAMETERS: Final = 10
"""Inertial parameters of a body: mass, three first moments, six second moments."""

_SECOND_MOMENTS: Final = ((0, 0), (0, 1), (1, 1), (0, 2), (1, 2), (2, 2))
_TENSOR: Final = np.array([[4, 5, 7], [5, 6, 8], [7, 8, 9]])
"""Place of each second moment among the inertial parameters."""


def body_wrenches(motion: BodyMotion) -> Array:
    """Wrench that moves each body, for one unit of each of its inertial parameters.

    Parameters
    ----------
    motion : BodyMotion
        Motion of the torso and of the left leg [m, rad, s].

    Returns
    -------
    Array, shape (7, 10, 6, phase)
        Force and moment about the origin of the walking frame [N, N m per unit of the parameter].

    Notes
    -----
    With body axes r_i in the walking frame, and a the acceleration of the body's origin less
    free fall: a first moment along r_i gives force ``alpha x r_i + w x (w x r_i)`` and moment
    ``r_i x a``; a second moment ij gives ``r_i alpha_j + r_j alpha_i + (w x r_i) w_j +
    (w x r_j) w_i`` (half of it for i = j). Forces add ``p x f`` to the moment.

    References
    ----------
    C. G. Atkeson, C. H. An, J. M. Hollerbach, "Estimation of inertial parameters of manipulator
    loads and links", Int. J. Robotics Research 5(3):101-119, 1986.

    Examples
    --------
    >>> import numpy as np
    >>> from tradeopt.physics.walking.frame import Frame
    >>> from tradeopt.physics.walking.leg import leg_pose
    >>> frame = Frame(0.4, 0.4, 0.09, 0.18, 0.24, 0.1, 0.07)
    >>> hips, upright = np.zeros((3, 1)), np.eye(3)[:, :, np.newaxis]
    >>> pose = leg_pose(frame, hips, upright, np.zeros((6, 1)))
    >>> still, lifted = np.zeros((7, 3, 1)), np.zeros((7, 3, 1))
    >>> lifted[:, 2] = 9.81
    >>> body_wrenches(BodyMotion(pose, still, still, lifted))[0, 1, :, 0].tolist()
    [0.0, 0.0, 0.0, 0.0, -9.81, 0.0]
    """
    position, axes = motion.pose.position, motion.pose.rotation.swapaxes(1, 2)
    speed = motion.angular_speed[:, np.newaxis]
    turning = motion.angular_acceleration[:, np.newaxis]
    acceleration = motion.acceleration
    spin = cross(speed, axes)
    swirl = cross(turning, axes) + cross(speed, spin)
    wrenches = np.zeros((len(BODIES), PARAMETERS, 6, position.shape[-1]))
    wrenches[:, 0, :3] = acceleration
    wrenches[:, 0, 3:] = cross(position, acceleration)
    wrenches[:, 1:4, :3] = swirl
    arm = cross(axes, acceleration[:, np.newaxis])
    wrenches[:, 1:4, 3:] = arm + cross(position[:, np.newaxis], swirl)
    turning_along = (axes * turning).sum(axis=2)[:, :, np.newaxis]
    speed_along = (axes * speed).sum(axis=2)[:, :, np.newaxis]
    for column, (one, two) in enumerate(_SECOND_MOMENTS, start=4):
        moment = axes[:, one] * turning_along[:, two] + spin[:, one] * speed_along[:, two]
        if one != two:
            moment += axes[:, two] * turning_along[:, one] + spin[:, two] * speed_along[:, one]
        wrenches[:, column, 3:] = moment
    return wrenches


def body_forces(motion: BodyMotion, inertia: Array) -> Array:
    """Wrench that moves each body, for one set of inertial parameters.

    Parameters
    ----------
    motion : BodyMotion
        Motion of the torso and of the left leg [m, rad, s].
    inertia : Array, shape (7, 10)
        Inertial parameters of the bodies [kg, kg m, kg m2].

    Returns
    -------
    Array, shape (7, 6, phase)
        Force and moment about the origin of the walking frame [N, N m].

    Notes
    -----
    With h the first moment and J the second moments in the walking frame, and a the acceleration
    of the body's origin less free fall: ``f = m a + alpha x h + w x (w x h)`` and
    ``n = h x a + J alpha + w x J w + p x f``. The same as the product of `body_wrenches` with the
    parameters, at a fraction of the work.

    Examples
    --------
    >>> import numpy as np
    >>> from tradeopt.physics.walking.frame import Frame
    >>> from tradeopt.physics.walking.leg import leg_pose
    >>> frame = Frame(0.4, 0.4, 0.09, 0.18, 0.24, 0.1, 0.07)
    >>> hips, upright = np.zeros((3, 1)), np.eye(3)[:, :, np.newaxis]
    >>> pose = leg_pose(frame, hips, upright, np.zeros((6, 1)))
    >>> still, lifted = np.zeros((7, 3, 1)), np.zeros((7, 3, 1))
    >>> lifted[:, 2] = 9.81
    >>> inertia = np.zeros((7, 10))
    >>> inertia[0, [0, 1]] = 2.0, 0.5  # 2 kg, 0.25 m ahead of the hips
    >>> body_forces(BodyMotion(pose, still, still, lifted), inertia)[0, :, 0].round(4).tolist()
    [0.0, 0.0, 19.62, 0.0, -4.905, 0.0]
    """
    rotation, speed = motion.pose.rotation, motion.angular_speed
    turning, acceleration = motion.angular_acceleration, motion.acceleration
    tensor = inertia[:, _TENSOR]
    moment = (rotation * inertia[:, np.newaxis, 1:4, np.newaxis]).sum(axis=2)
    mass = inertia[:, 0, np.newaxis, np.newaxis]
    force = mass * acceleration + cross(turning, moment) + cross(speed, cross(speed, moment))
    both = np.stack((turning, speed))
    in_body = (rotation * both[:, :, :, np.newaxis]).sum(axis=2)
    turned = np.einsum("bij,abjn->abin", tensor, in_body)
    inert, swung = (rotation * turned[:, :, np.newaxis]).sum(axis=3)
    torque = cross(moment, acceleration) + inert + cross(speed, swung)
    return np.concatenate((force, torque + cross(motion.pose.position, force)), axis=1)


def whole_wrenches(left: Array) -> Array:
    """Add to the wrenches of the left leg those of the right leg; the torso counts once.

    Parameters
    ----------
    left : Array, shape (7, ..., 6, phase)
        Wrenches that move the torso and the bodies of the left leg, about the origin of the
        walking frame [N, N m].

    Returns
    -------
    Array, shape (7, ..., 6, phase)
        Wrenches that move both bodies of each kind together [N, N m].

    Notes
    -----
    The right leg is the left one mirrored and half a stride later, bodies included: its first
    moment along y and its second moments xy and yz have the other sign.

    Examples
    --------
    >>> import numpy as np
    >>> whole_wrenches(np.ones((7, 6, 2)))[:2, :, 0].tolist()
    [[1.0, 1.0, 1.0, 1.0, 1.0, 1.0], [2.0, 0.0, 2.0, 0.0, 2.0, 0.0]]
    """
    total, half = left.copy(), left.shape[-1] // 2
    first, second = slice(half), slice(half, None)
    for row, sign in enumerate((1.0, -1.0, 1.0, -1.0, 1.0, -1.0)):
        for now, then in ((first, second), (second, first)):
            total[1:, ..., row, now] += sign * left[1:, ..., row, then]
    return total
