"""Laws of the transmission: energy is kept; dead centres and locking are values."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from tradeopt.arrays import Array
from tradeopt.physics import transmission

law = settings(deadline=None, max_examples=80)
PHASES = 16


def samples(limit: float) -> st.SearchStrategy[Array]:
    return arrays(np.float64, (PHASES,), elements=st.floats(-limit, limit))


ratios = arrays(np.float64, (PHASES,), elements=st.floats(0.5, 60.0))
efficiencies = st.floats(0.2, 1.0).map(np.array)


def _unit_torque(torque: Array, speed: Array, *, ratio: Array, efficiency: float = 0.8) -> Array:
    return transmission.motor_torque(
        torque,
        speed,
        np.array(0.0),
        ratio=ratio,
        ratio_slope=np.array(0.0),
        efficiency=np.array(efficiency),
        motor_inertia=np.array(1e-4),
        drag_torque=np.array(0.0),
    )


@law
@given(
    torque=samples(150.0),
    speed=samples(8.0),
    acceleration=samples(80.0),
    ratio=ratios,
    slope=samples(40.0),
    efficiency=efficiencies,
    inertia=st.floats(0.0, 1e-3).map(np.array),
    drag=st.floats(0.0, 0.3).map(np.array),
)
def test_power_in_is_power_out_and_loss_and_rotor(
    *,
    torque: Array,
    speed: Array,
    acceleration: Array,
    ratio: Array,
    slope: Array,
    efficiency: Array,
    inertia: Array,
    drag: Array,
) -> None:
    """At every phase, whichever way the power flows."""
    motor_torque = transmission.motor_torque(
        torque,
        speed,
        acceleration,
        ratio=ratio,
        ratio_slope=slope,
        efficiency=efficiency,
        motor_inertia=inertia,
        drag_torque=drag,
    )
    motor_speed = transmission.motor_speed(speed, ratio)
    loss = transmission.loss(torque, speed, ratio=ratio, efficiency=efficiency, drag_torque=drag)
    # d/dt of J (r q')^2/2, with dr/dt = r' q'.
    rotor = inertia * ratio * speed * (ratio * acceleration + slope * speed**2)
    np.testing.assert_allclose(
        motor_torque * motor_speed, torque * speed + loss + rotor, rtol=1e-9, atol=1e-9
    )
    assert (loss >= 0.0).all()


@law
@given(angle_rate=st.floats(1.0, 6.0), ripple=st.floats(0.0, 0.4))
def test_rotor_gives_back_over_a_stride_what_it_took(angle_rate: float, ripple: float) -> None:
    """Without load or loss the motor's work over a closed cycle is zero for any ratio."""
    time = 2 * np.pi * np.arange(400) / 400 / angle_rate
    angle = 0.5 * np.sin(angle_rate * time)
    speed = 0.5 * angle_rate * np.cos(angle_rate * time)
    ratio = 20.0 * (1.0 + ripple * np.sin(3.0 * angle))
    torque = transmission.motor_torque(
        np.zeros(400),
        speed,
        -(angle_rate**2) * angle,
        ratio=ratio,
        ratio_slope=60.0 * ripple * np.cos(3.0 * angle),
        efficiency=np.array(1.0),
        motor_inertia=np.array(2e-4),
        drag_torque=np.array(0.0),
    )
    power = torque * transmission.motor_speed(speed, ratio)
    assert abs(power.mean()) <= 1e-9 * max(np.abs(power).max(), 1.0)


@law
@given(efficiency=st.floats(0.01, 1.0))
def test_friction_is_the_same_both_ways(efficiency: float) -> None:
    """Driving and back-driving lose the same torque: 1/eta_f - 1 = 1 - eta_b."""
    backward = transmission.backdriving_efficiency(np.array(efficiency))
    assert 1.0 - backward == pytest.approx(1.0 / efficiency - 1.0, rel=1e-9, abs=1e-12)


def test_self_locking_load_must_be_driven_down() -> None:
    """At efficiency 0.4 lowering a load takes motor power; at 0.8 it returns some."""
    torque, speed, ratio = np.array(10.0), np.array(-1.0), np.array(20.0)
    lowering = [_unit_torque(torque, speed, ratio=ratio, efficiency=eta) for eta in (0.4, 0.8)]
    power = np.array(lowering) * transmission.motor_speed(speed, ratio)
    assert power == pytest.approx([5.0, -7.5])


@law
@given(ratio=st.floats(1.0, 60.0), efficiency=st.floats(0.51, 1.0), drag=st.floats(1e-3, 0.5))
def test_backdriving_torque_just_overcomes_the_drag(
    ratio: float, efficiency: float, drag: float
) -> None:
    needed = transmission.backdriving_torque(
        np.array(ratio), efficiency=np.array(efficiency), drag_torque=np.array(drag)
    )
    motor = transmission.motor_torque(
        -needed,
        np.array(1e-3),
        np.array(0.0),
        ratio=np.array(ratio),
        ratio_slope=np.array(0.0),
        efficiency=np.array(efficiency),
        motor_inertia=np.array(0.0),
        drag_torque=np.array(drag),
    )
    assert motor == pytest.approx(0.0, abs=1e-9)


def test_self_locking_cannot_be_backdriven() -> None:
    torque = transmission.backdriving_torque(
        np.array(30.0), efficiency=np.array([0.4, 0.5, 1.5]), drag_torque=np.array(0.05)
    )
    assert torque[0] == torque[1] == np.inf
    assert np.isnan(torque[2])


@pytest.mark.parametrize("efficiency", [0.0, -0.1, 1.01, np.nan])
def test_impossible_efficiency_gives_no_answer(efficiency: float) -> None:
    assert np.isnan(transmission.backdriving_efficiency(np.array(efficiency)))
    torque = _unit_torque(np.array(1.0), np.array(1.0), ratio=np.array(5.0), efficiency=efficiency)
    assert np.isnan(torque)


def test_dead_centre_gives_no_answer_but_spares_the_others() -> None:
    torque = _unit_torque(np.array(8.0), np.array(1.0), ratio=np.array([0.0, 10.0]))
    assert np.isnan(torque[0])
    assert torque[1] == pytest.approx(1.0)


def test_reversed_transmission_only_turns_the_sign() -> None:
    forward, reversed_ = (
        transmission.motor_torque(
            np.array([5.0, -3.0]),
            np.array([1.0, 2.0]),
            np.array([4.0, -4.0]),
            ratio=np.array(ratio),
            ratio_slope=np.array(0.0),
            efficiency=np.array(0.8),
            motor_inertia=np.array(1e-3),
            drag_torque=np.array(0.1),
        )
        for ratio in (10.0, -10.0)
    )
    np.testing.assert_allclose(reversed_, -forward)


def test_drag_opposes_the_motion() -> None:
    torque = transmission.motor_torque(
        np.zeros(3),
        np.array([-1.0, 0.0, 1.0]),
        np.zeros(3),
        ratio=np.array(10.0),
        ratio_slope=np.array(0.0),
        efficiency=np.array(0.9),
        motor_inertia=np.array(1e-4),
        drag_torque=np.array(0.2),
    )
    np.testing.assert_allclose(torque, [-0.2, 0.0, 0.2])


def test_reflected_inertia_takes_the_torque_of_the_rotor() -> None:
    ratio, inertia, acceleration = np.array(25.0), np.array(3e-4), np.array(7.0)
    motor = transmission.motor_torque(
        np.array(0.0),
        np.array(0.5),
        acceleration,
        ratio=ratio,
        ratio_slope=np.array(0.0),
        efficiency=np.array(0.9),
        motor_inertia=inertia,
        drag_torque=np.array(0.0),
    )
    reflected = transmission.reflected_inertia(ratio, inertia)
    assert motor * ratio == pytest.approx(reflected * acceleration)
