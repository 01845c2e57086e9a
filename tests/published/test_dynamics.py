"""Inverse dynamics against two independent engines and a closed form of the textbooks."""

from dataclasses import replace

import numpy as np
import pytest

from tests.oracles import mujoco_robot, pinocchio_robot
from tests.oracles.robot import FRAME, INERTIA
from tests.oracles.state import random_stride, whole_motion
from tradeopt.arrays import Array
from tradeopt.physics.walking.dynamics import load_matrices, weighted_loads
from tradeopt.physics.walking.frame import Frame
from tradeopt.physics.walking.gait import (
    OneFootPose,
    SideStepGait,
    StairGait,
    WalkingGait,
)
from tradeopt.physics.walking.pattern import climb, side_step, stand_on_one_foot, walk
from tradeopt.physics.walking.stride import Stride
from tradeopt.physics.walking.vectors import cross, mirrored

ENGINES = {
    # pinocchio 4: recursive Newton-Euler with forces on the feet
    "pinocchio": pinocchio_robot.inverse_dynamics,
    # mujoco 4: mj_inverse less the feet's forces by mj_applyFT
    "mujoco": mujoco_robot.inverse_dynamics,
}

FLAT = WalkingGait(0.6, 0.65, 0.25, 0.25, 0.05, 0.18, gravity=9.81)
STAIRS = StairGait(0.17, 0.28, 0.8, 0.25, 0.35, 0.05, 0.16, gravity=9.81)
STRIDES = {
    "flat": walk(FRAME, FLAT, INERTIA, 40),
    "downhill": walk(FRAME, replace(FLAT, slope=-0.1), INERTIA, 40),
    "rolling uphill": walk(
        FRAME,
        replace(FLAT, speed=1.0, step_time=0.55, slope=0.1, toe_off_angle=0.4),
        INERTIA,
        40,
    ),
    "stairs up": climb(FRAME, STAIRS, INERTIA, 40),
    "stairs down": climb(FRAME, replace(STAIRS, riser=-0.17), INERTIA, 40),
    "side steps": side_step(
        FRAME, SideStepGait(0.15, 0.0, 0.8, 0.25, 0.35, 0.05, 0.18, gravity=9.81), INERTIA, 40
    ),
    "turning": side_step(
        FRAME, SideStepGait(0.0, 0.4, 0.8, 0.25, 0.35, 0.05, 0.18, gravity=9.81), INERTIA, 40
    ),
    "one foot": stand_on_one_foot(
        FRAME, OneFootPose(0.4, 0.18, 0.05, slope=0.05, gravity=9.81), INERTIA, 2
    ),
}


def foot_wrenches(stride: Stride, foot_wrench: Array) -> tuple[Array, Array]:
    """Left and right foot wrench about the origin of the walking frame."""
    moved = foot_wrench.copy()
    moved[3:] += cross(stride.pressure_point, foot_wrench[:3])
    right = np.concatenate((mirrored(moved[:3]), mirrored(moved[3:], axial=True)))
    return moved, right


def against_engine(stride: Stride, engine: str) -> tuple[Array, Array]:
    """Difference of the left leg's torques, and the force the engine still misses at the base."""
    matrices = load_matrices(FRAME, stride)
    torque = weighted_loads(matrices.torque, INERTIA)
    feet = foot_wrenches(stride, weighted_loads(matrices.foot_wrench, INERTIA))
    forces = ENGINES[engine](whole_motion(stride), *feet)
    return forces[:, 6:12].T - torque, forces[:, :6]


@pytest.mark.parametrize("engine", ENGINES)
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_torques_of_random_states_equal_those_of_the_engine(engine: str, seed: int) -> None:
    """Bound 1e-9 of torques of some 1e3 N m: rounding only."""
    difference, missing = against_engine(random_stride(seed), engine)
    assert np.abs(difference).max() < 1e-9
    assert np.abs(missing).max() < 1e-9


@pytest.mark.parametrize("engine", ENGINES)
@pytest.mark.parametrize("gait", STRIDES)
def test_torques_of_whole_strides_equal_those_of_the_engine(engine: str, gait: str) -> None:
    difference, missing = against_engine(STRIDES[gait], engine)
    assert np.abs(difference).max() < 1e-6
    assert np.abs(missing).max() < 1e-6


def test_load_matrices_equal_the_regressor_of_pinocchio() -> None:
    """All 70 columns, joint rows and base rows; pinocchio's computeJointTorqueRegressor."""
    stride = random_stride(7)
    matrices = load_matrices(FRAME, stride)
    motion = whole_motion(stride)
    regressor, levers = pinocchio_robot.regressors(motion)
    foot = matrices.foot_wrench.copy()
    foot[:, 3:] += cross(stride.pressure_point, foot[:, :3])
    carried = np.einsum("njw,kwn->njk", levers, foot)
    joints = np.moveaxis(matrices.torque, -1, 0).swapaxes(1, 2)
    np.testing.assert_allclose(joints, regressor[:, 6:12] - carried, atol=1e-9, rtol=0)
    force = matrices.ground_wrench[:, :3]
    moment = matrices.ground_wrench[:, 3:] - cross(stride.base_position, force)
    for start, load in ((0, force), (3, moment)):
        in_base_axes = np.einsum("ijn,kin->njk", stride.base_rotation, load)
        expected = regressor[:, start : start + 3]
        np.testing.assert_allclose(in_base_axes, expected, atol=1e-9, rtol=0)


def test_two_link_arm_in_a_vertical_plane() -> None:
    """Planar arm of two links (Craig; Spong): 8.263156 and 1.420605 N m.

    Derived in closed form, verified numerically against pinocchio. Masses 1.5 and 1 kg, first
    link 0.4 m, centres at 0.2 and 0.15 m, moments of inertia 0.02 and 0.01 kg m2 about them;
    angles (0.3, -0.7), rates (1.1, -0.4), accelerations (0.6, 2); g = 9.81 m/s2. The arm is
    the thigh and shank of a swinging leg, its angles counted from the horizontal.
    """
    frame = Frame(0.4, 0.3, 0.0, 0.0, 0.2, 0.1, 0.1)
    inertia = np.zeros((7, 10))
    inertia[3, [0, 3, 6]] = 1.5, -1.5 * 0.2, 0.02 + 1.5 * 0.2**2
    inertia[4, [0, 3, 6]] = 1.0, -0.15, 0.01 + 0.15**2
    angle, speed, acceleration = np.zeros((3, 6, 2))
    # hip_pitch turns about +y, the arm and the knee about -y
    angle[2], angle[3] = -(0.3 + np.pi / 2), -0.7
    speed[2], speed[3] = -1.1, -0.4
    acceleration[2], acceleration[3] = -0.6, 2.0
    still = np.zeros((3, 2))
    stride = Stride(
        period=1.0,
        speed=0.0,
        gravity=np.array([0.0, 0.0, -9.81]),
        joint_angle=angle,
        joint_speed=speed,
        joint_acceleration=acceleration,
        base_position=still,
        base_acceleration=still,
        base_rotation=np.repeat(np.eye(3)[:, :, np.newaxis], 2, axis=2),
        base_angular_speed=still,
        base_angular_acceleration=still,
        load_share=np.array([0.0, 1.0]),
        pressure_point=still,
        sole_room=np.zeros((2, 2)),
        reach_margin=0.0,
        knee_flexion_margin=0.0,
    )
    torque = weighted_loads(load_matrices(frame, stride).torque, inertia)[:, 0]
    assert -torque[2] == pytest.approx(8.263156, abs=1e-6)
    assert torque[3] == pytest.approx(1.420605, abs=1e-6)
