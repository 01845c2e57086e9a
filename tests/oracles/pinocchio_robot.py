"""The test robot in pinocchio: a free base and two legs of six joints."""

from typing import Any

import numpy as np
import pinocchio

from tests.oracles.robot import FRAME, INERTIA, MIRROR_SIGNS
from tests.oracles.state import WholeMotion
from tradeopt.arrays import Array

AXES = np.array([[0, 0, 1], [1, 0, 0], [0, 1, 0], [0, -1, 0], [0, 1, 0], [1, 0, 0]], dtype=float)
LEFT_FOOT, RIGHT_FOOT = 7, 13


def model(gravity: Array) -> Any:
    """Model with the left leg as joints 2 to 7 and the right leg as joints 8 to 13."""
    robot = pinocchio.Model()
    robot.gravity.linear = gravity
    identity = pinocchio.SE3.Identity()
    robot.addJoint(0, pinocchio.JointModelFreeFlyer(), identity, "base")
    robot.appendBodyToJoint(1, pinocchio.Inertia.FromDynamicParameters(INERTIA[0]), identity)
    for side, signs in ((1.0, np.ones(10)), (-1.0, MIRROR_SIGNS)):
        parent = 1
        offsets = np.zeros((6, 3))
        offsets[0, 1] = side * FRAME.hip_spacing / 2
        offsets[3, 2], offsets[4, 2] = -FRAME.thigh, -FRAME.shank
        for joint, axis in enumerate(AXES):
            place = pinocchio.SE3(np.eye(3), offsets[joint])
            turn = pinocchio.JointModelRevoluteUnaligned(axis)
            parent = robot.addJoint(parent, turn, place, f"{side:+.0f} {joint}")
            body = pinocchio.Inertia.FromDynamicParameters(signs * INERTIA[joint + 1])
            robot.appendBodyToJoint(parent, body, identity)
    return robot


def states(motion: WholeMotion) -> list[tuple[Array, Array, Array]]:
    """Configuration, velocity and acceleration at each phase, the base in its own axes."""
    result = []
    for n, rotation in enumerate(motion.rotation):
        quaternion = pinocchio.Quaternion(np.array(rotation)).coeffs()
        velocity, turning = rotation.T @ motion.velocity[n], rotation.T @ motion.angular_speed[n]
        # the derivative of a velocity in turning axes lacks the turn of the axes
        acceleration = rotation.T @ motion.acceleration[n] - np.cross(turning, velocity)
        spin = rotation.T @ motion.angular_acceleration[n]
        result.append(
            (
                np.concatenate((motion.position[n], quaternion, motion.angle[n])),
                np.concatenate((velocity, turning, motion.speed[n])),
                np.concatenate((acceleration, spin, motion.joint_acceleration[n])),
            )
        )
    return result


def inverse_dynamics(motion: WholeMotion, left_foot: Array, right_foot: Array) -> Array:
    """Generalised forces, shape (phase, 18), under foot wrenches about the frame's origin."""
    robot = model(motion.gravity)
    data = robot.createData()
    forces = []
    for n, (place, velocity, acceleration) in enumerate(states(motion)):
        pinocchio.forwardKinematics(robot, data, place)
        outer = pinocchio.StdVec_Force()
        outer.extend([pinocchio.Force.Zero() for _ in range(robot.njoints)])
        for joint, wrench in ((LEFT_FOOT, left_foot[:, n]), (RIGHT_FOOT, right_foot[:, n])):
            outer[joint] = data.oMi[joint].actInv(pinocchio.Force(wrench[:3], wrench[3:]))
        forces.append(pinocchio.rnea(robot, data, place, velocity, acceleration, outer).copy())
    return np.array(forces)


def regressors(motion: WholeMotion) -> tuple[Array, Array]:
    """Forces per unit of each parameter, right bodies folded on left ones, and joint levers.

    Shapes (phase, 18, 70) and (phase, 6, 6); a row of levers times a wrench about the frame's
    origin is the torque that the wrench puts on the joint.
    """
    robot = model(motion.gravity)
    data = robot.createData()
    folded, levers = [], []
    for state in states(motion):
        full = pinocchio.computeJointTorqueRegressor(robot, data, *state).reshape(18, 13, 10)
        left = full[:, :7].copy()
        left[:, 1:] += full[:, 7:] * MIRROR_SIGNS
        folded.append(left.reshape(18, 70))
        pinocchio.forwardKinematics(robot, data, state[0])
        rows = []
        for joint, axis in enumerate(AXES, start=2):
            place = data.oMi[joint]
            direction = place.rotation @ axis
            rows.append(np.concatenate((np.cross(place.translation, direction), direction)))
        levers.append(rows)
    return np.array(folded), np.array(levers)
