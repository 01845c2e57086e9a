"""Cost of transport and range against published walkers and people."""

import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from tradeopt.physics import mission

GRAVITY = np.array(9.81)
WATT_HOUR = 3600.0
CALORIE = 4.184

# Bhounsule, Cortell, Grewal, Hendriksen, Karssen, Paul, Ruina, "Low-bandwidth reflex-based control
# for lower power walking: 65 km on a single battery charge", IJRR 33(10):1305-1321 (2014),
# abstract and laboratory page; mass and 493 Wh from memory.
WALKER_MASS = np.array(9.91)
WALKER_POWER = np.array(16.0)
WALKER_TIME = 110_942.0
WALKER_DISTANCE = 65_180.0


def test_long_distance_walker_cost_of_transport() -> None:
    # Published 0.28 for 16 W.
    speed = np.array(WALKER_DISTANCE / WALKER_TIME)
    cost = mission.cost_of_transport(WALKER_POWER, WALKER_MASS, gravity=GRAVITY, speed=speed)
    assert cost == pytest.approx(0.280, rel=0.01)


def test_long_distance_walker_range() -> None:
    # 493 Wh last the published 65.2 km.
    time = 493.0 * WATT_HOUR / WALKER_POWER
    walked = mission.range_on_charge(time[..., None], np.array([WALKER_DISTANCE / WALKER_TIME]))
    assert walked == pytest.approx(65_200.0, rel=0.01)


def test_long_distance_walker_improved_gait() -> None:
    # Same source: 11.5 W at a cost of 0.19, so 0.623 m/s (recomputed).
    cost = mission.cost_of_transport(
        np.array(11.5), WALKER_MASS, gravity=GRAVITY, speed=np.array(0.623)
    )
    assert cost == pytest.approx(0.19, rel=0.02)


def test_running_quadruped() -> None:
    # Seok et al., "Design principles for energy-efficient legged locomotion and implementation on
    # the MIT Cheetah robot", IEEE/ASME T-Mech 20(3):1117-1129 (2015), abstract: 33 kg, 6 m/s, 973
    # W, cost 0.5; 24 % of it mechanical.
    speed, mass = np.array(6.0), np.array(33.0)
    total = mission.cost_of_transport(np.array(973.0), mass, gravity=GRAVITY, speed=speed)
    mechanical = mission.cost_of_transport(np.array(234.0), mass, gravity=GRAVITY, speed=speed)
    assert total == pytest.approx(0.501, rel=0.01)
    assert mechanical / total == pytest.approx(0.24, abs=0.005)


def test_powered_passive_dynamic_walker() -> None:
    # Collins, Ruina, Tedrake, Wisse, Science 307:1082-1085 (2005): 0.20 for 12.7 kg, 11 W, 0.44
    # m/s (inputs from memory).
    cost = mission.cost_of_transport(
        np.array(11.0), np.array(12.7), gravity=GRAVITY, speed=np.array(0.44)
    )
    assert cost == pytest.approx(0.2007, abs=5e-5)


def test_people_walk_cheapest_near_1_23_m_per_s() -> None:
    # Ralston, Int. Z. angew. Physiol. 17:277-283 (1958): 29 + 0.0053 v^2 cal/min/kg, v in m/min
    # (from memory): cheapest at 1.233 m/s with a gross cost of 0.334 (recomputed).
    def cost(speed: float) -> float:
        power_per_mass = (29.0 + 0.0053 * (60.0 * speed) ** 2) * CALORIE / 60.0
        return float(
            mission.cost_of_transport(
                np.array(power_per_mass), np.array(1.0), gravity=GRAVITY, speed=np.array(speed)
            )
        )

    best = minimize_scalar(cost, bounds=(0.2, 3.0), method="bounded", options={"xatol": 1e-6})
    assert best.x == pytest.approx(1.233, rel=5e-3)
    assert best.fun == pytest.approx(0.334, rel=5e-3)


def test_joint_work_of_people() -> None:
    # Bovi, Rabuffetti, Mazzoleni, Ferrarin, Gait & Posture 33:6-13 (2011), supplement: positive
    # work of hip, knee, ankle 0.171, 0.055, 0.319 J/kg a stride and leg, stride 1.326 m ->
    # mechanical cost 0.0838 (recomputed).
    stride_time = 1.09
    power_per_mass = 2 * (0.171 + 0.055 + 0.319) / stride_time
    cost = mission.cost_of_transport(
        np.array(power_per_mass),
        np.array(1.0),
        gravity=GRAVITY,
        speed=np.array(1.326 / stride_time),
    )
    assert cost == pytest.approx(0.0838, abs=5e-5)
