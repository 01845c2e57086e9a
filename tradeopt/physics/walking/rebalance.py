"""How a stride and its loads answer to masses that the stride was not made for."""

from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np

from tradeopt.arrays import Array, Codes
from tradeopt.physics.walking.contact import zero_moment_point
from tradeopt.physics.walking.dynamics import LoadMatrices, stride_loads
from tradeopt.physics.walking.frame import BODIES, JOINTS, Frame
from tradeopt.physics.walking.leg import LegPose, joint_angles, leg_pose
from tradeopt.physics.walking.periodic import derivatives
from tradeopt.physics.walking.stride import Stride
from tradeopt.physics.walking.vectors import mirrored, yaw_rotation

PROBE: Final = 1e-4
"""Shift of the hips that finds how loads answer to a shift [m]; small against a leg, large
against rounding."""

LEAST_FORCE_SHARE: Final = 0.01
"""Normal force, over the weight, that smaller ones are taken for [1]; keeps a robot about to leave
the ground finite."""

LEAST_UPRIGHT: Final = 0.05
"""Height of the hips over the ankle that smaller ones are taken for [m]; of no account to a robot
that can walk."""

HIP: Final = BODIES.index("hip_yaw")
"""The body whose origin is the centre of the hip."""

_GROUND: Final = slice(len(JOINTS), len(JOINTS) + 6)
_NORMAL: Final = _GROUND.start + 2
_KEPT: Final = np.r_[: len(JOINTS), _NORMAL, _GROUND.stop : _GROUND.stop + 6]
"""Torques, normal force of the ground, and the left foot's wrench among the loads of a stride."""


@dataclass(frozen=True)
class BalancedLoads:
    """Loads and motion of a stride that keeps its balance whatever the masses.

    The first axis of loads and motion runs over the inertial parameters that matter, and last over
    how far the hips rise, in metres times the robot's mass over the reference's.

    Parameters
    ----------
    rows : Codes, shape (row,)
        Places of the parameters among the 70 of all bodies [1].
    slack : Array, shape (phase,)
        How far the hips could rise before the knee is straighter than it may be [m].
    rise : Array, shape (row, phase)
        Change of the slack, times the mass of the whole robot [kg m per unit of the parameter].
    mass : float
        Mass of the whole reference robot [kg].
    torque : Array, shape (row + 1, 6, phase)
        Torque of the joints of the left leg [N m per unit of the parameter].
    normal_force : Array, shape (row + 1, phase)
        Force of the ground on the whole robot, normal to it [N per unit of the parameter].
    foot_wrench : Array, shape (row + 1, 6, phase)
        Wrench of the ground on the left foot, about its reference centre of pressure, in axes
        along and across the sole [N, N m per unit of the parameter].
    angle, speed, acceleration : Array, shape (row + 1, 6, phase)
        Change of the motion of the joints, times the mass of the whole robot [kg rad, kg rad/s,
        kg rad/s2 per unit of the parameter].
    """

    rows: Codes
    slack: Array
    rise: Array
    mass: float
    torque: Array
    normal_force: Array
    foot_wrench: Array
    angle: Array
    speed: Array
    acceleration: Array


def rebalanced(
    frame: Frame, stride: Stride, inertia: Array, matrices: LoadMatrices
) -> BalancedLoads:
    """Let the torso of a stride shift so that other masses keep its zero-moment point.

    Parameters
    ----------
    frame : Frame
        Lengths of the legs and feet [m].
    stride : Stride
        Motion and support that the reference robot walks with [m, rad, s].
    inertia : Array, shape (7, 10)
        Inertial parameters of the reference robot [kg, kg m, kg m2].
    matrices : LoadMatrices
        Loads of the stride as it is [N, N m per unit of each parameter].

    Returns
    -------
    BalancedLoads
        Loads with the shift in them, and the motion that it adds.

    Notes
    -----
    How far the zero-moment point of parameters p is off is linear in them, ``C p``, for a given
    total mass, and nil for the reference. A shift d of the hips moves the reference's own
    zero-moment point by ``K d``, K holding its answers to the shift and to its acceleration. So
    the shift that keeps the balance is ``d = S p``, ``S = K^-1 C``, and with G the answers of the
    reference's loads, ``tau = (A + G S) p``: exact to first order in the change of the mass
    distribution, for any total mass, and as cheap as without. The paths of the feet stay. The
    hips rise or sink by the least slack over the stride, so that the knee keeps its least bend.
    The answer to the rate of the shift is left out, being smaller than what the second order
    leaves.

    References
    ----------
    C. G. Atkeson, C. H. An, J. M. Hollerbach, "Estimation of inertial parameters of manipulator
    loads and links", Int. J. Robotics Research 5(3):101-119, 1986, for loads linear in p; the
    answer to a change is derived here.

    Examples
    --------
    A load on the back of a robot that stands moves its hips forward, and spares its ankles what
    the load would ask of them.

    >>> from tradeopt.physics.walking.dynamics import load_matrices
    >>> from tradeopt.physics.walking.gait import StandingPose
    >>> from tradeopt.physics.walking.pattern import stand
    >>> frame = Frame(0.4, 0.4, 0.09, 0.18, 0.24, 0.1, 0.07)
    >>> inertia = np.zeros((7, 10))
    >>> inertia[0, 0] = 50.0
    >>> stride = stand(frame, StandingPose(0.4, 0.18, gravity=9.81), inertia, phases=2)
    >>> loads = rebalanced(frame, stride, inertia, load_matrices(frame, stride))
    >>> loaded = inertia.copy()
    >>> loaded[0, 1] = -5.0  # the same mass, 0.1 m behind the hips
    >>> parameters = rebalanced_parameters(loads, loaded)
    >>> ankle, sole = 4, 0.05 * 25.0 * 9.81
    >>> round(float(parameters @ loads.torque[:, ankle, 0] / sole), 4)
    1.0
    """
    answers = _answers(frame, stride, inertia)
    loads = np.concatenate((matrices.torque, matrices.ground_wrench, matrices.foot_wrench), axis=1)
    rows = np.flatnonzero(loads.any(axis=(1, 2)))
    loads = np.concatenate((loads[rows], answers.to_rise[np.newaxis]))
    shift = _shift(stride, loads[:, _GROUND], answers)
    bend = derivatives(shift, stride.period)[1]
    loads = loads[:, _KEPT]
    for axis in range(2):
        loads += shift[:, axis, np.newaxis] * answers.to_shift[axis, _KEPT]
        loads += bend[:, axis, np.newaxis] * answers.to_acceleration[axis, _KEPT]
    mass = inertia[0, 0] + 2 * inertia[1:, 0].sum()
    turned = shift[:, :1] * (mass * answers.turn[0]) + shift[:, 1:] * (mass * answers.turn[1])
    turned[-1] += mass * answers.turn[2]
    slack, gradient = answers.slack
    rise = mass * (shift[:-1] * gradient).sum(axis=1)
    torque, normal, foot = np.split(loads, [len(JOINTS), len(JOINTS) + 1], axis=1)
    return BalancedLoads(
        rows,
        slack,
        rise,
        float(mass),
        torque,
        normal[:, 0],
        _along_sole(foot, answers.sole_yaw),
        turned,
        *derivatives(turned, stride.period),
    )


def _along_sole(wrench: Array, yaw: Array) -> Array:
    """Wrenches in axes that are turned about the vertical with the foot."""
    if not yaw.any():
        return wrench
    turned = np.empty_like(wrench)
    for part in (slice(3), slice(3, 6)):
        turned[:, part] = np.einsum("ijn,rin->rjn", yaw_rotation(yaw), wrench[:, part])
    return turned


def rebalanced_parameters(loads: BalancedLoads, inertia: Array) -> Array:
    """Pick the parameters that rebalanced loads are multiplied with.

    Parameters
    ----------
    loads : BalancedLoads
        Loads of a stride [N, N m per unit of each parameter].
    inertia : Array, shape (7, 10)
        Inertial parameters of any robot [kg, kg m, kg m2].

    Returns
    -------
    Array, shape (row + 1,)
        Those that matter [kg, kg m, kg m2], and the rise of the hips times the robot's mass over
        the reference's [m].

    Notes
    -----
    The rise is the least slack over the stride, the shift of the hips taken into account.

    Examples
    --------
    >>> rest = np.zeros((1, 6, 2))
    >>> loads = BalancedLoads(
    ...     np.array([0]), np.array([0.0, 0.1]), np.array([[-1.0, 0.0]]), 50.0, rest, rest[0],
    ...     rest, rest, rest, rest,
    ... )
    >>> inertia = np.zeros((7, 10))
    >>> inertia[0, 0] = 100.0
    >>> rebalanced_parameters(loads, inertia).tolist()
    [100.0, -2.0]
    """
    own = inertia.reshape(-1)[loads.rows]
    mass = inertia[0, 0] + 2 * inertia[1:, 0].sum()
    risen = (loads.slack + own @ loads.rise / mass).min()
    return np.append(own, risen * mass / loads.mass)


@dataclass(frozen=True)
class _Answers:
    """What a unit of shift of the hips does to the reference robot, forward and sideways.

    `loads` are its own, shape (18, phase); the answers are of shape (2, 18, phase), those of the
    joint angles, `turn`, of shape (3, 6, phase), for a rise of the hips too, as is `to_rise`,
    shape (18, phase). `slack` is how far the hips could rise and what a shift changes of it,
    `sole_yaw` how the left foot is turned.
    """

    loads: Array
    turn: Array
    to_shift: Array
    to_acceleration: Array
    to_rise: Array
    slack: tuple[Array, Array]
    sole_yaw: Array


def _answers(frame: Frame, stride: Stride, inertia: Array) -> _Answers:
    pose = leg_pose(frame, stride.base_position, stride.base_rotation, stride.joint_angle)
    moved = [_moved(frame, stride, pose, axis) for axis in range(3)]
    turns = [one.joint_angle - stride.joint_angle for one in moved]
    pushed = [
        replace(
            stride,
            base_acceleration=stride.base_acceleration + PROBE * np.eye(3)[:, axis : axis + 1],
            joint_acceleration=stride.joint_acceleration + turns[axis],
        )
        for axis in range(2)
    ]
    strides = [stride, *moved, *pushed]
    loads, *changed = _apart(stride_loads(frame, _side_by_side(strides), inertia), len(strides))
    answers = (np.stack(changed) - loads) / PROBE
    across = pose.rotation[-1, :, 1]
    return _Answers(
        loads=loads,
        turn=np.stack(turns) / PROBE,
        to_shift=answers[:2],
        to_acceleration=answers[3:],
        to_rise=answers[2],
        slack=_slack(pose),
        sole_yaw=np.arctan2(-across[0], across[1]),
    )


def _moved(frame: Frame, stride: Stride, pose: LegPose, axis: int) -> Stride:
    """Return the stride with its hips shifted along one axis, the feet where they were."""
    base = stride.base_position + PROBE * np.eye(3)[:, axis : axis + 1]
    feet = pose.position[-1], pose.rotation[-1]
    angle, _ = joint_angles(frame, base, stride.base_rotation, *feet)
    rate, bend = derivatives(angle - stride.joint_angle, stride.period)
    return replace(
        stride,
        base_position=base,
        joint_angle=angle,
        joint_speed=stride.joint_speed + rate,
        joint_acceleration=stride.joint_acceleration + bend,
    )


def _slack(pose: LegPose) -> tuple[Array, Array]:
    """How far the hips could rise, shape (phase,), and its gradient, shape (2, phase)."""
    leg = pose.position[HIP] - pose.position[-1]
    longest = (leg**2).sum(axis=0).max()
    # where a foot is out of reach the leg is at its longest and level
    upright = np.sqrt(np.maximum(longest - leg[0] ** 2 - leg[1] ** 2, LEAST_UPRIGHT**2))
    return upright - leg[2], -leg[:2] / upright


def _side_by_side(strides: list[Stride]) -> Stride:
    """Strides as one, first halves before second halves, so that left and right still match."""
    half = strides[0].phases // 2

    def joined(name: str) -> Array:
        parts = [getattr(stride, name) for stride in strides]
        halves = [*(part[..., :half] for part in parts), *(part[..., half:] for part in parts)]
        return np.concatenate(halves, axis=-1)

    names = [name for name, value in vars(strides[0]).items() if np.ndim(value)]
    changed: dict[str, Any] = {name: joined(name) for name in names if name != "gravity"}
    return replace(strides[0], **changed)


def _apart(samples: Array, count: int) -> list[Array]:
    """Undo `_side_by_side` for what was computed from it."""
    first, second = np.split(samples, 2, axis=-1)
    return [
        np.concatenate(halves, axis=-1)
        for halves in zip(np.split(first, count, -1), np.split(second, count, -1), strict=True)
    ]


def _shift(stride: Stride, wrench: Array, answers: _Answers) -> Array:
    """Shift of the hips for a unit of each parameter, shape (row, 2, phase)."""
    left = stride.load_share * stride.pressure_point
    plane = (left + mirrored(left))[2]
    whole = answers.loads[_GROUND]
    least = LEAST_FORCE_SHARE * float(whole[2].mean())
    point = zero_moment_point(whole, least_force=least, height=plane)
    normal = np.maximum(whole[2], least)

    def off(change: Array) -> Array:
        """How far a change of the wrench takes the zero-moment point, shape (..., 2, phase)."""
        moment = np.stack((-change[..., 4, :], change[..., 3, :]), axis=-2)
        moment += plane * change[..., :2, :] - point * change[..., 2:3, :]
        return np.asarray(moment / normal)

    phases = stride.phases
    bends = derivatives(np.eye(phases), stride.period)[1]
    to_shift, to_acceleration = (
        off(answers.to_shift[:, _GROUND]),
        off(answers.to_acceleration[:, _GROUND]),
    )
    moved = np.einsum("acm,nm->cman", to_acceleration, bends)
    phase = np.arange(phases)
    moved[:, phase, :, phase] += np.moveaxis(to_shift, -1, 0).swapaxes(1, 2)
    wanted = -off(wrench).reshape(len(wrench), -1)
    shift = np.linalg.solve(moved.reshape(2 * phases, 2 * phases), wanted.T).T
    return shift.reshape(len(wrench), 2, phases)
