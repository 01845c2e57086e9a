"""Motor laws against textbook examples and closed forms."""

import numpy as np
import pytest
from scipy.optimize import brentq

from tradeopt.physics import bus, field, motor

ZERO_CELSIUS = 273.15


def test_bird_problem_3_08_copper_from_0_to_70_degc() -> None:
    # Bird, "Electrical Circuit Theory and Technology", Pr. 3.08: 100 ohm at 0 degC, 0.0043 /K ->
    # 130.1 ohm at 70 degC; inputs from a public worked solution, recomputed. The coefficient
    # belongs to 0 degC.
    hot = motor.resistance_at(
        np.array(100.0),
        np.array(ZERO_CELSIUS + 70.0),
        reference_temperature=np.array(ZERO_CELSIUS),
        coefficient=np.array(0.0043),
    )
    assert hot == pytest.approx(130.1, abs=0.05)


def test_bird_problem_3_13_copper_from_20_to_90_degc() -> None:
    # Bird, Pr. 3.13: 200 ohm at 20 degC, 0.004 /K counted from 0 degC -> 252 ohm at 90 degC (252
    # to the ohm; recomputed).
    scale = motor.resistance_at(
        np.array(1.0),
        np.array([ZERO_CELSIUS + 20.0, ZERO_CELSIUS + 90.0]),
        reference_temperature=np.array(ZERO_CELSIUS),
        coefficient=np.array(0.004),
    )
    assert 200.0 * scale[1] / scale[0] == pytest.approx(252.0, abs=0.5)


def test_copper_from_20_to_100_degc_by_two_standards() -> None:
    # IEC 60028 (0.00393 /K at 20 degC) gives 1.3144; the resistance method of IEC 60034-1, (T2 +
    # 235)/(T1 + 235), gives 1.3137 (both from memory).
    warm = motor.resistance_at(
        np.array(1.0),
        np.array(ZERO_CELSIUS + 100.0),
        reference_temperature=np.array(motor.COPPER_REFERENCE_TEMPERATURE),
        coefficient=np.array(motor.COPPER_COEFFICIENT),
    )
    assert warm == pytest.approx(1.3144, abs=5e-5)
    assert warm == pytest.approx((100 + 235) / (20 + 235), rel=1e-3)


def test_copper_loses_all_resistance_where_iec_60028_says() -> None:
    # IEC 60028: the straight line reaches zero at -234.5 degC (from memory).
    zero = brentq(
        lambda temperature: float(
            motor.resistance_at(
                np.array(1.0),
                np.array(temperature),
                reference_temperature=np.array(motor.COPPER_REFERENCE_TEMPERATURE),
                coefficient=np.array(motor.COPPER_COEFFICIENT),
            )
        ),
        1.0,
        300.0,
    )
    assert zero - ZERO_CELSIUS == pytest.approx(-234.5, abs=0.1)


def test_turns_change_the_winding_but_not_the_motor() -> None:
    # Turns n: Kt ~ n, R ~ n^2, L ~ n^2, Km unchanged (derived, verified numerically).
    factors = motor.family_factors(np.array(1.0), np.array(1.0), np.array(3.0))
    assert factors.torque_constant == pytest.approx(3.0)
    assert factors.resistance == pytest.approx(9.0)
    assert factors.inductance == pytest.approx(9.0)
    assert factors.motor_constant == pytest.approx(1.0)


def test_radius_and_length_of_a_family() -> None:
    # Fixed radial build (Seok, Wang, Otten, Kim, IROS 2012; Wensing et al., IEEE T-RO
    # 33(3):509-522, 2017; derived): mass ~ r l, Km ~ r^1.5 l^0.5, J ~ r^3 l, torque at equal loss
    # density ~ r^2 l. Here r = 1.7, l = 0.6.
    factors = motor.family_factors(np.array(1.7), np.array(0.6), np.array(1.0))
    assert factors.mass == pytest.approx(1.7 * 0.6)
    assert factors.motor_constant == pytest.approx(1.7**1.5 * 0.6**0.5)
    assert factors.rotor_inertia == pytest.approx(1.7**3 * 0.6)
    torque_at_equal_loss_density = factors.motor_constant * np.sqrt(factors.mass)
    assert torque_at_equal_loss_density == pytest.approx(1.7**2 * 0.6)
    assert factors.peak_torque == pytest.approx(torque_at_equal_loss_density)


def test_hubert_example_1_7_iron_loss_at_another_frequency() -> None:
    # Hubert, "Electric Machines", Ex. 1.3 and 1.7: 846 W hysteresis and 642 W eddy loss at 25 Hz;
    # at 60 Hz and 0.62 of the flux density (exponents 1.4 and 2) 1.040 and 1.421 kW. Inputs from a
    # public worked solution, recomputed.
    before, after = 2 * np.pi * 25.0, 2 * np.pi * 60.0
    nothing = np.array(0.0)
    hysteresis, eddy = 846.0 / before * 0.62**1.4, 642.0 / before**2 * 0.62**2
    assert motor.iron_loss(np.array(after), np.array(hysteresis), nothing) == pytest.approx(
        1040.0, rel=1e-3
    )
    assert motor.iron_loss(np.array(after), nothing, np.array(eddy)) == pytest.approx(
        1421.0, rel=1e-3
    )


@pytest.mark.parametrize(
    ("hysteresis", "eddy", "frequencies", "expected"),
    [
        pytest.param(40.0, 20.0, (50.0, 60.0), 48.0 + 28.8, id="Bird problem 38.07"),
        pytest.param(400.0, 150.0, (50.0, 100.0), 1400.0, id="Bird problem 38.08"),
    ],
)
def test_iron_loss_splits_by_frequency(
    hysteresis: float, eddy: float, frequencies: tuple[float, float], expected: float
) -> None:
    # Bird, "Electrical Circuit Theory and Technology": loss at one frequency carried to another at
    # equal flux density; inputs from a public worked solution, recomputed.
    before, after = (2 * np.pi * frequency for frequency in frequencies)
    loss = motor.iron_loss(
        np.array(after), np.array(hysteresis / before), np.array(eddy / before**2)
    )
    assert loss == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(("current", "fastest"), [(0.0, 277.13), (20.0, 252.49)])
def test_speed_at_the_voltage_limit(current: float, fastest: float) -> None:
    # 0.1 ohm, 0.1 mH, 0.01 Wb, 10 pole pairs on 48 V: 277.13 rad/s without current, 252.49 at 20 A
    # (derived from (R i + w lambda)^2 + (w L i)^2 = V^2/3, verified numerically).
    phase = field.Phase(*(np.array(x) for x in (0.1, 1e-4, 0.01, 10.0)))
    there = bus.available_voltage(np.array(48.0))

    def over_limit(speed: float) -> float:
        needed = field.terminal_voltage(np.array(current), np.array(0.0), np.array(speed), phase)
        return float(needed - there)

    assert brentq(over_limit, 1.0, 1000.0) == pytest.approx(fastest, abs=5e-3)
    largest = field.largest_current(np.array(fastest), phase, voltage=there)
    assert largest == pytest.approx(current, abs=5e-3)


def test_motor_constant_from_line_to_line_data() -> None:
    # Km = 1.5 p lambda/sqrt(1.5 R) = (peak line-to-line back-EMF constant)/sqrt(line-to-line
    # resistance): derived, verified numerically. Peak line-to-line is sqrt(3) p lambda, the
    # resistance between two lines 2 R.
    pole_pairs, flux, resistance = 21.0, 0.0043, 0.077
    ours = motor.motor_constant(np.array(1.5 * pole_pairs * flux), np.array(resistance))
    assert ours == pytest.approx(
        np.sqrt(3.0) * pole_pairs * flux / np.sqrt(2.0 * resistance), rel=1e-12
    )
