"""Joint torques and ground wrenches of a stride, linear in the masses."""

from dataclasses import dataclass

import numpy as np

from tradeopt.arrays import Array
from tradeopt.physics.walking.contact import left_foot_share
from tradeopt.physics.walking.frame import BODIES, JOINTS, Frame
from tradeopt.physics.walking.leg import LegPose
from tradeopt.physics.walking.motion import BodyMotion, body_motion
from tradeopt.physics.walking.stride import Stride
from tradeopt.physics.walking.vectors import cross, mirrored

PARAMETERS = 10
"""Inertial parameters of a body: mass, three first moments, six second moments."""

_SECOND_MOMENTS = ((0, 0), (0, 1), (1, 1), (0, 2), (1, 2), (2, 2))


@dataclass(frozen=True)
class LoadMatrices:
    """Loads of a stride for one unit of each inertial parameter of the leg's bodies.

    The first axis runs over body and parameter, ten parameters a body. Parameters of a leg's
    body stand for the bodies of both legs.

    Parameters
    ----------
    torque : Array, shape (70, 6, phase)
        Torque of the joints of the left leg [N m per unit of the parameter].
    ground_wrench : Array, shape (70, 6, phase)
        Wrench of the ground on the whole robot, about the origin of the walking
        frame [N, N m per unit of the parameter].
    foot_wrench : Array, shape (70, 6, phase)
        Wrench of the ground on the left foot, about its reference centre of
        pressure [N, N m per unit of the parameter].
    """

    torque: Array
    ground_wrench: Array
    foot_wrench: Array


def load_matrices(frame: Frame, stride: Stride) -> LoadMatrices:
    """Inverse dynamics of a stride as matrices that multiply the inertial parameters.

    Parameters
    ----------
    frame : Frame
        Lengths of the legs and feet [m].
    stride : Stride
        Motion and support of one stride [m, rad, s].

    Returns
    -------
    LoadMatrices
        Torques [N m], ground wrench and foot wrench [N, N m] per unit of each parameter.

    Notes
    -----
    Newton-Euler in the axes of the walking frame, about its origin. Joint torque is
    ``e . n + (p x e) . f``, with (f, n) the wrench of all bodies below the joint less that of the
    ground on the foot. Rigid bodies, no impacts. The torso has to be symmetric (no first moment
    along y) for the right leg to be the mirror image of the left one.

    References
    ----------
    C. G. Atkeson, C. H. An, J. M. Hollerbach, "Estimation of inertial parameters of manipulator
    loads and links", Int. J. Robotics Research 5(3):101-119, 1986.

    Examples
    --------
    >>> import numpy as np
    >>> from tradeopt.physics.walking.gait import StandingPose
    >>> from tradeopt.physics.walking.pattern import stand
    >>> frame = Frame(0.4, 0.4, 0.09, 0.18, 0.24, 0.1, 0.07)
    >>> inertia = np.zeros((7, 10))
    >>> inertia[0, 0] = 50.0  # a point mass at the hips
    >>> stride = stand(frame, StandingPose(0.4, 0.18, gravity=9.81), inertia, phases=2)
    >>> matrices = load_matrices(frame, stride)
    >>> weighted_loads(matrices.foot_wrench, inertia)[2, 0].round(4)
    np.float64(245.25)
    """
    motion = body_motion(frame, stride)
    left = body_wrenches(motion)
    total = whole_wrenches(left)
    foot = left_foot_share(frame, stride, total)
    axis = motion.pose.joint_axis
    lever = np.concatenate((cross(motion.pose.position[1:], axis), axis), axis=1)
    torque = -np.einsum("jin,bkin->bkjn", lever, foot)
    for joint in range(len(JOINTS)):
        torque[joint + 1 :, :, joint] += np.einsum("in,bkin->bkn", lever[joint], left[joint + 1 :])
    foot[:, :, 3:] -= cross(stride.pressure_point, foot[:, :, :3])
    rows = len(BODIES) * PARAMETERS
    torque, total, foot = (x.reshape(rows, *x.shape[2:]) for x in (torque, total, foot))
    return LoadMatrices(torque, total, foot)


def weighted_loads(matrix: Array, inertia: Array) -> Array:
    """Multiply load matrices by the inertial parameters of designs.

    Parameters
    ----------
    matrix : Array, shape (70, row, phase)
        One of the matrices of `load_matrices` [load per unit of the parameter].
    inertia : Array, shape (..., 7, 10)
        Inertial parameters of the bodies, designs on the leading axes [kg, kg m, kg m2].

    Returns
    -------
    Array, shape (..., row, phase)
        Torques [N m] or wrenches [N, N m].

    Notes
    -----
    One matrix product for all designs.

    Examples
    --------
    >>> import numpy as np
    >>> matrix = np.arange(70.0).reshape(70, 1, 1)
    >>> inertia = np.zeros((2, 7, 10))
    >>> inertia[0, 6, 9], inertia[1, 0, 1] = 2.0, 3.0
    >>> weighted_loads(matrix, inertia)[:, 0, 0].tolist()
    [138.0, 3.0]
    """
    rows = matrix.shape[0]
    loads = inertia.reshape(-1, rows) @ matrix.reshape(rows, -1)
    return loads.reshape(*inertia.shape[:-2], *matrix.shape[1:])


def ground_wrench(frame: Frame, stride: Stride, inertia: Array) -> Array:
    """Wrench of the ground on the whole robot, for one set of inertial parameters.

    Parameters
    ----------
    frame : Frame
        Lengths of the legs [m].
    stride : Stride
        Motion of one stride [m, rad, s].
    inertia : Array, shape (7, 10)
        Inertial parameters of the bodies [kg, kg m, kg m2].

    Returns
    -------
    Array, shape (6, phase)
        Force and moment about the origin of the walking frame [N, N m].

    Notes
    -----
    What `load_matrices` gives in its ground wrench, without the torques.

    Examples
    --------
    >>> import numpy as np
    >>> from tradeopt.physics.walking.gait import StandingPose
    >>> from tradeopt.physics.walking.pattern import stand
    >>> frame = Frame(0.4, 0.4, 0.09, 0.18, 0.24, 0.1, 0.07)
    >>> inertia = np.zeros((7, 10))
    >>> inertia[0, 0] = 50.0  # a point mass at the hips
    >>> stride = stand(frame, StandingPose(0.4, 0.18, gravity=9.81), inertia, phases=2)
    >>> ground_wrench(frame, stride, inertia)[2, 0].round(4)
    np.float64(490.5)
    """
    left = np.einsum("bk,bkin->bin", inertia, body_wrenches(body_motion(frame, stride)))
    return np.asarray(whole_wrenches(left).sum(axis=0))


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
    total = left.copy()
    total[1:, ..., :3, :] += mirrored(left[1:, ..., :3, :])
    total[1:, ..., 3:, :] += mirrored(left[1:, ..., 3:, :], axial=True)
    return total


def mass_centre(pose: LegPose, inertia: Array) -> Array:
    """Centre of mass of the whole robot in the walking frame.

    Parameters
    ----------
    pose : LegPose
        Places of the torso and of the bodies of the left leg [m].
    inertia : Array, shape (7, 10)
        Inertial parameters of the bodies [kg, kg m, kg m2].

    Returns
    -------
    Array, shape (3, phase)
        Place of the centre of mass [m].

    Notes
    -----
    First moments of all bodies, both legs, over the total mass.

    Examples
    --------
    >>> import numpy as np
    >>> from tradeopt.physics.walking.leg import leg_pose
    >>> frame = Frame(0.4, 0.4, 0.09, 0.18, 0.24, 0.1, 0.07)
    >>> hips, upright = np.zeros((3, 2)), np.repeat(np.eye(3)[:, :, np.newaxis], 2, axis=2)
    >>> inertia = np.zeros((7, 10))
    >>> inertia[0, [0, 3]] = 50.0, 10.0  # 0.2 m above the hips
    >>> inertia[6, 0] = 5.0  # at the ankles, 0.8 m below the hips
    >>> mass_centre(leg_pose(frame, hips, upright, np.zeros((6, 2))), inertia)[:, 0].round(4)
    array([0.    , 0.    , 0.0333])
    """
    turned = np.einsum("bicn,bc->bin", pose.rotation, inertia[:, 1:4])
    left = inertia[:, 0, np.newaxis, np.newaxis] * pose.position + turned
    moment = left.sum(axis=0) + mirrored(left[1:].sum(axis=0))
    return np.asarray(moment / (inertia[0, 0] + 2 * inertia[1:, 0].sum()))
