"""Laws of the mission: range and cost of transport say the same thing."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tradeopt.physics import air, mission

law = settings(deadline=None, max_examples=60)
GRAVITY = np.array(air.STANDARD_GRAVITY)


@law
@given(
    energy=st.floats(1e5, 1e7),
    power=st.floats(20.0, 2000.0),
    mass=st.floats(5.0, 150.0),
    speed=st.floats(0.05, 3.0),
)
def test_range_by_cost_is_range_by_time(
    energy: float, power: float, mass: float, speed: float
) -> None:
    weight = np.array(mass)
    cost = mission.cost_of_transport(
        np.array(power), weight, gravity=GRAVITY, speed=np.array(speed)
    )
    by_cost = energy / (cost * mass * GRAVITY)
    by_time = mission.range_on_charge(np.array([energy / power]), np.array([speed]))
    assert by_cost == pytest.approx(by_time, rel=1e-9)


@law
@given(share=st.floats(0.0, 1.0))
def test_mean_lies_between_the_gaits(share: float) -> None:
    mean = mission.mean_over_shares(np.array([2.0, 5.0]), np.array([share, 1.0 - share]))
    assert mean == pytest.approx(2.0 * share + 5.0 * (1.0 - share))


def test_standing_has_no_cost_of_transport() -> None:
    cost = mission.cost_of_transport(
        np.array(100.0), np.array(50.0), gravity=GRAVITY, speed=np.array([0.0, 1.0])
    )
    assert np.isnan(cost[0])
    assert cost[1] == pytest.approx(100.0 / (50.0 * 9.80665))


def test_standing_takes_range() -> None:
    time, speed = np.array([[10_000.0, 0.0], [7500.0, 2500.0]]), np.array([0.8, 0.0])
    np.testing.assert_allclose(mission.range_on_charge(time, speed), [8000.0, 6000.0])


def test_standing_for_ever_walks_nowhere() -> None:
    walked = mission.range_on_charge(np.array([100.0, np.inf]), np.array([0.5, 0.0]))
    assert walked == 50.0


def test_rounds_count_when_their_last_leg_is_walked_to_its_end() -> None:
    leg_time = np.array([100.0, 50.0])
    time = np.array([[300.0, 149.0], [300.0, 150.0], [400.0, 150.0], [99.0, 0.0]])
    np.testing.assert_array_equal(mission.completed_rounds(time, leg_time), [2.0, 3.0, 3.0, 0.0])


def test_service_that_is_due_without_walking_has_no_end() -> None:
    assert mission.service_time(np.array(60.0), np.array(0.0), np.array(1e5)) == np.inf
    assert np.isnan(mission.service_time(np.array(60.0), np.array(np.nan), np.array(1e5)))
