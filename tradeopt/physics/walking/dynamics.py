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
from tradeopt.physics.walking.wrenches import (
    PARAMETERS,
    body_forces,
    body_wrenches,
    whole_wrenches,
)


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
    lever = _levers(motion.pose)
    torque = np.einsum("jin,bkin->bkjn", lever, foot)
    np.negative(torque, out=torque)
    for joint in range(len(JOINTS)):
        torque[joint + 1 :, :, joint] += np.einsum("in,bkin->bkn", lever[joint], left[joint + 1 :])
    foot[:, :, 3:] -= cross(stride.pressure_point, foot[:, :, :3])
    rows = len(BODIES) * PARAMETERS
    torque, total, foot = (x.reshape(rows, *x.shape[2:]) for x in (torque, total, foot))
    return LoadMatrices(torque, total, foot)


def _levers(pose: LegPose) -> Array:
    """Rows that turn a wrench about the frame's origin into torques, shape (6, 6, phase)."""
    return np.concatenate((cross(pose.position[1:], pose.joint_axis), pose.joint_axis), axis=1)


def stride_loads(frame: Frame, stride: Stride, inertia: Array) -> Array:
    """Sum up the loads of a stride for one set of inertial parameters.

    Parameters
    ----------
    frame : Frame
        Lengths of the legs and feet [m].
    stride : Stride
        Motion and support of one stride [m, rad, s].
    inertia : Array, shape (7, 10)
        Inertial parameters of the bodies [kg, kg m, kg m2].

    Returns
    -------
    Array, shape (18, phase)
        Torques of the left leg's joints [N m], the wrench of the ground on the whole robot about
        the origin of the walking frame, and that on the left foot about its reference centre of
        pressure [N, N m].

    Notes
    -----
    What `load_matrices` times the parameters gives, at a fraction of the work.

    Examples
    --------
    >>> import numpy as np
    >>> from tradeopt.physics.walking.gait import StandingPose
    >>> from tradeopt.physics.walking.pattern import stand
    >>> frame = Frame(0.4, 0.4, 0.09, 0.18, 0.24, 0.1, 0.07)
    >>> inertia = np.zeros((7, 10))
    >>> inertia[0, 0] = 50.0  # a point mass at the hips
    >>> stride = stand(frame, StandingPose(0.4, 0.18, gravity=9.81), inertia, phases=2)
    >>> stride_loads(frame, stride, inertia)[[8, 14], 0].round(4).tolist()
    [490.5, 245.25]
    """
    motion = body_motion(frame, stride)
    left = body_forces(motion, inertia)
    total = _whole(left)
    foot = left_foot_share(frame, stride, total)
    below = np.cumsum(left[:0:-1], axis=0)[::-1] - foot
    torque = (_levers(motion.pose) * below).sum(axis=1)
    foot[3:] -= cross(stride.pressure_point, foot[:3])
    return np.concatenate((torque, total, foot))


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


def ground_wrench(motion: BodyMotion, inertia: Array) -> Array:
    """Wrench of the ground on the whole robot, for one set of inertial parameters.

    Parameters
    ----------
    motion : BodyMotion
        Motion of the torso and of the left leg [m, rad, s].
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
    >>> ground_wrench(body_motion(frame, stride), inertia)[2, 0].round(4)
    np.float64(490.5)
    """
    return _whole(body_forces(motion, inertia))


def _whole(left: Array) -> Array:
    """Sum of the wrenches of the torso and of both legs."""
    leg = left[1:].sum(axis=0)
    right = np.concatenate((mirrored(leg[:3]), mirrored(leg[3:], axial=True)))
    return np.asarray(left[0] + leg + right)


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
