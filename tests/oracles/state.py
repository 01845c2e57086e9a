"""A stride written as states of a whole robot with a free base and two legs of its own."""

from dataclasses import dataclass

import numpy as np

from tests.oracles.robot import ANGLE_SIGNS
from tradeopt.arrays import Array
from tradeopt.physics.walking.periodic import derivatives
from tradeopt.physics.walking.stride import Stride


@dataclass(frozen=True)
class WholeMotion:
    """Base and twelve joints, phase first; vectors in axes of the walking frame."""

    position: Array
    velocity: Array
    acceleration: Array
    rotation: Array
    angular_speed: Array
    angular_acceleration: Array
    angle: Array
    speed: Array
    joint_acceleration: Array
    gravity: Array


def whole_motion(stride: Stride) -> WholeMotion:
    """The right leg does what the left one did half a stride ago, in a mirror."""
    velocity = derivatives(stride.base_position, stride.period)[0].T
    half = stride.phases // 2

    def both(left: Array) -> Array:
        right = np.roll(left, half, axis=1) * ANGLE_SIGNS[:, np.newaxis]
        return np.concatenate((left, right)).T

    return WholeMotion(
        position=stride.base_position.T,
        velocity=velocity + np.array([stride.speed, 0.0, 0.0]),
        acceleration=stride.base_acceleration.T,
        rotation=np.moveaxis(stride.base_rotation, -1, 0),
        angular_speed=stride.base_angular_speed.T,
        angular_acceleration=stride.base_angular_acceleration.T,
        angle=both(stride.joint_angle),
        speed=both(stride.joint_speed),
        joint_acceleration=both(stride.joint_acceleration),
        gravity=stride.gravity,
    )


def random_stride(seed: int, phases: int = 8) -> Stride:
    """Stride of unrelated random states, but for the symmetry of left and right."""
    chance = np.random.default_rng(seed)
    half = phases // 2

    def symmetric(scale: float, signs: list[float]) -> Array:
        first = scale * chance.normal(size=(3, half))
        return np.concatenate((first, first * np.array(signs)[:, np.newaxis]), axis=1)

    turns = np.linalg.qr(chance.normal(size=(half, 3, 3)))[0]
    turns *= np.linalg.det(turns)[:, np.newaxis, np.newaxis]
    flip = np.diag([1.0, -1.0, 1.0])
    rotation = np.moveaxis(np.concatenate((turns, flip @ turns @ flip)), 0, -1)
    share = chance.uniform(size=half)
    share[:2] = 0.0, 1.0
    pressure = chance.normal(size=(3, phases))
    pressure[2] = 0.0
    return Stride(
        period=1.3,
        speed=0.7,
        gravity=np.array([0.8, 0.0, -9.77]),
        joint_angle=chance.uniform(-1.5, 1.5, size=(6, phases)),
        joint_speed=3 * chance.normal(size=(6, phases)),
        joint_acceleration=20 * chance.normal(size=(6, phases)),
        base_position=symmetric(1.0, [1.0, -1.0, 1.0]),
        base_acceleration=symmetric(5.0, [1.0, -1.0, 1.0]),
        base_rotation=rotation,
        base_angular_speed=symmetric(1.0, [-1.0, 1.0, -1.0]),
        base_angular_acceleration=symmetric(4.0, [-1.0, 1.0, -1.0]),
        load_share=np.concatenate((share, 1.0 - share)),
        pressure_point=pressure,
        sole_room=np.ones((2, phases)),
        reach_margin=0.0,
        knee_flexion_margin=0.0,
    )
