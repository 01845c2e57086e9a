"""The pendulum that carries the walk against its closed form."""

import numpy as np
import pytest

from tradeopt.physics.walking.balance import periodic_sway
from tradeopt.physics.walking.impact import collision_loss
from tradeopt.physics.walking.periodic import derivatives


def test_linear_inverted_pendulum_of_point_feet() -> None:
    """Kajita et al., IROS 2001; numbers derived from the closed form, verified numerically.

    Height 0.8 m, step 0.5 m in 0.5 s, g = 9.81 m/s2: speed 1.243301 m/s when the foot changes,
    0.882831 m/s over the foot, orbital energy 0.389695 m2/s2, capture offset 0.35505 m.

    Point feet make the zero-moment point jump, so that the harmonics of the speed fall off as
    1/n^2 only: 2^16 phases leave errors of some 1e-5.
    """
    height, step, duration, gravity, phases = 0.8, 0.5, 0.5, 9.81, 2**16
    time = (np.arange(phases) + 0.5) * duration / phases
    mean_speed = step / duration
    foot = -mean_speed * (time - duration / 2)
    centre = periodic_sway(foot, duration, height, gravity)
    speed = mean_speed + derivatives(centre, duration)[0]
    ahead = centre - foot
    middle = phases // 2
    assert ahead[0] == pytest.approx(-step / 2, abs=2e-5)
    assert speed[0] == pytest.approx(1.243301, abs=5e-5)
    assert speed[middle] == pytest.approx(0.882831, abs=5e-5)
    energy = speed**2 / 2 - gravity * ahead**2 / (2 * height)
    assert energy[middle] == pytest.approx(0.389695, abs=5e-5)
    # capture offset: where the pendulum would come to rest, from the centre of mass
    assert speed[0] * np.sqrt(height / gravity) == pytest.approx(0.35505, abs=2e-5)


def test_the_rimless_wheel_loses_half_the_turned_speed_squared() -> None:
    """T. McGeer, IJRR 9(2):62-82, 1990 (point mass); number derived from the closed form.

    70 kg at 1.25 m/s, legs 30 degrees apart: 13.67 J.
    """
    step = 2 * 0.9 * np.sin(np.radians(15.0))
    lost = collision_loss(np.array(70.0), np.array(1.25), step, np.array(0.9))
    assert lost == pytest.approx(13.67, abs=0.005)
