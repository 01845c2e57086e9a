"""The map of a motor, against the laws that it inverts."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from tradeopt.physics import field, heat, motor
from tradeopt.physics.torque_speed import currents_at_voltage, lasting_current


@given(
    st.floats(0.0, 300.0),
    st.floats(10.0, 60.0),
    st.floats(0.02, 0.5),
    st.floats(0.0, 4e-4),
)
def test_both_currents_take_the_whole_voltage(
    speed: float, voltage: float, resistance: float, inductance: float
) -> None:
    phase = {
        "resistance": np.array(resistance),
        "inductance": np.array(inductance),
        "flux_linkage": np.array(0.008),
        "pole_pairs": np.array(12.0),
    }
    found = currents_at_voltage(np.array(speed), np.array(voltage), **phase)
    for current in found:
        needed = field.terminal_voltage(
            current, np.array(0.0), np.array(speed), field.Phase(**phase)
        )
        assert np.isnan(current) or abs(float(needed) / voltage - 1.0) < 1e-6
    assert np.isnan(found.driving) or found.braking <= found.driving


def test_beyond_the_fastest_speed_there_is_no_current() -> None:
    found = currents_at_voltage(
        np.array([240.0, 260.0]),
        np.array(24.0),
        resistance=np.array(1e-3),
        inductance=np.array(0.1),
        flux_linkage=np.array(0.01),
        pole_pairs=np.array(10.0),
    )
    # with next to no resistance the current is gone where 10 x 0.01 Wb x speed reaches 24 V
    assert_allclose(found.driving[0], 0.0, atol=1e-3)
    assert np.isnan(found.driving[1])


@given(st.floats(5.0, 120.0), st.floats(0.0, 15.0))
def test_a_lasting_current_settles_at_its_temperature(rise: float, iron: float) -> None:
    """Twin: the steady temperatures of the network under the loss of that current."""
    ambient, cold = 301.15, 0.1
    hot = motor.resistance_at(
        np.array(cold),
        np.array(ambient + rise),
        reference_temperature=np.array(motor.COPPER_REFERENCE_TEMPERATURE),
        coefficient=np.array(motor.COPPER_COEFFICIENT),
    )
    resistances = {"winding_to_housing": np.array(0.5), "housing_to_ambient": np.array(1.5)}
    current = lasting_current(np.array(rise), np.array(iron), hot_resistance=hot, **resistances)
    if np.isnan(current):
        assert 1.5 * iron > rise
        return
    steady = heat.steady_temperatures(
        motor.copper_loss(current, np.array(cold)),
        np.array(iron),
        **resistances,
        ambient=np.array(ambient),
        reference_temperature=np.array(motor.COPPER_REFERENCE_TEMPERATURE),
        coefficient=np.array(motor.COPPER_COEFFICIENT),
    )
    assert_allclose(steady.winding - ambient, rise, rtol=1e-9)
