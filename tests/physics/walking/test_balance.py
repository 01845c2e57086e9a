import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from tradeopt.physics.walking.balance import periodic_sway
from tradeopt.physics.walking.periodic import derivatives

AMPLITUDES = st.lists(st.floats(-0.2, 0.2), min_size=3, max_size=3)


@given(AMPLITUDES, st.floats(0.4, 2.0), st.floats(0.5, 1.2))
def test_the_sway_obeys_the_pendulum(
    amplitudes: list[float], period: float, height: float
) -> None:
    angle = 2 * np.pi * np.arange(32) / 32
    point = np.asarray(sum(a * np.sin(n * angle + n) for n, a in enumerate(amplitudes)))
    centre = periodic_sway(point, period, height, 9.81)
    acceleration = derivatives(centre, period)[1]
    np.testing.assert_allclose(acceleration, 9.81 / height * (centre - point), atol=1e-10)


def test_a_point_at_rest_has_the_centre_of_mass_above_it() -> None:
    np.testing.assert_allclose(periodic_sway(np.full((2, 8), 0.3), 1.0, 0.8, 9.81), 0.3)
