"""The test robot in MuJoCo: a free base and two legs of six joints."""

from typing import Any

import mujoco
import numpy as np

from tests.oracles.robot import FRAME, INERTIA, MIRROR_SIGNS
from tests.oracles.state import WholeMotion
from tradeopt.arrays import Array

AXES = ("0 0 1", "1 0 0", "0 1 0", "0 -1 0", "0 1 0", "1 0 0")
HEAD = (
    '<mujoco><option gravity="{0} {1} {2}"><flag contact="disable"/></option>'
    '<compiler balanceinertia="false" inertiafromgeom="false"/><worldbody>'
)


def _numbers(*values: float) -> str:
    return " ".join(repr(float(value)) for value in values)


def _inertial(parameters: Array) -> str:
    mass = parameters[0]
    x, y, z = parameters[1:4] / mass
    shift = mass * np.array([y * y + z * z, -x * y, x * x + z * z, -x * z, -y * z, x * x + y * y])
    xx, xy, yy, xz, yz, zz = parameters[4:] - shift
    return (
        f'<inertial pos="{_numbers(x, y, z)}" mass="{_numbers(mass)}" '
        f'fullinertia="{_numbers(xx, yy, zz, xy, xz, yz)}"/>'
    )


def model(gravity: Array) -> Any:
    """Model of the robot without contacts; the left leg comes first."""
    parts = [HEAD.format(*(repr(float(value)) for value in gravity))]
    parts.append(f'<body name="torso"><freejoint/>{_inertial(INERTIA[0])}')
    for name, side, signs in (("left", 1.0, np.ones(10)), ("right", -1.0, MIRROR_SIGNS)):
        for joint, axis in enumerate(AXES):
            across = side * FRAME.hip_spacing / 2 if joint == 0 else 0.0
            down = {3: -FRAME.thigh, 4: -FRAME.shank}.get(joint, 0.0)
            parts.append(
                f'<body name="{name} {joint}" pos="{_numbers(0.0, across, down)}">'
                f'<joint type="hinge" axis="{axis}"/>{_inertial(signs * INERTIA[joint + 1])}'
            )
        parts.append("</body>" * len(AXES))
    parts.append("</body></worldbody></mujoco>")
    return mujoco.MjModel.from_xml_string("".join(parts))


def inverse_dynamics(motion: WholeMotion, left_foot: Array, right_foot: Array) -> Array:
    """Generalised forces, shape (phase, 18), under foot wrenches about the frame's origin."""
    robot = model(motion.gravity)
    data = mujoco.MjData(robot)
    quaternion = np.zeros(4)
    forces = []
    for n, rotation in enumerate(motion.rotation):
        mujoco.mju_mat2Quat(quaternion, np.ascontiguousarray(rotation).ravel())
        data.qpos[:] = np.concatenate((motion.position[n], quaternion, motion.angle[n]))
        # the velocity of a free joint is in world axes, its rate of turn in axes of the body
        turning = rotation.T @ motion.angular_speed[n]
        spin = rotation.T @ motion.angular_acceleration[n]
        data.qvel[:] = np.concatenate((motion.velocity[n], turning, motion.speed[n]))
        data.qacc[:] = np.concatenate((motion.acceleration[n], spin, motion.joint_acceleration[n]))
        mujoco.mj_inverse(robot, data)
        carried = np.zeros(robot.nv)
        for name, wrench in (("left 5", left_foot[:, n]), ("right 5", right_foot[:, n])):
            force, moment = np.ascontiguousarray(wrench[:3]), np.ascontiguousarray(wrench[3:])
            foot = robot.body(name).id
            mujoco.mj_applyFT(robot, data, force, moment, np.zeros(3), foot, carried)
        forces.append(data.qfrc_inverse - carried)
    return np.array(forces)
