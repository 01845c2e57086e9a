"""An invented robot of 78.6 kg that the tests walk with, and what its right leg is made of."""

import numpy as np

from tradeopt.arrays import Array
from tradeopt.physics.walking.frame import Frame

FRAME = Frame(
    thigh=0.40,
    shank=0.38,
    ankle_height=0.09,
    hip_spacing=0.18,
    foot_length=0.24,
    foot_width=0.10,
    heel=0.07,
)

MIRROR_SIGNS = np.array([1.0, 1.0, -1.0, 1.0, 1.0, -1.0, 1.0, 1.0, -1.0, 1.0])
"""Signs of m, m c (3), Ixx, Ixy, Iyy, Ixz, Iyz, Izz when a body is mirrored in y = 0."""

ANGLE_SIGNS = np.array([-1.0, -1.0, 1.0, 1.0, 1.0, -1.0])
"""Signs of joint angles when a leg is mirrored and its axes are not."""


def parameters(mass: float, centre: list[float], moments: list[float]) -> Array:
    """Ten parameters of a body whose moments xx, xy, yy, xz, yz, zz are about its centre."""
    x, y, z = centre
    shift = mass * np.array([y * y + z * z, -x * y, x * x + z * z, -x * z, -y * z, x * x + y * y])
    return np.concatenate(([mass], mass * np.array(centre), np.array(moments) + shift))


INERTIA = np.array(
    [
        parameters(48.0, [0.01, 0.0, 0.28], [1.7, 0.0, 1.4, 0.05, 0.0, 0.7]),
        parameters(2.0, [-0.05, 0.01, 0.03], [0.003, 2e-4, 0.004, 1e-4, -1e-4, 0.003]),
        parameters(2.0, [-0.03, 0.01, 0.0], [0.003, -1e-4, 0.003, 1e-4, 1e-4, 0.002]),
        parameters(6.0, [0.01, 0.02, -0.18], [0.09, 1e-3, 0.09, -2e-3, 1e-3, 0.01]),
        parameters(3.5, [0.005, 0.01, -0.17], [0.05, -3e-4, 0.05, 4e-4, 2e-4, 0.004]),
        parameters(0.3, [0.0, 0.002, 0.0], [2e-4, 1e-5, 2e-4, 0.0, 1e-5, 1e-4]),
        parameters(1.5, [0.05, 0.003, -0.06], [0.002, 1e-4, 0.007, 1e-4, -1e-4, 0.008]),
    ]
)

MASS = float(INERTIA[0, 0] + 2 * INERTIA[1:, 0].sum())
