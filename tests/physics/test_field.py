"""Laws of the two axes: power adds up, weakening just reaches the voltage."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tradeopt.physics import field, motor

law = settings(deadline=None, max_examples=60)
PHASE = field.Phase(*(np.array(x) for x in (0.1, 1e-4, 0.01, 10.0)))


@law
@given(
    current=st.floats(-60.0, 60.0),
    field_current=st.floats(-60.0, 0.0),
    speed=st.floats(-300.0, 300.0),
)
def test_electric_power_is_shaft_power_and_copper_loss(
    current: float, field_current: float, speed: float
) -> None:
    """1.5 (v_d i_d + v_q i_q), from the two axes' own equations; inductance takes none."""
    w = 10.0 * speed
    along_d = 0.1 * field_current - w * 1e-4 * current
    along_q = 0.1 * current + w * (0.01 + 1e-4 * field_current)
    found = field.terminal_voltage(
        np.array(current), np.array(field_current), np.array(speed), PHASE
    )
    assert found == pytest.approx(np.hypot(along_d, along_q), rel=1e-12, abs=1e-12)
    electric = 1.5 * (along_d * field_current + along_q * current)
    shaft = 1.5 * 10.0 * 0.01 * current * speed
    copper = motor.copper_loss(np.array(np.hypot(current, field_current)), np.array(0.1))
    assert electric == pytest.approx(shaft + copper, rel=1e-9, abs=1e-9)


@law
@given(current=st.floats(0.0, 60.0), speed=st.floats(0.0, 300.0), inductance=st.floats(0.0, 5e-4))
def test_driving_needs_more_voltage_than_braking(
    current: float, speed: float, inductance: float
) -> None:
    phase = PHASE._replace(inductance=np.array(inductance))
    driving, braking = field.terminal_voltage(
        np.array([current, -current]), np.array(0.0), np.array(speed), phase
    )
    assert driving >= braking


@law
@given(
    current=st.floats(-40.0, 40.0), speed=st.floats(-400.0, 400.0), voltage=st.floats(5.0, 40.0)
)
def test_weakening_reaches_the_voltage_with_the_least_current(
    current: float, speed: float, voltage: float
) -> None:
    given_ = (np.array(current), np.array(speed), PHASE)
    needed = field.weakening_current(*given_, voltage=np.array(voltage))
    courses = np.linspace(-300.0, 0.0, 3001)
    voltages = field.terminal_voltage(given_[0], courses, given_[1], PHASE)
    enough = courses[voltages <= voltage]
    if enough.size:
        # none is needed where the first of all courses is none
        assert enough[-1] <= needed + 1e-9
        assert needed - enough[-1] <= 0.1 + 1e-9
        met = field.terminal_voltage(given_[0], needed, given_[1], PHASE)
        assert met <= voltage * (1 + 1e-9)
    elif voltages.min() > voltage * 1.001:
        met = field.terminal_voltage(given_[0], needed, given_[1], PHASE)
        assert met <= voltages.min() * (1 + 1e-9)


@law
@given(speed=st.floats(0.0, 400.0), voltage=st.floats(5.0, 40.0))
def test_the_largest_current_just_meets_the_voltage(speed: float, voltage: float) -> None:
    largest = field.largest_current(np.array(speed), PHASE, voltage=np.array(voltage))
    needed = field.terminal_voltage(largest, np.array(0.0), np.array(speed), PHASE)
    if largest > 0.0:
        assert needed == pytest.approx(voltage, rel=1e-9)
    else:
        assert needed >= voltage * (1 - 1e-9)
