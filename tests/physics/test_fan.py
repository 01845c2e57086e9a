"""Laws of the fan: it meets its channel, and its speed, air and power go together."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tradeopt.physics import fan

law = settings(deadline=None, max_examples=60)
flows = st.floats(0.001, 0.02)
pressures = st.floats(10.0, 400.0)
areas = st.floats(2e-4, 5e-3)


def channel(area: float, density: float = 1.2) -> np.ndarray:
    return fan.channel_pressure(np.array(area), np.array(2.5), np.array(density))


@law
@given(free_flow=flows, stall=pressures, area=areas)
def test_fan_and_channel_meet(free_flow: float, stall: float, area: float) -> None:
    found = fan.flow(np.array(free_flow), np.array(stall), channel(area))
    by_fan = stall * (1.0 - (found / free_flow) ** 2)
    speed = found / area
    assert by_fan == pytest.approx(2.5 * 1.2 * speed**2 / 2.0, rel=1e-9, abs=1e-9)


@law
@given(free_flow=flows, stall=pressures, area=areas)
def test_fan_laws(free_flow: float, stall: float, area: float) -> None:
    """At 0.8 of the speed 0.8 of the flow and 0.512 of the power (common practice, no source)."""
    full = fan.flow(np.array(free_flow), np.array(stall), channel(area))
    slow = fan.flow(np.array(0.8 * free_flow), np.array(0.64 * stall), channel(area))
    assert slow == pytest.approx(0.8 * full, rel=1e-12)
    powers = [fan.power(one, channel(area), np.array(0.2)) for one in (full, slow)]
    assert powers[1] == pytest.approx(0.512 * powers[0], rel=1e-12)


@law
@given(free_flow=flows, stall=pressures, area=areas, ratio=st.floats(0.5, 1.0))
def test_thin_air_flows_alike_and_takes_less(
    free_flow: float, stall: float, area: float, ratio: float
) -> None:
    there = channel(area, 1.2 * ratio)
    high = fan.flow(np.array(free_flow), np.array(stall * ratio), there)
    low = fan.flow(np.array(free_flow), np.array(stall), channel(area))
    assert high == pytest.approx(low, rel=1e-12)
    powers = [
        fan.power(one, place, np.array(0.2))
        for one, place in ((high, there), (low, channel(area)))
    ]
    assert powers[0] == pytest.approx(ratio * powers[1], rel=1e-12)
