"""The battery against closed forms and a published cell."""

import numpy as np
import pytest

from tests.run_down import run_down_time
from tradeopt.physics.battery import cell

WATT_HOUR = 3600.0
ONE = np.array([1.0])

# Open-circuit voltage [V] at states of charge 0, 0.1 .. 1 of the cell of Chen et al., J.
# Electrochem. Soc. 167:080534 (2020), recomputed with the PyBaMM parameter set "Chen2020"; its
# charge is 5.1532 Ah.
CHEN_VOLTAGE = np.array(
    [2.500, 3.296, 3.485, 3.581, 3.667, 3.751, 3.841, 3.948, 4.042, 4.097, 4.200]
)
CHEN_CHARGE = 5.1532 * 3600.0


def test_current_of_a_cell_at_20_w() -> None:
    # 3.6 V, 50 mohm, 20 W: 6.06674 A, 3.29666 V; most power 64.8 W (derived, verified
    # numerically).
    voltage, resistance, power = np.array(3.6), np.array(0.05), np.array(20.0)
    current = cell.current_at_power(voltage, resistance, power)
    assert current == pytest.approx(6.06674, abs=5e-6)
    assert cell.terminal_voltage(voltage, resistance, current) == pytest.approx(3.29666, abs=5e-6)
    assert cell.greatest_power(voltage, resistance) == pytest.approx(64.8, rel=1e-12)


def test_run_down_of_a_cell_with_straight_voltage() -> None:
    # 5 Ah, 4.1 to 3.1 V, 30 mohm, 18 W: 3441.877 s, which is 17.209 of the 18.00 Wh stored (closed
    # form of Q/(2 P (V_h - V_l)) [F(V_h) - F(V_l)], verified by quadrature to 1e-9 and with
    # PyBaMM's Thevenin model to 4e-5).
    table = np.array([3.1, 4.1])
    charge = np.array(5.0 * 3600.0)
    time = run_down_time(
        np.array([[18.0]]),
        ONE,
        capacity=charge,
        open_circuit_voltage=table,
        resistance=np.array([0.03, 0.03]),
        lowest=np.array(0.0),
        highest=np.array(1.0),
    )
    assert time == pytest.approx(3441.877, rel=1e-6)
    assert 18.0 * time / WATT_HOUR == pytest.approx(17.209, abs=5e-4)
    assert cell.stored_energy(charge, table) / WATT_HOUR == pytest.approx(18.00, rel=1e-9)


def test_mean_voltage_of_the_chen_cell() -> None:
    # SoC-mean of the open-circuit voltage 3.7221 V (recomputed with PyBaMM on a fine grid); eleven
    # points and straight lines miss 0.5 % of it at most.
    energy = cell.stored_energy(np.array(CHEN_CHARGE), CHEN_VOLTAGE)
    assert energy / CHEN_CHARGE == pytest.approx(3.7221, rel=5e-3)


@pytest.mark.parametrize(
    ("rate", "charge", "energy"),
    [
        pytest.param(0.2, 5.117, 18.78, id="C/5"),
        pytest.param(0.5, 5.069, 18.27, id="C/2"),
        pytest.param(1.0, 4.993, 17.51, id="1C"),
    ],
)
def test_energy_of_the_chen_cell_at_three_rates(rate: float, charge: float, energy: float) -> None:
    # PyBaMM SPMe, Chen2020, 25 degC, discharged at constant current to 2.5 V: charge [Ah] and
    # energy [Wh] (recomputed). Ours: the same mean power through 50 mohm; such a model is known to
    # be 0.6 to 1.3 % high, so 2 %.
    hours = charge / (rate * 5.0)
    power = np.array(energy / hours)
    resistance = np.full_like(CHEN_VOLTAGE, 0.05)
    end = cell.state_of_charge_at_cutoff(
        CHEN_VOLTAGE, resistance, power=power, cutoff_voltage=np.array(2.5)
    )
    time = run_down_time(
        np.array([[power]]),
        ONE,
        capacity=np.array(CHEN_CHARGE),
        open_circuit_voltage=CHEN_VOLTAGE,
        resistance=resistance,
        lowest=end,
        highest=np.array(1.0),
    )
    assert power * time / WATT_HOUR == pytest.approx(energy, rel=0.02)
