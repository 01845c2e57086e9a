"""Laws of the pack: cold, age, wiring and heat."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tradeopt.physics.battery import cell, pack

law = settings(deadline=None, max_examples=60)
TABLE = np.array([4.6, 1.9, 1.0, 0.76, 0.66])


def test_a_table_over_temperature_is_read_at_its_points_and_held_beyond() -> None:
    at_points = pack.at_temperature(273.15 + np.array([-20.0, 0.0, 20.0, 40.0, 60.0]), TABLE)
    np.testing.assert_allclose(at_points, TABLE)
    np.testing.assert_allclose(pack.at_temperature(np.array([200.0, 400.0]), TABLE), [4.6, 0.66])
    assert pack.at_temperature(np.array(263.15), TABLE) == pytest.approx((4.6 + 1.9) / 2)


@law
@given(age=st.floats(0.0, 1.0))
def test_age_goes_from_new_to_the_end_of_life(age: float) -> None:
    assert pack.aged(np.array(0.8), np.array(age)) == pytest.approx(1.0 - 0.2 * age)


@law
@given(
    own=st.floats(0.0, 0.1),
    wiring=st.floats(0.0, 0.05),
    series=st.integers(1, 20),
    parallel=st.integers(1, 30),
    current=st.floats(-100.0, 100.0),
)
def test_cells_and_wiring_lose_what_the_pack_loses(
    own: float, wiring: float, series: int, parallel: int, current: float
) -> None:
    whole = pack.with_wiring(
        np.array(own), np.array(wiring), series=np.array(series), parallel=np.array(parallel)
    )
    of_cells = series * parallel * whole * (current / parallel) ** 2
    of_pack = (series / parallel * own + wiring) * current**2
    assert of_cells == pytest.approx(of_pack, rel=1e-9, abs=1e-12)


def test_a_bigger_pack_of_the_same_load_is_cooler() -> None:
    cells = np.array([60.0, 120.0, 240.0])
    loss = 20.0 / cells**2  # the same current in all, so that the loss falls with the cells
    rise = pack.cell_rise(
        loss,
        cells=cells,
        cell_to_case=np.array(3.0),
        film=np.array(6.0),
        edge=np.cbrt(cells * 44e-6),
    )
    assert (np.diff(rise) < 0.0).all()


def test_all_heat_leaves_through_the_case() -> None:
    edge, film, cells, loss = 0.2, 6.0, 100.0, 0.05
    rise = pack.cell_rise(
        np.array(loss),
        cells=np.array(cells),
        cell_to_case=np.array(0.0),
        film=np.array(film),
        edge=np.array(edge),
    )
    assert film * 6.0 * edge**2 * rise == pytest.approx(cells * loss, rel=1e-12)


def test_cold_takes_charge_and_voltage() -> None:
    cold, warm = pack.at_temperature(np.array([258.15, 293.15]), TABLE)
    volts = [
        cell.terminal_voltage(
            np.array(3.6),
            factor * 0.024,
            cell.current_at_power(np.array(3.6), factor * 0.024, np.array(9.0)),
        )
        for factor in (cold, warm)
    ]
    assert volts[0] < volts[1]
