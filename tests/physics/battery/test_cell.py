"""Laws of the battery: power balance, limits as values, pulses cost charge, quadrature."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from tests.run_down import run_down_time
from tradeopt.arrays import Array
from tradeopt.physics.battery import cell
from tradeopt.physics.battery.run_down import stride_currents

law = settings(deadline=None, max_examples=60)
voltages = st.floats(2.5, 60.0).map(np.array)
resistances = st.floats(0.0, 0.2).map(np.array)
# A cell's usual shape: steep when nearly empty, then flat and rising; resistance doubles towards
# empty.
CHARGE = np.linspace(0.0, 1.0, 21)
VOLTAGE = 3.0 + 1.9 * CHARGE - 2.2 * CHARGE**2 + 1.45 * CHARGE**3
RESISTANCE = 0.03 * (1.0 + np.exp(-8.0 * CHARGE))


def _time(power: Array, share: Array, *, lowest: float = 0.1, highest: float = 1.0) -> Array:
    return run_down_time(
        power,
        share,
        capacity=np.array(18_000.0),
        open_circuit_voltage=VOLTAGE,
        resistance=RESISTANCE,
        lowest=np.array(lowest),
        highest=np.array(highest),
    )


@law
@given(voltage=voltages, resistance=resistances, part=st.floats(-1.0, 0.999))
def test_current_at_a_power_gives_that_power(
    voltage: Array, resistance: Array, part: float
) -> None:
    limit = cell.greatest_power(voltage, resistance)
    power = part * np.minimum(limit, 500.0)
    current = cell.current_at_power(voltage, resistance, power)
    terminal = cell.terminal_voltage(voltage, resistance, current)
    assert current * terminal == pytest.approx(power, rel=1e-9, abs=1e-9)
    assert cell.power_margin(voltage, resistance, power) >= 0.0


@law
@given(voltage=voltages, resistance=st.floats(0.001, 0.2).map(np.array), over=st.floats(1.0, 50.0))
def test_more_than_it_can_give_is_the_greatest_current_and_a_negative_margin(
    voltage: Array, resistance: Array, over: float
) -> None:
    power = over * cell.greatest_power(voltage, resistance)
    current = cell.current_at_power(voltage, resistance, power)
    assert current == pytest.approx(voltage / (2 * resistance), rel=1e-6)
    assert cell.power_margin(voltage, resistance, power) == pytest.approx(1 - over, abs=1e-9)


def test_without_resistance_power_is_voltage_times_current() -> None:
    current = cell.current_at_power(np.array(40.0), np.array(0.0), np.array([-80.0, 0.0, 200.0]))
    np.testing.assert_allclose(current, [-2.0, 0.0, 5.0])
    assert cell.greatest_power(np.array(40.0), np.array(0.0)) == np.inf


@law
@given(pulses=arrays(np.float64, (1, 12), elements=st.floats(-5.0, 25.0)))
def test_pulses_draw_more_charge_than_their_mean(pulses: Array) -> None:
    tables = {"open_circuit_voltage": np.array([3.2, 3.7]), "resistance": np.array([0.06, 0.04])}
    pulsed = stride_currents(pulses, **tables)
    even = stride_currents(pulses.mean(axis=-1, keepdims=True), **tables)
    assert (pulsed.mean >= even.mean - 1e-12).all()
    assert (pulsed.mean_square >= np.square(pulsed.mean) - 1e-12).all()


def test_a_pulsed_gait_ends_sooner() -> None:
    share = np.array([1.0])
    pulsed = _time(np.array([[2.0, 30.0]]), share)
    assert pulsed < 0.98 * _time(np.array([[16.0]]), share)


@pytest.mark.parametrize("power", [2.0, 9.0, 18.0])
def test_eight_points_are_enough(power: float) -> None:
    """Against fine trapezoids of ds/I, on a table with straight pieces and a steep end."""
    fine = np.linspace(0.1, 1.0, 200_001)
    current = cell.current_at_power(
        np.interp(fine, CHARGE, VOLTAGE), np.interp(fine, CHARGE, RESISTANCE), np.array(power)
    )
    expected = 18_000.0 * np.trapezoid(1.0 / current, fine)
    assert _time(np.array([[power]]), np.array([1.0])) == pytest.approx(expected, rel=2e-4)


@law
@given(share=st.floats(0.0, 1.0))
def test_rate_of_a_mix_is_the_mix_of_rates_of_an_even_battery(share: float) -> None:
    """With constant voltage the current, one over the time, is linear in the shares."""
    flat = {
        "capacity": np.array(18_000.0),
        "open_circuit_voltage": np.array([3.6, 3.6]),
        "resistance": np.array([0.04, 0.04]),
        "lowest": np.array(0.0),
        "highest": np.array(1.0),
    }
    power = np.array([[5.0, 9.0], [20.0, 24.0]])
    mix, first, second = (
        1.0 / run_down_time(power, np.array(shares), **flat)
        for shares in ([share, 1.0 - share], [1.0, 0.0], [0.0, 1.0])
    )
    assert mix == pytest.approx(share * first + (1.0 - share) * second, rel=1e-9)


def test_more_load_or_less_charge_ends_sooner() -> None:
    share = np.array([1.0])
    times = _time(np.array([[[5.0]], [[10.0]], [[20.0]]]), share)
    assert (np.diff(times) < 0.0).all()
    assert _time(np.array([[5.0]]), share, lowest=0.3) < times[0]


def test_nothing_left_is_no_time_and_nothing_drawn_is_for_ever() -> None:
    share = np.array([1.0])
    assert _time(np.array([[5.0]]), share, lowest=0.9, highest=0.5) == 0.0
    assert _time(np.array([[-5.0]]), share) == np.inf
    assert _time(np.array([[-5.0]]), share, lowest=1.0) == 0.0


def test_a_load_that_is_not_a_number_stays_one() -> None:
    """A broken design must not look like one that runs for ever."""
    assert np.isnan(_time(np.array([[np.nan, 5.0]]), np.array([1.0])))
    end = cell.state_of_charge_at_cutoff(
        VOLTAGE, RESISTANCE, power=np.array([np.nan, 5.0]), cutoff_voltage=np.array(2.8)
    )
    assert np.isnan(end[0])
    assert np.isfinite(end[1])
    assert np.isnan(cell.interpolate(np.array([np.nan]), VOLTAGE)).all()


@law
@given(
    table=arrays(np.float64, (3, 7), elements=st.floats(-5.0, 5.0)),
    places=arrays(np.float64, (4,), elements=st.floats(-0.5, 1.5)),
)
def test_interpolation_of_each_design_is_that_of_numpy(table: Array, places: Array) -> None:
    grid = np.linspace(0.0, 1.0, 7)
    expected = [np.interp(places, grid, row) for row in table]
    np.testing.assert_allclose(cell.interpolate(places, table), expected, atol=1e-12)


@law
@given(power=st.floats(0.0, 40.0), cutoff=st.floats(2.5, 3.6))
def test_at_the_cutoff_the_terminal_voltage_is_the_cutoff(power: float, cutoff: float) -> None:
    load, least = np.array(power), np.array(cutoff)
    end = cell.state_of_charge_at_cutoff(VOLTAGE, RESISTANCE, power=load, cutoff_voltage=least)

    def sagged(places: Array) -> Array:
        voltage = cell.interpolate(places, VOLTAGE)
        resistance = cell.interpolate(places, RESISTANCE)
        current = cell.current_at_power(voltage, resistance, load)
        return cell.terminal_voltage(voltage, resistance, current)

    above = np.linspace(float(end), 1.0, 50)
    assert (sagged(above) >= cutoff - 1e-9).all() or end == 1.0
    if 0.0 < end < 1.0:
        assert sagged(np.array([float(end)])) == pytest.approx(cutoff, rel=1e-9)


def test_cutoff_at_the_ends_of_the_charge() -> None:
    tables = (np.array([3.0, 4.0]), np.array([0.02, 0.02]))
    end = cell.state_of_charge_at_cutoff(
        *tables, power=np.array([-10.0, 1e4]), cutoff_voltage=np.array([2.9, 3.2])
    )
    np.testing.assert_array_equal(end, [0.0, 1.0])


def test_cutoff_counts_from_full_downwards() -> None:
    """A dip on the way down ends the charge, though below it the voltage would do again."""
    dip = np.array([3.5, 3.5, 3.0, 3.5, 4.0])
    end = cell.state_of_charge_at_cutoff(
        dip, np.zeros(5), power=np.array(1.0), cutoff_voltage=np.array(3.25)
    )
    assert end == pytest.approx(0.625)


@law
@given(power=st.floats(1.0, 20.0))
def test_energy_drawn_and_lost_is_the_energy_stored(power: float) -> None:
    """P t at the terminals plus R I^2 inside is what the voltage table holds."""
    voltage, resistance = np.array([3.1, 4.1]), np.array([0.05, 0.03])
    charge = np.array(18_000.0)
    time = run_down_time(
        np.array([[power]]),
        np.array([1.0]),
        capacity=charge,
        open_circuit_voltage=voltage,
        resistance=resistance,
        lowest=np.array(0.0),
        highest=np.array(1.0),
    )
    fine = np.linspace(0.0, 1.0, 2001)
    current = cell.current_at_power(
        np.interp(fine, [0, 1], voltage), np.interp(fine, [0, 1], resistance), np.array(power)
    )
    heat = charge * np.trapezoid(np.interp(fine, [0, 1], resistance) * current, fine)
    stored = cell.stored_energy(charge, voltage)
    assert power * time + heat == pytest.approx(stored, rel=1e-6)
