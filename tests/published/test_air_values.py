"""The standard atmosphere against its printed table and another program."""

import fluids
import numpy as np
import pytest

from tradeopt.physics import air

# ISO 2533:1975 table by geopotential altitude (from memory; agrees with the formula to the digits
# given).
DENSITY = {
    0.0: 1.2250,
    1000.0: 1.1116,
    2000.0: 1.0065,
    3000.0: 0.9091,
    4000.0: 0.8191,
    5000.0: 0.7361,
}
EARTH_RADIUS = 6_356_766.0
"""Radius that ties geometric to geopotential altitude [m], ISO 2533:1975."""


@pytest.mark.parametrize(("altitude", "expected"), DENSITY.items(), ids=lambda value: f"{value:g}")
def test_density_is_that_of_the_table(altitude: float, expected: float) -> None:
    place = np.array(altitude)
    assert air.density(place, air.temperature(place)) == pytest.approx(expected, rel=3e-4)


def test_top_of_the_layer() -> None:
    # US Standard Atmosphere 1976, table at H = 11 km: 216.65 K, 22 632 Pa, 0.36392 kg/m^3 (from
    # memory).
    top = np.array(11_000.0)
    assert air.temperature(top) == pytest.approx(216.65, abs=1e-9)
    assert air.pressure(top) == pytest.approx(22_632.0, abs=0.5)
    assert air.density(top, air.temperature(top)) == pytest.approx(0.36392, abs=5e-6)


def test_density_ratios_that_derate_cooling() -> None:
    # ISO 2533:1975: 0.8216, 0.7421 and 0.6687 of the density at sea level at 2, 3 and 4 km (from
    # memory).
    places = np.array([0.0, 2000.0, 3000.0, 4000.0])
    density = air.density(places, air.temperature(places))
    np.testing.assert_allclose(density[1:] / density[0], [0.8216, 0.7421, 0.6687], rtol=3e-4)


@pytest.mark.parametrize("geometric", [0.0, 500.0, 1000.0, 3000.0, 5000.0, 10_000.0])
def test_same_as_the_fluids_package_at_the_same_height(geometric: float) -> None:
    # Oracle: fluids.ATMOSPHERE_1976, which takes geometric altitude and has its own constants.
    oracle = fluids.ATMOSPHERE_1976(geometric)
    place = np.array(EARTH_RADIUS * geometric / (EARTH_RADIUS + geometric))
    assert air.temperature(place) == pytest.approx(oracle.T, rel=1e-6)
    assert air.pressure(place) == pytest.approx(oracle.P, rel=1e-5)
    assert air.density(place, air.temperature(place)) == pytest.approx(oracle.rho, rel=1e-5)
