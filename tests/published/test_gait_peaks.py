"""A walker of human measures against what people do: orders of magnitude.

Measured: G. Bovi, M. Rabuffetti, P. Mazzoleni, M. Ferrarin, "A multiple-task gait analysis
approach...", Gait & Posture 33:6-13, 2011, supplement: 20 adults, 68.5 kg, 1.71 m, 1.22 m/s,
stride 1.326 m, stance 62.6 %.

The model carries its pelvis at constant height on bent knees, people do not: its knee torque on
the level is about four times theirs, and everything else within a factor of 2.5.
"""

import numpy as np
import pytest

from tests.oracles.robot import parameters
from tradeopt.arrays import Array
from tradeopt.physics.walking.dynamics import stride_loads
from tradeopt.physics.walking.frame import JOINTS, Frame
from tradeopt.physics.walking.gait import StairGait, WalkingGait
from tradeopt.physics.walking.pattern import climb, walk
from tradeopt.physics.walking.stride import Stride

MASS, HEIGHT = 68.5, 1.71
HIP, KNEE, ANKLE = (JOINTS.index(name) for name in ("hip_pitch", "knee", "ankle_pitch"))

# thigh 0.2425 of the height as quoted in several open codes; shank 0.246, ankle 0.039, foot 0.152:
# D. A. Winter, "Biomechanics and Motor Control of Human Movement", figure 4.1 (from memory)
THIGH, SHANK, ANKLE_HEIGHT = (share * HEIGHT for share in (0.2425, 0.246, 0.039))
FRAME = Frame(THIGH, SHANK, ANKLE_HEIGHT, 0.17, 0.152 * HEIGHT, 0.09, 0.045 * HEIGHT)


def limb(share: float, length: float, centre: float, radii: tuple[float, float, float]) -> Array:
    """A limb that hangs down: mass over the whole, and places over its length."""
    mass = share * MASS
    x, y, z = mass * (np.array(radii) * length) ** 2
    return parameters(mass, [0.0, 0.0, -centre * length], [x, 0.0, y, 0.0, 0.0, z])


def human() -> Array:
    """Segments of P. de Leva, J. Biomech. 29:1223-1230, 1996, men, as quoted in open codes."""
    inertia = np.zeros((7, 10))
    inertia[3] = limb(0.1416, THIGH, 0.4095, (0.329, 0.329, 0.149))
    inertia[4] = limb(0.0433, SHANK, 0.4459, (0.255, 0.249, 0.103))
    inertia[6] = limb(0.0137, FRAME.foot_length, 0.2, (0.124, 0.245, 0.257))
    inertia[6, 1] = 0.0137 * MASS * 0.05
    rest = MASS - 2 * inertia[1:, 0].sum()
    # head, trunk and arms as one block, its centre at 0.3 m over the hips
    inertia[0] = parameters(rest, [0.0, 0.0, 0.3], [2.5, 0.0, 2.5, 0.0, 0.0, 0.7])
    return inertia


INERTIA = human()


def test_the_segments_sum_to_the_whole() -> None:
    assert INERTIA[0, 0] + 2 * INERTIA[1:, 0].sum() == pytest.approx(MASS)
    # de Leva, men: head 6.94, trunk 43.46, two arms of 2.71 + 1.62 + 0.61 %
    assert INERTIA[0, 0] / MASS == pytest.approx(0.6028, abs=2e-4)


def peaks(stride: Stride) -> tuple[Array, Array]:
    """Least and greatest torque of the joints over the mass [N m/kg]."""
    torque = stride_loads(FRAME, stride, INERTIA)[:6] / MASS
    return torque.min(axis=1), torque.max(axis=1)


def of_its_order(found: float, measured: float, factor: float = 2.5) -> bool:
    return measured / factor < found < measured * factor


def test_level_walking_at_a_natural_speed() -> None:
    speed, stride_length = 1.22, 1.326
    # both feet are down for stance less half of the stride, twice a stride
    double_support = 2 * 0.626 - 1
    gait = WalkingGait(
        speed, stride_length / speed / 2, double_support, 0.3, 0.04, 0.10, toe_off_angle=0.9
    )
    stride = walk(FRAME, gait, INERTIA, 100)
    low, high = peaks(stride)
    assert of_its_order(high[ANKLE], 1.315)
    assert of_its_order(high[HIP], 0.74)
    assert of_its_order(-low[HIP], 0.74)
    assert of_its_order(high[KNEE], 0.42, factor=5.0)
    loads = stride_loads(FRAME, stride, INERTIA)
    assert of_its_order((loads[4] * stride.joint_speed[4] / MASS).max(), 3.50)
    # two humps of 1.08 and 1.15 body weights
    assert 1.05 < loads[8].max() / (MASS * gait.gravity) < 1.5


@pytest.mark.parametrize(
    ("riser", "knee", "ankle"),
    [(0.16, 1.16, 1.10), (-0.16, 1.17, 1.03)],
    ids=["up", "down"],
)
def test_stairs(riser: float, knee: float, ankle: float) -> None:
    gait = StairGait(riser, 0.29, 0.65, 0.25, 0.25, 0.05, 0.10)
    _, high = peaks(climb(FRAME, gait, INERTIA, 100))
    assert of_its_order(high[KNEE], knee)
    assert of_its_order(high[ANKLE], ankle)
