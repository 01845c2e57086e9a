"""The crouch against virtual work: what the knee does, the weight gains in height."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tradeopt.physics.crouch import crouch

law = settings(deadline=None, max_examples=60)
lengths = st.floats(0.2, 0.6)


@law
@given(thigh=lengths, shank=lengths, flexion=st.floats(0.05, 2.6))
def test_the_lever_is_how_fast_the_hip_sinks(thigh: float, shank: float, flexion: float) -> None:
    def height(bend: float) -> float:
        return float(np.abs(thigh + shank * np.exp(1j * bend)))

    found = crouch(np.array(thigh), np.array(shank), np.array(flexion))
    sinks = (height(flexion - 1e-6) - height(flexion + 1e-6)) / 2e-6
    assert found.knee_lever == pytest.approx(sinks, rel=1e-6, abs=1e-8)


@law
@given(thigh=lengths, shank=lengths, flexion=st.floats(0.05, 2.6))
def test_the_bends_of_hip_and_ankle_close_the_triangle(
    thigh: float, shank: float, flexion: float
) -> None:
    found = crouch(np.array(thigh), np.array(shank), np.array(flexion))
    ankle = flexion - float(found.hip_bend)
    assert thigh * np.sin(found.hip_bend) == pytest.approx(shank * np.sin(ankle), abs=1e-12)
    nearby = crouch(np.array(thigh), np.array(shank), np.array([flexion - 1e-6, flexion + 1e-6]))
    turn = np.diff(nearby.hip_bend)[0] / 2e-6
    assert found.hip_share == pytest.approx(turn, rel=1e-6, abs=1e-8)
