"""What holds behind any transmission of a knee: energy is kept, losses are losses."""

import numpy as np
import pytest

from tests.stages.drivetrains import (
    BELT,
    CONSTANT,
    CYCLOID,
    FOUR_BAR,
    KNEE,
    PLANETARY,
    ROPE,
    SCREW_LEVER,
    SPUR,
    STRAIN_WAVE,
    at_knee,
)

KINDS = (
    CONSTANT,
    SPUR,
    PLANETARY,
    STRAIN_WAVE,
    CYCLOID,
    BELT,
    ROPE,
    FOUR_BAR,
    SCREW_LEVER,
)
every_kind = pytest.mark.parametrize(
    "text", KINDS, ids=[one.partition("kind: ")[2].partition(",")[0] for one in KINDS]
)


def knee(text: str, name: str) -> np.ndarray:
    return np.asarray(at_knee(text).values[name][0, KNEE])


@every_kind
def test_motor_work_is_joint_work_and_loss(text: str) -> None:
    """Over a stride of any gait; the rotor gives back what it took."""
    motor = (knee(text, "motor_torque") * knee(text, "motor_speed")).mean(axis=1)
    joint = (knee(text, "drive_torque") * knee(text, "joint_speed")).mean(axis=1)
    lost = knee(text, "transmission_loss")
    # 100 phases sum up what a rotor behind a changing ratio gives back to some 1e-6 W
    np.testing.assert_allclose(motor, joint + lost, rtol=1e-7, atol=1e-5)
    assert (lost >= 0.0).all()
    assert lost[:2].min() > 0.1


@every_kind
def test_what_the_joint_feels_is_finite_and_positive(text: str) -> None:
    for name in ("transmission_stiffness", "wind_up", "reflected_inertia", "backdriving_torque"):
        assert 0.0 < knee(text, name) < np.inf, name
    stiffness, peak = knee(text, "transmission_stiffness"), np.abs(knee(text, "drive_torque"))
    assert knee(text, "wind_up") == pytest.approx(peak.max() / stiffness)
