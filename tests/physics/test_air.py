"""Laws of the standard atmosphere and where it ends."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tradeopt.physics import air

law = settings(deadline=None, max_examples=60)
altitudes = st.floats(-4_900.0, 10_900.0)


@law
@given(altitude=altitudes)
def test_pressure_holds_up_the_air_above(altitude: float) -> None:
    """The slope of the pressure is minus density times gravity."""
    step = 1.0
    below, above = air.pressure(np.array([altitude - step, altitude + step]))
    place = np.array(altitude)
    density = air.density(place, air.temperature(place))
    assert (above - below) / (2 * step) == pytest.approx(-density * 9.80665, rel=1e-6)


@law
@given(altitude=altitudes, warmer=st.floats(0.1, 40.0))
def test_warm_air_is_thin(altitude: float, warmer: float) -> None:
    place = np.array(altitude)
    standard = air.temperature(place)
    ratio = air.density(place, standard + warmer) / air.density(place, standard)
    assert ratio == pytest.approx(standard / (standard + warmer), rel=1e-12)


@pytest.mark.parametrize("altitude", [-5_001.0, 11_001.0, np.nan])
def test_outside_the_layer_there_is_no_answer(altitude: float) -> None:
    place = np.array(altitude)
    answers = (
        air.temperature(place),
        air.pressure(place),
        air.density(place, np.array(290.0)),
    )
    assert np.isnan(answers).all()


def test_ends_of_the_layer_belong_to_it() -> None:
    assert np.isfinite(air.pressure(np.array([-5_000.0, 11_000.0]))).all()
