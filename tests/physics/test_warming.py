"""Laws of warming up: one load is the matrix exponential, many rounds end where they repeat."""

from typing import NamedTuple

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.linalg import expm

from tradeopt.arrays import Array
from tradeopt.physics import heat, warming

law = settings(deadline=None, max_examples=25)
ALPHA = 0.00393
networks = st.tuples(
    st.floats(0.05, 5.0), st.floats(0.05, 5.0), st.floats(5.0, 500.0), st.floats(20.0, 2000.0)
)


class Leg(NamedTuple):
    """One leg of the tests' missions: time, copper loss at the air's warmth, growth, iron loss."""

    time: float
    copper: float
    growth: float
    iron: float


legs = st.builds(
    Leg, st.floats(1.0, 3000.0), st.floats(0.0, 60.0), st.floats(0.0, 0.05), st.floats(0.0, 20.0)
)


def network(parts: tuple[float, ...]) -> warming.Network:
    return warming.Network(*(np.array(part) for part in parts))


def flow(leg: Leg, parts: tuple[float, ...]) -> Array:
    """The network with its drive as one 3 x 3 matrix, the last entry staying at 1."""
    inner, outer, winding, housing = parts
    return np.array(
        [
            [(leg.growth - 1 / inner) / winding, 1 / (inner * winding), leg.copper / winding],
            [1 / (inner * housing), -(1 / inner + 1 / outer) / housing, leg.iron / housing],
            [0.0, 0.0, 0.0],
        ]
    )


def load(*mission: Leg) -> warming.Load:
    return warming.Load(
        np.array([leg.copper for leg in mission]),
        np.array([leg.growth for leg in mission]),
        np.array([leg.iron for leg in mission]),
    )


def walked(parts: tuple[float, ...], mission: tuple[Leg, ...], rounds: float) -> warming.LegRises:
    times = np.array([leg.time for leg in mission])
    wide = warming.Network(*(np.full(len(mission), part) for part in parts))
    return warming.rounds_from_cold(times, load(*mission), wide, rounds=np.array(rounds))


@law
@given(parts=networks, leg=legs, start=st.tuples(st.floats(0.0, 100.0), st.floats(0.0, 60.0)))
def test_one_load_is_the_matrix_exponential(
    parts: tuple[float, ...], leg: Leg, start: tuple[float, float]
) -> None:
    """Against scipy's own exponential, with copper that warms."""
    expected = expm(flow(leg, parts) * leg.time) @ [*start, 1.0]
    found = warming.transient(
        np.array(leg.time),
        warming.Load(*(np.array(x) for x in leg[1:])),
        warming.Rises(*(np.array(x) for x in start)),
        network(parts),
    )
    np.testing.assert_allclose(found, expected[:2], rtol=1e-7, atol=1e-7)


STEPS = np.linspace(0.0, 1.0, 401)


@law
@given(parts=networks, mission=st.tuples(legs, legs, legs), rounds=st.integers(1, 4))
def test_rounds_are_walked_leg_by_leg(
    parts: tuple[float, ...], mission: tuple[Leg, ...], rounds: int
) -> None:
    """Twin: rounds in closed form, and every round leg by leg, looked at 401 times a leg."""
    found = walked(parts, mission, rounds)
    state = np.array([0.0, 0.0, 1.0])
    for _ in range(rounds):
        courses = []
        for leg in mission:
            courses.append(expm(flow(leg, parts) * leg.time * STEPS[:, None, None]) @ state)
            state = courses[-1][-1]
    for place, course in enumerate(courses):
        winding, housing = course[:, 0], course[:, 1]
        scale = 1e-6 + max(winding.max(), housing.max())
        for peak, seen in ((found.winding_peak, winding), (found.housing_peak, housing)):
            assert seen.max() - 1e-6 * scale <= peak[place] <= seen.max() + 0.02 * scale
        mean = np.trapezoid(winding, STEPS)
        assert found.winding_mean[place] == pytest.approx(mean, abs=2e-3 * scale)


@law
@given(parts=networks, mission=st.tuples(legs, legs))
def test_after_many_rounds_each_ends_where_it_began(
    parts: tuple[float, ...], mission: tuple[Leg, ...]
) -> None:
    """The periodic state, from the fixed point of one round; where there is none, it is hot."""
    whole = np.eye(3)
    for leg in mission:
        whole = expm(flow(leg, parts) * leg.time) @ whole
    if np.abs(np.linalg.eigvals(whole[:2, :2])).max() > 0.99:
        return
    start = np.linalg.solve(np.eye(2) - whole[:2, :2], whole[:2, 2])
    peak, last = -np.inf, np.array([*start, 1.0])
    for leg in mission:
        for share in np.linspace(0.0, 1.0, 50):
            peak = max(peak, float((expm(flow(leg, parts) * leg.time * share) @ last)[0]))
        last = expm(flow(leg, parts) * leg.time) @ last
    found = float(walked(parts, mission, 1e6).winding_peak.max())
    # between the 50 moments there may be a little more
    assert peak * (1 - 1e-6) - 1e-6 <= found <= peak * 1.02 + 1e-6


@law
@given(parts=networks, leg=legs)
def test_one_leg_for_ever_is_the_steady_state(parts: tuple[float, ...], leg: Leg) -> None:
    """Twin: the closed form of rest, with the loss given at 20 degC and air of 20 degC."""
    cold = leg.growth / ALPHA
    steady = heat.steady_temperatures(
        np.array(cold),
        np.array(leg.iron),
        winding_to_housing=np.array(parts[0]),
        housing_to_ambient=np.array(parts[1]),
        ambient=np.array(293.15),
        reference_temperature=np.array(293.15),
        coefficient=np.array(ALPHA),
    )
    if steady.runaway_margin < 0.1 or steady.winding > 293.15 + heat.EXACT_RISE:
        return
    found = walked(parts, (leg._replace(copper=cold),), 1e9)
    assert found.winding_peak[0] == pytest.approx(steady.winding - 293.15, rel=1e-6, abs=1e-6)
    assert found.housing_peak[0] == pytest.approx(steady.housing - 293.15, rel=1e-6, abs=1e-6)


@law
@given(parts=networks, mission=st.tuples(legs, legs), rounds=st.integers(1, 20))
def test_more_rounds_are_never_cooler(
    parts: tuple[float, ...], mission: tuple[Leg, ...], rounds: int
) -> None:
    fewer, more = (walked(parts, mission, count) for count in (rounds, rounds + 1))
    for before, after in zip(fewer, more, strict=True):
        assert (after >= before - 1e-9 * (1.0 + np.abs(before))).all()


def test_rounds_without_end_past_runaway_are_hot_and_still_a_number() -> None:
    found = walked(
        (0.5, 1.5, 50.0, 500.0), (Leg(3600.0, 4e4, 160.0, 5.0), Leg(60.0, 0, 0, 0)), 1e9
    )
    for rises in found:
        assert np.isfinite(rises).all()
        assert rises[0] > 1e6


@law
@given(parts=networks)
def test_time_constants_are_those_of_the_network(parts: tuple[float, ...]) -> None:
    """Their product and sum: R1 C1 R2 C2, and R1 C1 + R2 (C1 + C2)."""
    inner, outer, winding, housing = parts
    fast, slow = warming.time_constants(network(parts))
    assert 0.0 < fast < slow
    assert fast * slow == pytest.approx(inner * winding * outer * housing, rel=1e-9)
    assert fast + slow == pytest.approx(inner * winding + outer * (winding + housing), rel=1e-9)


@law
@given(
    parts=networks,
    copper=st.lists(st.floats(0.0, 1e6), min_size=2, max_size=4),
    rounds=st.sampled_from([1.0, 2.0, 30.0, 1e9]),
)
def test_no_load_however_great_makes_anything_but_heat(
    parts: tuple[float, ...], copper: list[float], rounds: float
) -> None:
    """So that a search can look at any design: finite, never below the air, peaks above means."""
    found = walked(parts, tuple(Leg(900.0, loss, ALPHA * loss, 5.0) for loss in copper), rounds)
    for rises in found:
        assert np.isfinite(rises).all()
        assert (rises >= 0.0).all()
    assert (found.winding_mean <= found.winding_peak * (1 + 1e-9) + 1e-9).all()
