"""Torque through a transmission against textbook examples and closed forms."""

import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from tradeopt.arrays import Array
from tradeopt.physics import gears, transmission


def _lossless(
    torque: float,
    acceleration: float,
    ratio: float,
    inertia: float,
    *,
    speed: float = 0.0,
    slope: float = 0.0,
) -> Array:
    return transmission.motor_torque(
        np.array(torque),
        np.array(speed),
        np.array(acceleration),
        ratio=np.array(ratio),
        ratio_slope=np.array(slope),
        efficiency=np.array(1.0),
        motor_inertia=np.array(inertia),
        drag_torque=np.array(0.0),
    )


def test_four_bar_ratio_and_its_slope_at_the_joint() -> None:
    # Four-bar 40/120/80/100 at 40 deg (Norton, "Design of Machinery", Ex. 4-1, from memory) as a
    # joint drive: ratio 3.572457, slope -33.9896 /rad. J = 1e-4, q' = 3, q'' = 10 -> -0.096521 N m
    # at the joint. Derived from J N d2(theta)/dt2, verified numerically by finite differences.
    ratio = 3.572457
    motor = _lossless(0.0, 10.0, ratio, 1e-4, speed=3.0, slope=-33.9896)
    assert motor * ratio == pytest.approx(-0.096521, abs=1e-6)


def test_ratio_that_accelerates_an_inertia_best() -> None:
    # Best ratio for a pure inertia sqrt(J_L/J_m) (Pasch and Seering, J. Mech. Trans. Autom. Des.
    # 106:102-108, 1984, from memory). Derived, verified numerically: J_L = 1.2, J_m = 4e-4 ->
    # 54.772; 1/(2 sqrt(J_L J_m)) = 22.82 per kg m^2.
    best = minimize_scalar(
        lambda ratio: float(_lossless(1.2, 1.0, ratio, 4e-4)),
        bounds=(1.0, 500.0),
        method="bounded",
        options={"xatol": 1e-8},
    )
    assert best.x == pytest.approx(54.772, abs=1e-3)
    assert 1.0 / best.fun == pytest.approx(22.82, abs=5e-3)


def test_ratio_that_carries_and_accelerates_best() -> None:
    # sqrt((J_L a + tau_L)/(J_m a)), same source: J_L = 1, a = 50, tau_L = 30, J_m = 4e-4 -> 63.25.
    best = minimize_scalar(
        lambda ratio: float(_lossless(1.0 * 50.0 + 30.0, 50.0, ratio, 4e-4)),
        bounds=(1.0, 500.0),
        method="bounded",
        options={"xatol": 1e-8},
    )
    assert best.x == pytest.approx(63.25, abs=5e-3)


def test_gupta_singhal_example_3_9_inertia_at_the_motor() -> None:
    # Gupta, Singhal, "Fundamentals of Electric Drives and Control", Ex. 3.9; inputs from a public
    # worked solution, expected value recomputed: 0.3 + 15 x 0.1^2 + 0.6/9 = 0.51667 kg m^2 (0.6 kg
    # m^2 behind a ratio of 3).
    motor_acceleration = 2.0
    motor = _lossless(
        0.6 * motor_acceleration / 3.0, motor_acceleration / 3.0, 3.0, 0.3 + 15.0 * 0.1**2
    )
    assert motor / motor_acceleration == pytest.approx(0.51667, abs=1e-5)


def test_bandyopadhyay_example_15_14_inertia_at_the_load() -> None:
    # Bandyopadhyay, "Control Engineering", Ex. 15.14; inputs from a public worked solution,
    # expected value recomputed: 20e-6 + 20^2 x 0.45e-6 + 40^2 x 0.35e-6 = 760e-6 kg m^2 at the
    # load, 1.9e-6 at the shaft of ratio 20.
    reflected = transmission.reflected_inertia(
        np.array([20.0, 40.0]), np.array([0.45e-6, 0.35e-6])
    )
    at_load = 20e-6 + reflected.sum()
    assert at_load == pytest.approx(760e-6, rel=1e-12)
    at_shaft = transmission.reflected_inertia(np.array(1.0 / 20.0), np.array(at_load))
    assert at_shaft == pytest.approx(1.9e-6, rel=1e-12)


def test_two_meshes_of_least_inertia() -> None:
    # Identical pinions, solid-disc gears (Petersen, Trans. ASME 76:493, 1954, abstract): N2 =
    # sqrt((N1^4 - 1)/2). Derived, verified numerically: overall 50 -> 4.1375 and 12.0845.
    def inertia_at_motor(first_ratio: float) -> float:
        second_ratio = 50.0 / first_ratio
        middle = transmission.reflected_inertia(
            np.array(1.0 / first_ratio), np.array(first_ratio**4 + 1.0)
        )
        last = transmission.reflected_inertia(np.array(1.0 / 50.0), np.array(second_ratio**4))
        return float(1.0 + middle + last)

    best = minimize_scalar(
        inertia_at_motor, bounds=(1.0, 50.0), method="bounded", options={"xatol": 1e-9}
    )
    assert best.x == pytest.approx(4.1375, abs=1e-4)
    assert 50.0 / best.x == pytest.approx(12.0845, abs=5e-4)


def test_spur_stages_of_least_inertia() -> None:
    # The same two meshes by the step between the ratios of the stages: 50 -> 4.1375 and 12.0845.
    def shares(step: float) -> Array:
        return gears.stage_ratios(np.array([50.0]), np.array([2.0]), np.array([step]))

    best = minimize_scalar(
        lambda step: float(gears.spur_inertia(shares(step), np.array([2.0]), np.array([1.0]))[0]),
        bounds=(0.2, 20.0),
        method="bounded",
        options={"xatol": 1e-9},
    )
    assert shares(best.x)[0, :2] == pytest.approx([4.1375, 12.0845], abs=5e-4)


def test_spur_stages_of_least_mass_fall_towards_the_joint() -> None:
    # Bartlett, Lawson, Goldfarb, PLoS ONE 13(6):e0198048 (2018), abstract: ratios that fall
    # towards the load weigh least, those that rise accelerate best. For wheels by the pressure on
    # their teeth 1 = 2 N/N2^3 + 1/N2^2 (derived, solved numerically): 50 -> 10.608 and 4.7134.
    def shares(step: float) -> Array:
        return gears.stage_ratios(np.array([50.0]), np.array([2.0]), np.array([step]))

    load, one, two = np.array([100.0]), np.array([1.0]), np.array([2.0])
    best = minimize_scalar(
        lambda step: float(gears.spur_mass(load, shares(step), two, one)[0]),
        bounds=(0.05, 5.0),
        method="bounded",
        options={"xatol": 1e-9},
    )
    assert shares(best.x)[0, :2] == pytest.approx([10.608, 4.7134], abs=1e-3)


def test_half_efficient_transmission_locks_itself() -> None:
    # Textbook rule for screws and worms: one that drives at one half or less cannot be driven
    # back.
    backward = transmission.backdriving_efficiency(np.array([0.45, 0.5, 0.55]))
    assert backward[1] == pytest.approx(0.0, abs=1e-12)
    assert backward[0] < 0.0 < backward[2]
