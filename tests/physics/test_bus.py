"""Laws of the bus: both legs share it, regeneration only loses, the bridge has its hexagon."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from tradeopt.arrays import Array
from tradeopt.physics import bus

law = settings(deadline=None, max_examples=60)
strides = arrays(np.float64, (3, 10), elements=st.floats(-300.0, 500.0))


@law
@given(leg=strides, standby=st.floats(0.0, 200.0))
def test_full_regeneration_keeps_the_mean_of_both_legs(leg: Array, standby: float) -> None:
    drawn = bus.bus_power(leg, np.array(standby), regeneration_efficiency=np.array(1.0))
    np.testing.assert_allclose(drawn.mean(axis=-1), 2 * leg.mean(axis=-1) + standby, atol=1e-9)


@law
@given(leg=strides, standby=st.floats(0.0, 200.0))
def test_bus_repeats_every_step(leg: Array, standby: float) -> None:
    drawn = bus.bus_power(leg, np.array(standby), regeneration_efficiency=np.array(0.6))
    np.testing.assert_allclose(drawn[:, :5], drawn[:, 5:], atol=1e-9)


@law
@given(leg=strides, worse=st.floats(0.0, 1.0), better=st.floats(0.0, 1.0))
def test_worse_regeneration_never_saves(leg: Array, worse: float, better: float) -> None:
    low, high = sorted((worse, better))
    poor, good = (
        bus.bus_power(leg, np.array(0.0), regeneration_efficiency=np.array(share))
        for share in (low, high)
    )
    assert (poor >= good).all()


def test_one_leg_feeds_the_other_before_the_battery() -> None:
    leg = np.array([100.0, -100.0])
    drawn = bus.bus_power(leg, np.array(0.0), regeneration_efficiency=np.array(0.1))
    np.testing.assert_array_equal(drawn, [0.0, 0.0])


def test_each_design_has_its_own_standby_and_regeneration() -> None:
    leg = np.array([[[-10.0, -10.0]], [[-10.0, -10.0]]])
    drawn = bus.bus_power(
        leg, np.array([[0.0], [30.0]]), regeneration_efficiency=np.array([[0.5], [0.5]])
    )
    np.testing.assert_allclose(drawn[:, 0], [[-10.0, -10.0], [10.0, 10.0]])


def test_bridge_reaches_just_to_the_side_of_its_hexagon() -> None:
    """Its six states are the corners; the middles of the sides lie on the inner circle."""
    states = np.array([[1, 0, 0], [1, 1, 0], [0, 1, 0], [0, 1, 1], [0, 0, 1], [1, 0, 1]]) * 48.0
    corners = states @ np.exp(2j * np.pi * np.arange(3) / 3) * 2.0 / 3.0
    middles = np.abs(corners + np.roll(corners, 1)) / 2.0
    np.testing.assert_allclose(bus.available_voltage(np.array(48.0)), middles, rtol=1e-12)


@law
@given(current=st.floats(-80.0, 80.0))
def test_drive_loss_grows_with_the_current(current: float) -> None:
    loss = bus.drive_loss(
        np.array([current, 1.1 * current]),
        fixed=np.array(2.0),
        linear=np.array(0.2),
        quadratic=np.array(0.004),
    )
    assert 2.0 <= loss[0] <= loss[1]


def test_cells_share_the_load() -> None:
    power = bus.cell_power(np.array([100.0, 200.0]), series=np.array(10), parallel=np.array(4))
    assert power == pytest.approx([2.5, 5.0])


def test_a_bridge_conducts_and_switches_as_its_three_legs_do() -> None:
    """Three sinusoids 120 deg apart, transistor by transistor over one electrical turn."""
    turn = np.linspace(0.0, 2.0 * np.pi, 3600, endpoint=False)[:, None]
    amplitude, transistor, voltage, time, frequency = 30.0, 0.0021, 48.0, 70e-9, 35e3
    currents = amplitude * np.cos(turn - np.array([0.0, 2.0, 4.0]) * np.pi / 3)
    conducting = (transistor * currents**2).sum(axis=1).mean()
    switching = (0.5 * voltage * np.abs(currents) * time * frequency).sum(axis=1).mean()
    lost = bus.drive_loss(
        np.array(amplitude),
        fixed=np.array(0.0),
        linear=bus.switching_voltage(np.array(voltage), np.array(time), np.array(frequency)),
        quadratic=bus.conduction_resistance(np.array(transistor)),
    )
    assert lost == pytest.approx(conducting + switching, rel=1e-6)
