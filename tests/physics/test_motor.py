"""Laws of the motor: scaling keeps its identities, losses are positive, electric power adds up."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tradeopt.physics import motor

law = settings(deadline=None, max_examples=60)
scales = st.floats(0.3, 3.0)


@law
@given(radius=scales, length=scales, turns=scales)
def test_a_family_has_one_mechanical_time_constant(
    radius: float, length: float, turns: float
) -> None:
    """J/Km^2 is the same for every radius, length and winding of fixed radial build."""
    factors = motor.family_factors(np.array(radius), np.array(length), np.array(turns))
    assert factors.rotor_inertia / factors.motor_constant**2 == pytest.approx(1.0)


@law
@given(radius=scales, length=scales, turns=scales)
def test_motor_constant_of_a_scaled_motor_is_the_scaled_motor_constant(
    radius: float, length: float, turns: float
) -> None:
    torque_constant, resistance = np.array(0.12), np.array(0.09)
    factors = motor.family_factors(np.array(radius), np.array(length), np.array(turns))
    scaled = motor.motor_constant(
        torque_constant * factors.torque_constant, resistance * factors.resistance
    )
    reference = motor.motor_constant(torque_constant, resistance)
    assert scaled == pytest.approx(reference * factors.motor_constant, rel=1e-12)


@law
@given(radius=scales, length=scales, turns=scales)
def test_heat_of_the_scaled_peak_torque_fits_the_scaled_area(
    radius: float, length: float, turns: float
) -> None:
    """Peak torque is that of equal loss per winding area, whatever the winding."""
    factors = motor.family_factors(np.array(radius), np.array(length), np.array(turns))
    current = motor.current(factors.peak_torque, factors.torque_constant, np.array(np.inf))
    loss = motor.copper_loss(current, factors.resistance)
    reference = motor.copper_loss(np.array(1.0), np.array(1.0))
    assert loss / reference == pytest.approx(factors.area, rel=1e-12)


@law
@given(current=st.floats(-80.0, 80.0), speed=st.floats(-400.0, 400.0))
def test_losses_do_not_ask_for_the_direction(current: float, speed: float) -> None:
    both = np.array([1.0, -1.0])
    copper = motor.copper_loss(both * current, np.array(0.1))
    iron = motor.iron_loss(both * speed, np.array(0.03), np.array(2e-5))
    assert copper[0] == copper[1] >= 0.0
    assert iron[0] == iron[1] >= 0.0


@law
@given(torque=st.floats(-40.0, 40.0), saturation=st.floats(20.0, 400.0))
def test_torque_of_the_current_is_the_torque(torque: float, saturation: float) -> None:
    constant = np.array(0.14), np.array(saturation)
    current = motor.current(np.array(torque), *constant)
    assert motor.torque(current, *constant) == pytest.approx(torque, rel=1e-9, abs=1e-12)


@law
@given(torque=st.floats(0.01, 40.0), saturation=st.floats(20.0, 400.0))
def test_saturated_iron_only_takes_more_current(torque: float, saturation: float) -> None:
    unsaturated = torque / 0.14
    current = motor.current(np.array(torque), np.array(0.14), np.array(saturation))
    assert current > unsaturated
    if unsaturated == pytest.approx(saturation):
        assert current == pytest.approx(2.0 * unsaturated)


def test_the_saturation_current_is_where_a_torque_takes_twice_as_much() -> None:
    assert motor.current(np.array(14.0), np.array(0.14), np.array(100.0)) == pytest.approx(200.0)


@law
@given(radius=scales, length=scales, turns=scales)
def test_a_scaled_motor_saturates_at_the_scaled_torque(
    radius: float, length: float, turns: float
) -> None:
    """Equal current per circumference saturates alike, so the torque follows the peak torque."""
    factors = motor.family_factors(np.array(radius), np.array(length), np.array(turns))
    saturation = 100.0 * factors.peak_torque / factors.torque_constant
    torque = motor.torque(2.0 * saturation, 0.14 * factors.torque_constant, saturation)
    assert torque == pytest.approx(14.0 * factors.peak_torque, rel=1e-9)


def test_resistance_at_its_reference_temperature_is_itself() -> None:
    resistance = motor.resistance_at(
        np.array([0.1, 0.2]),
        np.array(motor.COPPER_REFERENCE_TEMPERATURE),
        reference_temperature=np.array(motor.COPPER_REFERENCE_TEMPERATURE),
        coefficient=np.array(motor.COPPER_COEFFICIENT),
    )
    np.testing.assert_array_equal(resistance, [0.1, 0.2])


def test_three_phase_currents_heat_as_the_amplitude_says() -> None:
    """Sum of R i_k^2 over three sinusoids 120 deg apart is 1.5 R i^2 at every moment."""
    turn = np.linspace(0.0, 2 * np.pi, 50)[:, np.newaxis]
    phases = 12.0 * np.cos(turn - np.array([0.0, 2.0, 4.0]) * np.pi / 3)
    np.testing.assert_allclose(
        (0.07 * phases**2).sum(axis=1), motor.copper_loss(np.array(12.0), np.array(0.07))
    )
