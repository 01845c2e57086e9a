"""Legs in order against legs walked in small steps of charge."""

import numpy as np
import pytest

from tradeopt.arrays import Array
from tradeopt.physics.battery import cell, rounds, run_down

# A cell's usual shape: steep when nearly empty, then flat and rising; resistance doubles towards
# empty.
NODES = np.linspace(0.0, 1.0, 11)
VOLTAGE = np.array([2.60, 3.28, 3.44, 3.54, 3.62, 3.70, 3.80, 3.91, 4.00, 4.07, 4.19])
RESISTANCE = 0.024 * (1.0 + np.exp(-8.0 * NODES))
LOWEST, HIGHEST, CHARGE = 0.1, 1.0, 17_640.0


def legs_in_small_steps(power: Array, leg_time: Array, steps: int = 4000) -> Array:
    """Walk leg after leg through fine slices of charge, each with its own current."""
    edges = np.linspace(HIGHEST, LOWEST, steps + 1)
    middles = (edges[1:] + edges[:-1]) / 2.0
    voltage, resistance = (np.interp(middles, NODES, table) for table in (VOLTAGE, RESISTANCE))
    load = power[:, None, :]
    under_root = np.square(voltage)[:, None] - 4.0 * resistance[:, None] * load
    current = ((voltage[:, None] - np.sqrt(under_root)) / (2.0 * resistance[:, None])).mean(
        axis=-1
    )
    slices = CHARGE * (HIGHEST - LOWEST) / steps / current
    clocks = np.concatenate([np.zeros((len(power), 1)), np.cumsum(slices, axis=1)], axis=1)
    spent, place = np.zeros(len(power)), 0.0
    numbers = np.arange(steps + 1.0)
    while True:
        for leg, clock in enumerate(clocks):
            start = np.interp(place, numbers, clock)
            end = start + leg_time[leg]
            if end >= clock[-1]:
                spent[leg] += clock[-1] - start
                return spent
            spent[leg] += leg_time[leg]
            place = float(np.interp(end, clock, numbers))


def legs_on_one_charge(power: Array, leg_time: Array) -> Array:
    points = run_down.charge_points(np.array(LOWEST), np.array(HIGHEST))
    current = run_down.stride_currents(
        power,
        open_circuit_voltage=cell.interpolate(points, VOLTAGE),
        resistance=cell.interpolate(points, RESISTANCE),
    ).mean
    return rounds.time_in_legs(current, leg_time, np.array(CHARGE * (HIGHEST - LOWEST)))


def random_mission(rng: np.random.Generator, about: float) -> tuple[Array, Array]:
    """Draw up to four legs of unlike, pulsing power of which about so many rounds fit."""
    legs = int(rng.integers(1, 5))
    wave = np.sin(np.linspace(0.0, 2.0 * np.pi, 20, endpoint=False) + rng.uniform(0, 6, (legs, 1)))
    power = rng.uniform(0.3, 8.0, (legs, 1)) * (1.0 + rng.uniform(0.0, 1.2) * wave)
    share = rng.uniform(0.1, 1.0, legs)
    share /= share.sum()
    whole = 0.9 * CHARGE * 3.65 / (power.mean(axis=1) @ share)
    return power, share * whole / about


@pytest.mark.parametrize("about", [0.5, 0.9, 1.3, 2.4, 4.0, 7.5, 30.0])
def test_legs_in_order_are_those_of_small_steps(about: float) -> None:
    rng = np.random.default_rng(int(10 * about))
    for _ in range(15):
        power, leg_time = random_mission(rng, about)
        expected = legs_in_small_steps(power, leg_time)
        found = legs_on_one_charge(power, leg_time)
        np.testing.assert_allclose(found, expected, atol=1e-3 * expected.sum())


def test_one_leg_is_the_plain_run_down() -> None:
    """5 Ah, 4.1 to 3.1 V, 30 mohm, 18 W: 3441.877 s in closed form, in rounds of any length."""
    points = run_down.charge_points(np.array(0.0), np.array(1.0))
    current = run_down.stride_currents(
        np.full((1, 4), 18.0),
        open_circuit_voltage=cell.interpolate(points, np.array([3.1, 4.1])),
        resistance=np.full(8, 0.03),
    ).mean
    for length in (60.0, 700.0, 3000.0, 9000.0):
        time = rounds.time_in_legs(current, np.array([length]), np.array(18_000.0))
        assert time.sum() == pytest.approx(3441.877, rel=1e-6)


@pytest.mark.parametrize("about", [6.0, 25.0])
def test_a_well_stirred_mix_is_enough_for_many_rounds(about: float) -> None:
    """What the order of the legs still does to the time: less than half a per cent of it."""
    power, leg_time = random_mission(np.random.default_rng(3), about)
    stirred = run_down.drain_time(
        _mixed_current(power, leg_time), np.array(CHARGE * (HIGHEST - LOWEST))
    )
    in_order = legs_in_small_steps(power, leg_time).sum()
    assert stirred == pytest.approx(in_order, rel=0.12 / about)


def test_a_well_stirred_mix_is_not_enough_for_few_rounds() -> None:
    # a hard leg first, an easy one after it, and the charge ends within the first round
    power = np.array([[8.0], [1.0]]) * np.ones(4)
    leg_time = np.array([9000.0, 9000.0])
    stirred = run_down.drain_time(
        _mixed_current(power, leg_time), np.array(CHARGE * (HIGHEST - LOWEST))
    )
    in_order = legs_in_small_steps(power, leg_time)
    assert in_order[1] == 0.0
    assert stirred > 1.05 * in_order.sum()
    np.testing.assert_allclose(legs_on_one_charge(power, leg_time), in_order, rtol=2e-3)


def _mixed_current(power: Array, leg_time: Array) -> Array:
    points = run_down.charge_points(np.array(LOWEST), np.array(HIGHEST))
    currents = run_down.stride_currents(
        power,
        open_circuit_voltage=cell.interpolate(points, VOLTAGE),
        resistance=cell.interpolate(points, RESISTANCE),
    ).mean
    mixed: Array = np.einsum("l,lp->p", leg_time / leg_time.sum(), currents)
    return mixed


def test_pulses_against_their_mean() -> None:
    """Walking draws a mean of 2 W a cell in pulses up to 10 W: 1 to 4 % of the time is lost."""
    pulses = np.maximum(10.0 * np.sin(np.linspace(0.0, 2.0 * np.pi, 40, endpoint=False)), -2.0)
    pulsed = legs_on_one_charge(pulses[None], np.array([600.0])).sum()
    even = legs_on_one_charge(np.full((1, 40), pulses.mean()), np.array([600.0])).sum()
    assert 0.96 * even < pulsed < 0.99 * even


def test_a_mission_that_draws_nothing_has_no_end() -> None:
    current = np.array([[-1.0], [0.5]]) * np.ones(8)
    time = rounds.time_in_legs(current, np.array([100.0, 100.0]), np.array(1000.0))
    assert np.isinf(time).all()


def test_a_leg_that_charges_lengthens_the_mission() -> None:
    # 400 A s a round are drawn, 50 given back: 1000 A s last two rounds and three quarters of the
    # third leg out (700 after two rounds, 300 of the 400 left)
    current = np.array([[4.0], [-0.5]]) * np.ones(8)
    time = rounds.time_in_legs(current, np.array([100.0, 100.0]), np.array(1000.0))
    np.testing.assert_allclose(time, [275.0, 200.0], rtol=1e-9)


def test_no_charge_is_no_time_and_no_number_stays_none() -> None:
    current = np.array([[2.0], [1.0]]) * np.ones(8)
    leg_time = np.array([100.0, 100.0])
    np.testing.assert_array_equal(rounds.time_in_legs(current, leg_time, np.array(0.0)), 0.0)
    assert np.isnan(rounds.time_in_legs(current * np.nan, leg_time, np.array(1e3))).all()
    assert np.isnan(rounds.time_in_legs(current, leg_time * np.nan, np.array(1e3))).all()


def test_each_design_for_itself() -> None:
    rng = np.random.default_rng(1)
    current, leg_time = rng.uniform(0.2, 3.0, (9, 3, 8)), rng.uniform(10.0, 3000.0, (9, 3))
    charge = rng.uniform(500.0, 20_000.0, 9)
    together = rounds.time_in_legs(current, leg_time, charge)
    for row in range(9):
        alone = rounds.time_in_legs(current[row], leg_time[row], charge[row])
        np.testing.assert_allclose(alone, together[row], rtol=1e-12)
