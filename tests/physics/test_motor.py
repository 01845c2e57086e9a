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
    current = motor.current(factors.peak_torque, factors.torque_constant)
    loss = motor.copper_loss(current, factors.resistance)
    reference = motor.copper_loss(np.array(1.0), np.array(1.0))
    assert loss / reference == pytest.approx(factors.area, rel=1e-12)


@law
@given(
    current=st.floats(-60.0, 60.0),
    speed=st.floats(-300.0, 300.0),
    resistance=st.floats(0.01, 0.5),
    pole_pairs=st.integers(4, 21),
)
def test_electric_power_is_shaft_power_and_copper_loss(
    current: float, speed: float, resistance: float, pole_pairs: int
) -> None:
    """1.5 times q-axis voltage times current, with the inductance taking no mean power."""
    torque_constant = np.array(0.15)
    flux = motor.flux_linkage(torque_constant, np.array(pole_pairs))
    voltage = motor.terminal_voltage(
        np.array(current),
        np.array(speed),
        resistance=np.array(resistance),
        inductance=np.array(0.0),
        flux_linkage=flux,
        pole_pairs=np.array(pole_pairs),
    )
    electric = 1.5 * abs(voltage * current)
    shaft = torque_constant * current * speed
    copper = motor.copper_loss(np.array(current), np.array(resistance))
    assert electric == pytest.approx(abs(shaft + copper), rel=1e-9, abs=1e-9)


@law
@given(current=st.floats(0.0, 60.0), speed=st.floats(0.0, 300.0), inductance=st.floats(0.0, 5e-4))
def test_driving_needs_more_voltage_than_braking(
    current: float, speed: float, inductance: float
) -> None:
    driving, braking = motor.terminal_voltage(
        np.array([current, -current]),
        np.array(speed),
        resistance=np.array(0.1),
        inductance=np.array(inductance),
        flux_linkage=np.array(0.01),
        pole_pairs=np.array(10.0),
    )
    assert driving >= braking


@law
@given(current=st.floats(-80.0, 80.0), speed=st.floats(-400.0, 400.0))
def test_losses_do_not_ask_for_the_direction(current: float, speed: float) -> None:
    both = np.array([1.0, -1.0])
    copper = motor.copper_loss(both * current, np.array(0.1))
    iron = motor.iron_loss(both * speed, np.array(0.03), np.array(2e-5))
    assert copper[0] == copper[1] >= 0.0
    assert iron[0] == iron[1] >= 0.0


def test_torque_of_the_current_is_the_torque() -> None:
    torque, constant = np.array([-4.0, 0.0, 7.0]), np.array(0.14)
    np.testing.assert_allclose(motor.current(torque, constant) * constant, torque)


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
