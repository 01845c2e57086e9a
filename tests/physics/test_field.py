"""Laws of the two axes: power adds up, weakening just reaches the voltage."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tradeopt.physics import field, motor

law = settings(deadline=None, max_examples=60)
speeds = st.floats(-500.0, 500.0).filter(lambda speed: abs(speed) > 1e-3 or speed == 0.0)
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
@given(speed=st.floats(-400.0, 400.0), voltage=st.floats(5.0, 40.0))
def test_the_largest_current_just_meets_the_voltage(speed: float, voltage: float) -> None:
    largest = field.largest_current(np.array(speed), PHASE, voltage=np.array(voltage))
    needed = field.terminal_voltage(largest, np.array(0.0), np.array(speed), PHASE)
    if largest > 0.0:
        assert needed == pytest.approx(voltage, rel=1e-9)
    else:
        assert needed >= voltage * (1 - 1e-9)


def test_beyond_the_fastest_speed_no_current_drives() -> None:
    # with next to no resistance the current is gone where 10 x 0.01 Wb x speed reaches 24 V
    phase = field.Phase(*(np.array(x) for x in (1e-3, 0.1, 0.01, 10.0)))
    found = field.largest_current(np.array([200.0, 240.0, 260.0]), phase, voltage=np.array(24.0))
    assert found[0] > 0.0
    assert found[1:] == pytest.approx([0.0, 0.0], abs=1e-3)


@law
@given(
    speed=speeds,
    voltage=st.floats(5.0, 40.0),
    amplitude=st.floats(1.0, 120.0),
    inductance=st.floats(0.0, 4e-4),
)
def test_the_largest_weakened_current_is_the_largest_of_all_fields(
    speed: float, voltage: float, amplitude: float, inductance: float
) -> None:
    """Twin: every d-axis current tried, and the largest root on the q axis beside it."""
    phase = PHASE._replace(inductance=np.array(inductance))
    found = field.largest_weakened_current(
        np.array(speed), phase, voltage=np.array(voltage), amplitude=np.array(amplitude)
    )
    tried = np.linspace(-amplitude, 0.0, 4001)
    w = 10.0 * speed
    # (R i_q + w (lambda + L i_d))^2 + (R i_d - w L i_q)^2 = V^2, solved for i_q
    square, emf = 0.1**2 + (w * inductance) ** 2, w * 0.01
    skew = square * tried + w * inductance * emf
    under = voltage**2 * square - skew**2
    root = np.where(under >= 0.0, np.sqrt(np.maximum(under, 0.0)) - 0.1 * emf, -1.0) / square
    least = np.where(under >= 0.0, -np.sqrt(np.maximum(under, 0.0)) - 0.1 * emf, 1.0) / square
    round_ = np.sqrt(np.maximum(amplitude**2 - tried**2, 0.0))
    best = np.where(least <= round_, np.minimum(root, round_), 0.0).max()
    assert found >= best - 1e-6 * amplitude
    assert found <= max(best, 0.0) + 0.03 * amplitude


@law
@given(speed=speeds, voltage=st.floats(5.0, 40.0))
def test_without_inductance_weakening_does_not_help(speed: float, voltage: float) -> None:
    phase, there = PHASE._replace(inductance=np.array(0.0)), np.array(voltage)
    plain = field.largest_current(np.array(speed), phase, voltage=there)
    found = field.largest_weakened_current(
        np.array(speed), phase, voltage=there, amplitude=np.array(1e4)
    )
    assert found == pytest.approx(float(plain), rel=1e-6, abs=1e-6)
