"""From the joint to the motor: torque, speed, loss and what back-driving feels like.

The ratio may change with the joint angle. `ratio` is the motor's turn per turn of the joint and
`ratio_slope` is its derivative by the joint angle, zero for a constant ratio. Loss grows with the
load, and there is a load-free drag.
"""

import numpy as np

from tradeopt.arrays import Array, as_array


def backdriving_efficiency(efficiency: Array) -> Array:
    """Efficiency when the joint drives the motor, where the loss grows with the load.

    Parameters
    ----------
    efficiency : Array, shape (...)
        Efficiency when the motor drives the joint [1], above 0 and up to 1.

    Returns
    -------
    Array, shape (...)
        Back-driving efficiency [1]. Zero or less is self-locking: the motor must then push the
        load down as well, so the negative value is kept, not clipped. NaN where the efficiency is
        outside (0, 1].

    Notes
    -----
    eta_b = 2 - 1/eta_f: friction of the same size as in driving, tau (1/eta_f - 1), now holds part
    of the load.

    References
    ----------
    Standard result for load-proportional friction, as for power screws: a screw that drives at one
    half or less cannot be driven back.

    Examples
    --------
    >>> backdriving_efficiency(np.array([1.0, 0.8, 0.5]))
    array([1.  , 0.75, 0.  ])
    """
    efficiency = as_array(efficiency)
    possible = (efficiency > 0.0) & (efficiency <= 1.0)
    return 2.0 - 1.0 / np.where(possible, efficiency, np.nan)


def motor_speed(joint_speed: Array, ratio: Array) -> Array:
    """Speed of the motor shaft.

    Parameters
    ----------
    joint_speed : Array, shape (..., phase)
        Joint speed [rad/s].
    ratio : Array, shape (..., phase)
        Motor turn per joint turn at this angle [1].

    Returns
    -------
    Array, shape (..., phase)
        Motor speed [rad/s].

    Notes
    -----
    w_m = r w. The rope or the links between are taken as stiff.

    Examples
    --------
    >>> motor_speed(np.array([1.5, -2.0]), np.array([10.0, 12.0]))
    array([ 15., -24.])
    """
    return joint_speed * ratio


def motor_torque(
    joint_torque: Array,
    joint_speed: Array,
    joint_acceleration: Array,
    *,
    ratio: Array,
    ratio_slope: Array,
    efficiency: Array,
    motor_inertia: Array,
    drag_torque: Array,
) -> Array:
    """Torque that the motor's field must give so that the joint gets what it needs.

    Parameters
    ----------
    joint_torque : Array, shape (..., phase)
        Torque the drive gives the joint [N*m].
    joint_speed : Array, shape (..., phase)
        Joint speed [rad/s].
    joint_acceleration : Array, shape (..., phase)
        Joint acceleration [rad/s^2].
    ratio : Array, shape (..., phase)
        Motor turn per joint turn at this angle [1].
    ratio_slope : Array, shape (..., phase)
        Derivative of the ratio by the joint angle [1/rad].
    efficiency : Array, shape (..., phase)
        Efficiency when the motor drives the joint [1], above 0 and up to 1.
    motor_inertia : Array, shape (..., phase)
        Rotor about the motor shaft [kg*m^2].
    drag_torque : Array, shape (..., phase)
        Load-free drag at the motor shaft, size only [N*m]; a viscous part is added to it phase by
        phase.

    Returns
    -------
    Array, shape (..., phase)
        Motor torque [N*m]; NaN where the ratio is zero (a dead centre) or the efficiency is
        outside (0, 1].

    Notes
    -----
    tau_m = tau f/r + J (r q'' + r' q'^2) + drag sign(r q'), with f = 1/eta where the drive gives
    power (tau q' >= 0) and f = 2 - 1/eta where it takes power. At rest the drag is left out and f
    = 1/eta is the safe side.

    References
    ----------
    The term with the slope of the ratio follows from d/dt(r q'); it can turn the sign of the
    whole.

    Examples
    --------
    >>> motor_torque(
    ...     np.array([80.0, -80.0]),
    ...     np.array([1.0, 1.0]),
    ...     np.array([0.0, 5.0]),
    ...     ratio=np.array(10.0),
    ...     ratio_slope=np.array(0.0),
    ...     efficiency=np.array(0.8),
    ...     motor_inertia=np.array(1e-3),
    ...     drag_torque=np.array(0.1),
    ... )
    array([10.1 , -5.85])
    """
    load_factor = _load_factor(joint_torque * joint_speed, efficiency)
    usable_ratio = np.where(ratio == 0.0, np.nan, ratio)
    motor_acceleration = ratio * joint_acceleration + ratio_slope * np.square(joint_speed)
    drag = drag_torque * np.sign(motor_speed(joint_speed, ratio))
    torque: Array = (
        joint_torque * load_factor / usable_ratio + motor_inertia * motor_acceleration + drag
    )
    return torque


def stage_ratio(ratio: Array, stages: Array) -> Array:
    """Ratio of each of several equal gear stages in a row.

    Parameters
    ----------
    ratio : Array, shape (...)
        Of the whole row [1].
    stages : Array, shape (...)
        How many [1].

    Returns
    -------
    Array, shape (...)
        The stages-th root of the ratio [1].

    Notes
    -----
    Equal ratios lose the least power where every stage loses the same share: H. L. Bartlett,
    B. E. Lawson, M. Goldfarb, PLoS ONE 13(6):e0198048, 2018 (abstract).

    Examples
    --------
    >>> stage_ratio(np.array([27.0]), np.array([3.0])).round(4)
    array([3.])
    """
    each: Array = ratio ** (1.0 / stages)
    return each


def staged_efficiency(stage_efficiency: Array, stages: Array) -> Array:
    """Efficiency of several equal gear stages in a row.

    Parameters
    ----------
    stage_efficiency : Array, shape (...)
        Of one stage [1].
    stages : Array, shape (...)
        How many [1].

    Returns
    -------
    Array, shape (...)
        Efficiency of the row [1].

    Notes
    -----
    Each stage loses its share of what the one before it passes on. Planetary stages reach 95 to
    98 % (usual handbook values, from memory).

    Examples
    --------
    >>> staged_efficiency(np.array([0.96]), np.array([2.0])).round(4)
    array([0.9216])
    """
    whole: Array = stage_efficiency**stages
    return whole


def loss(
    joint_torque: Array,
    joint_speed: Array,
    *,
    ratio: Array,
    efficiency: Array,
    drag_torque: Array,
) -> Array:
    """Power lost between motor shaft and joint.

    Parameters
    ----------
    joint_torque : Array, shape (..., phase)
        Torque the drive gives the joint [N*m].
    joint_speed : Array, shape (..., phase)
        Joint speed [rad/s].
    ratio : Array, shape (..., phase)
        Motor turn per joint turn at this angle [1].
    efficiency : Array, shape (..., phase)
        Efficiency when the motor drives the joint [1], above 0 and up to 1.
    drag_torque : Array, shape (..., phase)
        Load-free drag at the motor shaft, size only [N*m].

    Returns
    -------
    Array, shape (..., phase)
        Loss, never negative [W]; NaN where the efficiency is outside (0, 1].

    Notes
    -----
    P = |tau q'| (1/eta - 1) + drag |r q'|, the same in both directions. Motor power = joint power
    + this loss + growth of the rotor's kinetic energy.

    Examples
    --------
    >>> loss(
    ...     np.array([80.0, -80.0]),
    ...     np.array([1.0, 1.0]),
    ...     ratio=np.array(10.0),
    ...     efficiency=np.array(0.8),
    ...     drag_torque=np.array(0.1),
    ... )
    array([21., 21.])
    """
    power = joint_torque * joint_speed
    drag: Array = drag_torque * np.abs(motor_speed(joint_speed, ratio))
    return power * (_load_factor(power, efficiency) - 1.0) + drag


def reflected_inertia(ratio: Array, motor_inertia: Array) -> Array:
    """Inertia of the rotor as the joint feels it.

    Parameters
    ----------
    ratio : Array, shape (...)
        Motor turn per joint turn [1].
    motor_inertia : Array, shape (...)
        Rotor about the motor shaft [kg*m^2].

    Returns
    -------
    Array, shape (...)
        Inertia about the joint [kg*m^2].

    Notes
    -----
    J r^2, from equal kinetic energy at both ends.

    Examples
    --------
    >>> reflected_inertia(np.array([10.0, 20.0]), np.array(1e-4))
    array([0.01, 0.04])
    """
    return motor_inertia * np.square(ratio)


def backdriving_torque(ratio: Array, *, efficiency: Array, drag_torque: Array) -> Array:
    """Torque at the joint that just turns the motor when it has no current.

    Parameters
    ----------
    ratio : Array, shape (...)
        Motor turn per joint turn [1].
    efficiency : Array, shape (...)
        Efficiency when the motor drives the joint [1], above 0 and up to 1.
    drag_torque : Array, shape (...)
        Load-free drag at the motor shaft, size only [N*m].

    Returns
    -------
    Array, shape (...)
        Joint torque, size only [N*m]; infinite where the transmission locks itself, NaN where the
        efficiency is outside (0, 1].

    Notes
    -----
    drag |r|/eta_b, eta_b = 2 - 1/eta. Slow motion only: the rotor's inertia comes on top
    (`reflected_inertia`).

    Examples
    --------
    >>> backdriving_torque(np.array([10.0, 30.0]), efficiency=0.8, drag_torque=0.06)
    array([0.8, 2.4])
    """
    backward = backdriving_efficiency(efficiency)
    turns = backward > 0.0
    held = np.where(turns | np.isnan(backward), backward, 1.0)
    return np.where(turns | np.isnan(backward), drag_torque * np.abs(ratio) / held, np.inf)


def _load_factor(power: Array, efficiency: Array) -> Array:
    """Motor power per joint power, without drag and rotor."""
    backward = backdriving_efficiency(efficiency)
    return np.where(power >= 0.0, 2.0 - backward, backward)
