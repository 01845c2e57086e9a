"""The gradient operator, against a solver of another kind and problems worked by hand."""

import numpy as np
from numpy.testing import assert_allclose, assert_array_equal
from scipy.optimize import minimize

from tradeopt.arrays import Array
from tradeopt.search.cube import Cube
from tradeopt.search.descent import Aim, damped_update, descend, slopes, within_reach
from tradeopt.search.points import Points, points
from tradeopt.study.problem import Variable

CUBE = Cube(
    (
        Variable("a", "1", 0.0, 1.0),
        Variable("b", "1", 0.0, 1.0),
        Variable("kind", "", 0.0, 1.0, choices=("one", "other")),
        Variable("c", "1", 0.0, 1.0),
    )
)


def costs_of(genes: Array) -> tuple[Array, Array]:
    """Two costs and a limit that is bent; the other kind costs more."""
    a, b, kind, c = genes.T
    first = (a - 0.9) ** 2 + 2.0 * (b - 0.2) ** 2 + (c - 0.5) ** 2 + 0.3 * a * c + kind
    second = (a - 0.1) ** 2 + (b - 0.8) ** 2 + np.exp(c) / 5.0 + kind
    limit = 0.35 - a * b - 0.5 * c
    return np.column_stack([first, second]), limit[:, None]


class Scorer:
    """Scores and counts."""

    def __init__(self) -> None:
        self.batches: list[int] = []

    def __call__(self, genes: Array) -> Points:
        self.batches.append(len(genes))
        return points(genes, *costs_of(genes), np.arange(len(genes)))


def start(count: int, seed: int = 1) -> tuple[Points, Aim]:
    chance = np.random.default_rng(seed)
    genes = CUBE.anywhere(chance, count)
    weight = chance.uniform(0.2, 1.0, (count, 2))
    aim = Aim(np.zeros(2), np.ones(2), np.full((count, 2), -0.1), weight)
    return Scorer()(genes), aim


def by_scipy(kind: float, weight: Array) -> float:
    """Find the least weighted distance with the limit kept, from several beginnings."""

    def at(x: Array) -> tuple[Array, Array]:
        costs, limits = costs_of(np.array([[x[0], x[1], kind, x[2]]]))
        return (costs[0] + 0.1) / weight, limits[0]

    best = np.inf
    for begin in ([0.5, 0.5, 0.5], [0.9, 0.2, 0.5], [0.2, 0.9, 0.9]):
        found = minimize(  # type: ignore[call-overload]  # the stubs want exact shapes
            lambda x: float(x[3]),
            [*begin, 5.0],
            method="SLSQP",
            bounds=[(0.0, 1.0)] * 3 + [(None, None)],
            constraints=[
                {"type": "ineq", "fun": lambda x: x[3] - at(x[:3])[0]},
                {"type": "ineq", "fun": lambda x: -at(x[:3])[1]},
            ],
            options={"ftol": 1e-12, "maxiter": 300},
        )
        best = min(best, float(found.fun)) if found.success else best
    return best


def test_designs_come_to_where_scipy_comes() -> None:
    starts, aim = start(8)
    found = descend(CUBE, Scorer(), starts, aim, rounds=40)
    reached = aim.parts(found.costs).max(axis=1)
    for row in range(8):
        wanted = by_scipy(starts.genes[row, 2], aim.weight[row])
        assert_allclose(reached[row], wanted, rtol=2e-4)
    assert np.all(found.violations <= 0.0)


def test_a_choice_is_held_and_no_design_gets_worse() -> None:
    starts, aim = start(16, seed=2)
    found = descend(CUBE, Scorer(), starts, aim, rounds=2)
    assert_array_equal(found.genes[:, 2], starts.genes[:, 2])
    before = aim.distance(starts.costs, starts.violations)
    assert np.all(aim.distance(found.costs, found.violations) <= before)
    assert np.all((found.genes >= 0.0) & (found.genes <= 1.0))


def test_a_round_scores_two_batches() -> None:
    starts, aim = start(5)
    score = Scorer()
    descend(CUBE, score, starts, aim, rounds=1)
    # three smooth axes for each design, then four lengths of its step
    assert score.batches == [15, 20]


def test_slopes_are_those_worked_by_hand() -> None:
    genes = np.array([[0.5, 0.5, 0.0, 0.5], [1.0, 0.5, 0.0, 0.5]])
    score = Scorer()
    slope = slopes(CUBE, score, score(genes))
    # d first/da = 2 (a - 0.9) + 0.3 c; d second/db = 2 (b - 0.8); d limit/d(a, b, c)
    assert_allclose(slope[:, 0, 0], [2 * (0.5 - 0.9) + 0.15, 2 * (1.0 - 0.9) + 0.15], atol=1e-5)
    assert_allclose(slope[0, 1, 1], 2.0 * (0.5 - 0.8), atol=1e-5)
    assert_allclose(slope[0, 2], [-0.5, -0.5, -0.5], atol=1e-8)


def test_where_a_law_does_not_hold_the_slope_is_nought() -> None:
    def score(genes: Array) -> Points:
        costs, limits = costs_of(genes)
        costs[genes[:, 0] > 0.5] = np.nan
        return points(genes, costs, limits, np.arange(len(genes)))

    slope = slopes(CUBE, score, score(np.array([[0.5, 0.5, 0.0, 0.5]])))
    assert_array_equal(slope[0, :, 0], 0.0)
    assert slope[0, 1, 1] != 0.0


def test_an_update_takes_the_curvature_along_the_step_and_stays_positive() -> None:
    chance = np.random.default_rng(4)
    root = chance.normal(size=(6, 3, 3))
    before = root @ np.swapaxes(root, 1, 2) + np.eye(3)
    moved = chance.normal(size=(6, 3))
    change = np.concatenate([2.0 * moved[:3], -moved[3:]])  # the last three bend the wrong way
    after = damped_update(before, moved, change)
    assert np.all(np.linalg.eigvalsh(after) > 0.0)
    assert_allclose(np.einsum("rij,rj->ri", after, moved)[:1], change[:1], rtol=1e-9)


def test_only_limits_that_a_step_can_come_to_have_a_say() -> None:
    """By hand: two costs, then limits 0.1 off that rise by 1 or fall by 2 along the first axis."""
    slopes = np.array([[[9.0, 9.0], [0.0, 0.0], [1.0, 0.0], [-2.0, 0.0], [0.0, 0.0], [0.0, 0.0]]])
    ahead = np.array([[5.0, 5.0, 0.1, 0.1, 0.1, -0.1]])  # the last one is missed

    def kept(down: float, up: float) -> set[int]:
        room = (np.array([[down, 0.0]]), np.array([[up, 0.0]]))
        return set(within_reach(slopes, ahead, room, 2)[0].tolist())

    assert kept(down=0.04, up=0.09) == {0, 1, 5}
    assert kept(down=0.04, up=0.11) == {0, 1, 2, 5}
    assert kept(down=0.06, up=0.09) == {0, 1, 3, 5}


def test_limits_out_of_reach_change_no_step() -> None:
    starts, aim = start(8)

    def with_far_limits(genes: Array) -> Points:
        costs, limits = costs_of(genes)
        far = np.repeat(limits - 50.0, 20, axis=1)
        return points(genes, costs, np.hstack([limits, far]), np.arange(len(genes)))

    near = descend(CUBE, Scorer(), starts, aim, 4)
    far = descend(CUBE, with_far_limits, with_far_limits(starts.genes), aim, 4)
    assert_allclose(far.genes, near.genes, atol=1e-6)
