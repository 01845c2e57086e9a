"""Winding and housing temperatures against closed forms and a textbook example."""

import numpy as np
import pytest

from tradeopt.physics import heat, warming

REFERENCE = {"reference_temperature": np.array(293.15), "coefficient": np.array(0.00393)}
TWO_NODES = warming.Network(*(np.array(x) for x in (1.7, 6.0, 16.9 / 1.7, 593.0 / 6.0)))
COLD = warming.Rises(np.array(0.0), np.array(0.0))


def _load(copper: float, iron: float = 0.0) -> warming.Load:
    """Losses of a winding whose resistance stays."""
    return warming.Load(np.array(copper), np.array(0.0), np.array(iron))


def _at_25_degc(loss: float, *, coefficient: float = 0.00393) -> heat.SteadyTemperatures:
    return heat.steady_temperatures(
        np.array(loss),
        np.array(0.0),
        winding_to_housing=np.array(0.5),
        housing_to_ambient=np.array(1.5),
        ambient=np.array(298.15),
        reference_temperature=np.array(293.15),
        coefficient=np.array(coefficient),
    )


def test_winding_with_copper_that_warms() -> None:
    # Air 25 degC, 2 K/W in all, 30 W at 20 degC: rise 80.056 K, 1.334 times the 60 K of constant
    # resistance. Derived from dT = R P (1 + a (T_a - 20))/(1 - a R P), verified numerically.
    rise = _at_25_degc(30.0).winding - 298.15
    assert rise == pytest.approx(80.056, abs=5e-4)
    without_feedback = _at_25_degc(30.0, coefficient=0.0).winding - 298.15
    assert without_feedback == pytest.approx(60.0, abs=1e-9)
    assert rise / without_feedback == pytest.approx(1.334, abs=5e-4)


def test_runaway_begins_at_127_w() -> None:
    # 1/(0.00393 x 2 K/W) = 127.2 W (derived, verified numerically).
    assert _at_25_degc(127.2).runaway_margin == pytest.approx(0.0, abs=3e-4)
    assert _at_25_degc(127.1).runaway_margin > 0.0 > _at_25_degc(127.3).runaway_margin


def test_time_constants_of_two_nodes() -> None:
    # 1.7 and 6.0 K/W, 9.941 and 98.83 J/K: 15.318 and 654.23 s, not 16.9 and 593 (derived,
    # verified numerically).
    constants = warming.time_constants(TWO_NODES)
    assert constants.fast == pytest.approx(15.318, rel=5e-5)
    assert constants.slow == pytest.approx(654.23, rel=1e-5)


@pytest.mark.parametrize(
    ("time", "winding", "housing"),
    [
        pytest.param(10.0, 6.109, 0.194, id="10 s"),
        pytest.param(60.0, 15.345, None, id="60 s"),
        pytest.param(100.0, 18.281, 5.818, id="100 s"),
        pytest.param(600.0, 41.435, 28.356, id="600 s"),
        pytest.param(1e6, 61.6, 48.0, id="for ever"),
    ],
)
def test_warming_up_of_two_nodes(time: float, winding: float, housing: float | None) -> None:
    # Same motor at 8 W from cold; derived by eigenvalues, verified against an integrator (Radau)
    # to 1e-6.
    rises = warming.transient(np.array(time), _load(8.0), COLD, TWO_NODES)
    assert rises.winding == pytest.approx(winding, abs=6e-4)
    if housing is not None:
        assert rises.housing == pytest.approx(housing, abs=6e-4)


def test_lumped_can_settles_and_its_time_constant() -> None:
    # Textbook lumped motor (Gupta and Singhal / Wadhwa collections; inputs from a public worked
    # solution, recomputed): 450 kg of 700 J/(kg K), drum 0.75 x 1.2 m, 12 W/(m^2 K), 15 hp at 90
    # %: 36.13 K and 2.579 h.
    loss = 15 * 735.5 * (1 / 0.9 - 1)
    to_air = 1 / (12 * np.pi * 0.75 * 1.2)
    steady = heat.steady_temperatures(
        np.array(0.0),
        np.array(loss),
        winding_to_housing=np.array(1e-6),
        housing_to_ambient=np.array(to_air),
        ambient=np.array(300.0),
        **REFERENCE,
    )
    assert steady.housing - 300.0 == pytest.approx(36.13, abs=5e-3)
    constants = warming.time_constants(
        warming.Network(*(np.array(x) for x in (1e-6, to_air, 1e-3, 450.0 * 700.0)))
    )
    assert constants.slow / 3600.0 == pytest.approx(2.579, abs=5e-4)


def test_incropera_5_1_bead_of_a_thermocouple() -> None:
    # Incropera, DeWitt, 6th ed., Ex. 5.1: 400 W/(m^2 K), 8500 kg/m^3, 400 J/(kg K), time constant
    # 1 s: 0.706 mm; from 25 to 199 degC in gas of 200 degC after 5.16 s (the book: 5.2; inputs
    # from the book, recomputed). The lag of 175 K fades as a rise would.
    diameter = 7.06e-4
    to_gas = 1.0 / (400.0 * np.pi * diameter**2)
    capacity = 8500.0 * 400.0 * np.pi * diameter**3 / 6.0
    bead = warming.Network(*(np.array(x) for x in (1e-6 * to_gas, to_gas, 1e-9, capacity)))
    assert warming.time_constants(bead).slow == pytest.approx(1.0, rel=1e-3)
    start = warming.Rises(np.array(175.0), np.array(175.0))
    left = warming.transient(np.array(5.16), _load(0.0), start, bead)
    assert left.housing == pytest.approx(1.0, rel=1e-2)
