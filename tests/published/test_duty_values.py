"""Duty cycles of textbooks, with one warm body: the winding tied tightly to its housing.

All from Gupta and Singhal, "Fundamentals of Electric Drives and Control", and Wadhwa, "Generation,
Distribution and Utilization of Electrical Energy": inputs from public worked solutions, worked out
anew.
"""

import numpy as np
import pytest

from tradeopt.physics import warming

CAPACITY = 3600.0
"""Heat capacity of the one body [J/K]; it cancels."""
TIGHT = 1e-7


def network(*time_constants: float) -> warming.Network:
    """One body by its time constant in each leg [min]; the winding is a thousandth of it."""
    outer = np.array(time_constants) * 60.0 / CAPACITY
    parts = (TIGHT, outer, 1e-3 * CAPACITY, (1 - 1e-3) * CAPACITY)
    return warming.Network(*(np.broadcast_to(part, outer.shape) for part in parts))


def loads(*losses: float) -> warming.Load:
    nothing = np.zeros(len(losses))
    return warming.Load(np.array(losses), nothing, nothing)


def loss_for(final_rise: float, time_constant: float) -> float:
    """Loss that ends at a rise, with a time constant [min]."""
    return final_rise * CAPACITY / (time_constant * 60.0)


@pytest.mark.parametrize(
    ("final", "minutes", "constants", "peak"),
    [
        pytest.param(50.0, (30.0, 45.0), (110.0, 150.0), 27.37, id="50 K, 30 on and 45 off"),
        pytest.param(55.0, (15.0, 25.0), (100.0, 140.0), 27.36, id="55 K, 15 on and 25 off"),
    ],
)
def test_periodic_duty_peaks_where_the_book_says(
    final: float, minutes: tuple[float, float], constants: tuple[float, float], peak: float
) -> None:
    rises = warming.rounds_from_cold(
        np.array(minutes) * 60.0,
        loads(loss_for(final, constants[0]), 0.0),
        network(*constants),
        rounds=np.array(1e6),
    )
    assert rises.housing_peak[0] == pytest.approx(peak, abs=6e-3)


@pytest.mark.parametrize(
    ("rated", "on", "constant", "short_time"),
    [
        pytest.param(50.0, 15.0, 80.0, 120.9, id="50 kW for 15 minutes"),
        pytest.param(25.0, 30.0, 90.0, 46.96, id="25 kW for 30 minutes"),
        pytest.param(100.0, 30.0, 90.0, 187.8, id="100 hp for 30 minutes"),
    ],
)
def test_short_time_rating_is_as_warm_as_for_ever(
    rated: float, on: float, constant: float, short_time: float
) -> None:
    """Loss grows with the square of the load."""
    share = (short_time / rated) ** 2
    rises = warming.rounds_from_cold(
        np.array([on * 60.0]),
        loads(share * loss_for(40.0, constant)),
        network(constant),
        rounds=np.array(1.0),
    )
    assert rises.housing_peak[0] == pytest.approx(40.0, rel=2e-3)


def test_intermittent_rating_is_as_warm_as_for_ever() -> None:
    # 50 kW for ever; 15 minutes on with 80 minutes' time constant, 20 off with 110: 67.20 kW.
    rises = warming.rounds_from_cold(
        np.array([15.0, 20.0]) * 60.0,
        loads((67.20 / 50.0) ** 2 * loss_for(40.0, 80.0), 0.0),
        network(80.0, 110.0),
        rounds=np.array(1e6),
    )
    assert rises.housing_peak[0] == pytest.approx(40.0, rel=2e-3)
