"""The mission stage: published walkers end to end, legs in order, and its corners."""

import math
from typing import Any

import numpy as np
import pytest

from tests.stages.walker import WATT_HOUR, one_charge, sit, stay, walk


def test_long_distance_walker_end_to_end() -> None:
    # Bhounsule, Cortell, Grewal, Hendriksen, Karssen, Paul, Ruina, IJRR 33(10):1305-1321 (2014),
    # abstract and laboratory page: 16 W, 65.18 km in 110 942 s, cost 0.28, 307.75 laps; 9.91 kg
    # and 493 Wh from memory.
    lap = 65_180.0 / 307.75
    v = one_charge(
        {"lap": walk(0, lap)},
        powers=[16.0],
        speeds=[65_180.0 / 110_942.0],
        energy_stored=493.0 * WATT_HOUR,
        mass=9.91,
    )
    assert v["range"] == pytest.approx(65_180.0, rel=0.01)
    assert v["endurance"] == pytest.approx(110_942.0, rel=0.01)
    assert v["cost_of_transport"] == pytest.approx(0.28, rel=0.01)
    assert v["completed_rounds"] == pytest.approx(307, abs=1)


def test_long_distance_walker_improved_gait() -> None:
    # Same source: 11.5 W at a cost of 0.19, which is 0.623 m/s (recomputed).
    v = one_charge(
        {"lap": walk(0, 200.0)},
        powers=[11.5],
        speeds=[0.623],
        energy_stored=493.0 * WATT_HOUR,
        mass=9.91,
    )
    assert v["cost_of_transport"] == pytest.approx(0.19, rel=0.02)
    assert v["range"] == pytest.approx(493.0 * WATT_HOUR / (0.19 * 9.91 * 9.81), rel=0.02)


def test_full_size_walker() -> None:
    """Just over 400 W: eight hours take 3.2 kWh, and 2.8 km at 0.19 m/s four hours and a bit.

    Facts of the trade: common practice, no source.
    """
    v = one_charge(
        {"leg": walk(0, 2800.0)}, powers=[402.0], speeds=[0.19], energy_stored=3.2e3 * WATT_HOUR
    )
    assert v["endurance"] / 3600.0 == pytest.approx(8.0, rel=0.02)
    assert 4.0 < v["leg_time"][0] / 3600.0 < 4.2
    assert v["completed_rounds"] == 1
    assert 5000.0 < v["range"] < 5600.0


def test_the_charge_ends_in_the_leg_whose_turn_it_is() -> None:
    # a round: 1 h at 100 W, 0.5 h standing at 50 W, 0.5 h sitting at 10 W, which is 130 Wh in 2 h;
    # 300 Wh are two rounds and 0.4 h of the third way out
    v = one_charge(
        {"out": walk(0, 1800.0), "look": stay(1, 1800.0), "rest": sit(1800.0)},
        powers=[100.0, 50.0],
        speeds=[0.5, 0.0],
        energy_stored=300.0 * WATT_HOUR,
        sitting=10.0,
    )
    np.testing.assert_allclose(v["leg_run_time"] / 3600.0, [2.4, 1.0, 1.0], rtol=1e-9)
    assert v["completed_rounds"] == 2
    assert v["range"] == pytest.approx(2.4 * 1800.0, rel=1e-9)
    assert v["endurance"] == pytest.approx(4.4 * 3600.0, rel=1e-9)
    np.testing.assert_allclose(v["gait_share"], [0.5, 0.25], rtol=1e-12)
    assert v["round_strides"] == pytest.approx(3600.0), "one stride a second, none while standing"
    # 130 Wh over 80 kg and 1800 m
    expected = 130.0 * WATT_HOUR / (80.0 * 9.81 * 1800.0)
    assert v["cost_of_transport"] == pytest.approx(expected, rel=1e-9)


def test_the_order_of_the_legs_counts_where_few_rounds_fit() -> None:
    legs = {"hard": walk(0, 1000.0), "easy": walk(1, 1000.0)}
    load: dict[str, Any] = {
        "powers": [400.0, 100.0],
        "speeds": [0.5, 0.5],
        "energy_stored": 200.0 * WATT_HOUR,
    }
    hard_first = one_charge(legs, **load)
    easy_first = one_charge(dict(reversed(legs.items())), **load)
    # 200 Wh: 900 m of the hard leg; or 1000 m of the easy one (55.6 Wh) and 650 m of the hard one
    assert hard_first["range"] == pytest.approx(900.0, rel=1e-9)
    assert easy_first["range"] == pytest.approx(1650.0, rel=1e-9)
    assert hard_first["completed_rounds"] == easy_first["completed_rounds"] == 0


def test_reserve_and_charge_at_the_start_scale_the_range() -> None:
    load: dict[str, Any] = {"powers": [100.0], "speeds": [0.5], "energy_stored": 500.0 * WATT_HOUR}
    whole = one_charge({"out": walk(0, 500.0)}, **load)["range"]
    part = one_charge({"out": walk(0, 500.0)}, reserve=0.1, full=0.95, age=0.5, **load)["range"]
    # half of a life takes half of the fifth that the end of life takes
    assert part == pytest.approx(whole * 0.85 * 0.9, rel=1e-9)


def test_a_distance_in_a_gait_that_walks_nowhere_is_a_negative_margin() -> None:
    v = one_charge(
        {"out": walk(0, 500.0), "stuck": walk(1, 500.0)},
        powers=[100.0, 50.0],
        speeds=[0.5, 0.0],
        energy_stored=300.0 * WATT_HOUR,
    )
    np.testing.assert_array_equal(v["leg_progress_margin"], [1.0, -1.0])
    assert np.isnan(v["range"])


def test_standing_all_day_walks_nowhere_and_has_no_cost_of_transport() -> None:
    v = one_charge(
        {"watch": stay(0, 600.0)}, powers=[50.0], speeds=[0.0], energy_stored=100.0 * WATT_HOUR
    )
    assert v["range"] == 0.0
    assert v["endurance"] == pytest.approx(7200.0)
    assert v["completed_rounds"] == 12
    assert np.isnan(v["cost_of_transport"])


def test_braking_into_cold_or_full_cells_is_a_negative_margin() -> None:
    load: dict[str, Any] = {"speeds": [0.5], "energy_stored": 300.0 * WATT_HOUR}
    legs = {"down": walk(0, 500.0)}
    warm = one_charge(legs, powers=[100.0], **load)
    assert min(warm[f"charge_{name}_margin"] for name in ("current", "voltage")) > 0.0
    frozen = one_charge(legs, powers=[-100.0], bay_rise=-28.0, **load)
    driving = one_charge(legs, powers=[100.0], bay_rise=-28.0, **load)
    assert frozen["cell_cold_margin"] < 0.0 < driving["cell_cold_margin"]


def test_pack_heat_is_what_leaves_through_its_case() -> None:
    v = one_charge(
        {"out": walk(0, 500.0)},
        powers=[100.0],
        speeds=[0.5],
        energy_stored=300.0 * WATT_HOUR,
        **{f"cell.resistance_{10 * point}": 0.01 for point in range(11)},
    )
    # P = I (3.6 - 0.01 I) at 100 W: I = 30.334 A, which loses 9.201 W; a litre is a cube of 0.1 m
    lost = 0.01 * ((3.6 - math.sqrt(3.6**2 - 4.0 * 0.01 * 100.0)) / 0.02) ** 2
    assert v["cell_temperature"][0] - 293.15 == pytest.approx(lost / (5.0 * 0.06), rel=1e-5)
    assert v["pack_loss"] == pytest.approx(lost * v["endurance"], rel=1e-6)
    assert v["pack_loss"] + 100.0 * v["endurance"] == pytest.approx(300.0 * WATT_HOUR, rel=1e-6)
