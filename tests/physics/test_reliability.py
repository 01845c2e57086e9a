"""Chance of lasting: laws, twins, and parts that fail at random in a simulation."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import binom

from tradeopt.physics import reliability

law = settings(deadline=None, max_examples=60)
NONE = np.array(0.0)
wears = st.floats(1e-9, 3.0)
counts = st.integers(1, 6)
spares = st.integers(0, 4)


def _group(wear: float, needed: int, spare: int, common_cause: float = 0.0) -> float:
    return float(
        reliability.chance_of_group(
            np.array(wear),
            needed=np.array(float(needed)),
            spare=np.array(float(spare)),
            common_cause=np.array(common_cause),
        )
    )


@law
@given(wear=wears, needed=counts, spare=spares)
def test_enough_of_a_group_is_a_tail_of_the_binomial(wear: float, needed: int, spare: int) -> None:
    expected = binom.sf(needed - 1, needed + spare, math.exp(-wear))
    assert _group(wear, needed, spare) == pytest.approx(expected, rel=1e-9)


@law
@given(wear=wears, needed=counts, spare=spares, common=st.floats(0.0, 1.0))
def test_a_spare_piece_helps_and_wear_hurts(
    wear: float, needed: int, spare: int, common: float
) -> None:
    chance = _group(wear, needed, spare, common)
    assert 0.0 <= chance <= 1.0
    assert _group(wear, needed, spare + 1, common) >= chance - 1e-12
    assert _group(1.1 * wear, needed, spare, common) <= chance + 1e-12


@law
@given(wear=wears, needed=counts, spare=spares)
def test_spares_do_not_help_where_all_fails_at_once(wear: float, needed: int, spare: int) -> None:
    assert _group(wear, needed, spare, 1.0) == pytest.approx(math.exp(-wear), rel=1e-12)


def test_parts_in_a_row_add_up_their_wear() -> None:
    wear, groups = np.array([1e-3, 2e-2, 3e-4]), np.array([2.0, 1.0, 12.0])
    pieces = {"needed": np.ones(3), "spare": np.zeros(3), "common_cause": np.zeros(3)}
    chance = reliability.chance_of_all(reliability.chance_of_group(wear, **pieces), groups)
    assert chance == pytest.approx(math.exp(-wear @ groups), rel=1e-12)
    mean = reliability.mean_to_first_stop(wear, groups=groups, **pieces)
    assert mean == pytest.approx(1.0 / (wear @ groups), rel=1e-6)


def test_what_never_fails_never_stops() -> None:
    pieces = {"needed": np.ones(2), "spare": np.ones(2), "common_cause": np.zeros(2)}
    nothing = np.zeros(2)
    assert reliability.mean_to_first_stop(nothing, groups=np.ones(2), **pieces) == np.inf
    assert (reliability.chance_of_group(nothing, **pieces) == 1.0).all()


@pytest.mark.parametrize("seed", range(10))
def test_mean_to_first_stop_is_the_area_under_the_chance(seed: int) -> None:
    rng = np.random.default_rng(seed)
    count = int(rng.integers(1, 7))
    wear = 10.0 ** rng.uniform(-6.0, -2.0, count)
    groups = rng.integers(1, 13, count).astype(float)
    pieces = {
        "needed": rng.integers(1, 4, count).astype(float),
        "spare": rng.integers(0, 4, count).astype(float),
        "common_cause": rng.uniform(0.0, 0.2, count),
    }
    found = float(reliability.mean_to_first_stop(wear, groups=groups, **pieces))

    def area(place: float) -> float:
        group = reliability.chance_of_group(wear * math.exp(place), **pieces)
        return float(reliability.chance_of_all(group, groups)) * math.exp(place)

    middle = math.log(found)
    expected, _ = quad(area, middle - 25.0, middle + 6.0, points=[middle], epsrel=1e-9)
    assert found == pytest.approx(expected, rel=1e-6)


def test_a_simulation_of_failing_parts_agrees() -> None:
    """Foot sensors one of two on two feet, drives all of twelve, strings eleven of twelve."""
    rng = np.random.default_rng(12)
    runs = 40_000
    groups = np.array([2.0, 12.0, 1.0])
    needed, spare = np.array([1.0, 1.0, 11.0]), np.array([1.0, 0.0, 1.0])
    wear, common = np.array([0.15, 0.004, 0.01]), np.array([0.1, 0.0, 0.2])
    lives = np.full(runs, np.inf)
    for part in range(3):
        shape = (runs, int(groups[part]), int(needed[part] + spare[part]))
        alone = rng.exponential(1.0 / ((1.0 - common[part]) * wear[part]), shape)
        # the group stops with the failure after its last spare, or with a common cause
        stops = np.sort(alone, axis=2)[:, :, int(spare[part])]
        if common[part]:
            stops = np.minimum(
                stops, rng.exponential(1.0 / (common[part] * wear[part]), shape[:2])
            )
        lives = np.minimum(lives, stops.min(axis=1))
    pieces = {"needed": needed, "spare": spare, "common_cause": common}
    chance = reliability.chance_of_all(reliability.chance_of_group(wear, **pieces), groups)
    deviation = math.sqrt(chance * (1.0 - chance) / runs)
    assert (lives > 1.0).mean() == pytest.approx(chance, abs=4.0 * deviation)
    mean = reliability.mean_to_first_stop(wear, groups=groups, **pieces)
    assert lives.mean() == pytest.approx(mean, abs=4.0 * lives.std() / math.sqrt(runs))


def test_each_design_for_itself() -> None:
    rng = np.random.default_rng(4)
    wear = 10.0 ** rng.uniform(-5.0, -1.0, (7, 4))
    groups, needed = rng.integers(1, 5, (2, 7, 4)).astype(float)
    spare = rng.integers(0, 4, (7, 4)).astype(float)
    common = rng.uniform(0.0, 0.3, (7, 4))
    together = reliability.mean_to_first_stop(
        wear, groups=groups, needed=needed, spare=spare, common_cause=common
    )
    for row in range(7):
        alone = reliability.mean_to_first_stop(
            wear[row],
            groups=groups[row],
            needed=needed[row],
            spare=spare[row],
            common_cause=common[row],
        )
        assert alone == pytest.approx(together[row], rel=1e-12)


@law
@given(time=st.floats(0.0, 1e6), cycles=st.floats(0.0, 1e6))
def test_wear_adds_time_and_cycles(time: float, cycles: float) -> None:
    rates = {"per_time": np.array(1e-8), "per_cycle": np.array(3e-9)}
    both = reliability.wear(np.array(time), np.array(cycles), **rates)
    apart = reliability.wear(np.array(time), NONE, **rates) + reliability.wear(
        NONE, np.array(cycles), **rates
    )
    assert both == pytest.approx(apart, rel=1e-12)
