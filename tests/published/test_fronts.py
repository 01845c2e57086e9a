"""Test problems whose best trade-offs are known in closed form; searched with small budgets."""

import numpy as np
import pytest
from scipy.integrate import quad

from tradeopt.arrays import Array
from tradeopt.search import front as fronts
from tradeopt.search.epoch import Epoch, beginning, merge, run_slice, task_of
from tradeopt.search.plan import SearchPlan
from tradeopt.study.problem import Limit, Objective, Problem, Scores, Variable

BOTH_LOW = (Objective("first", "1", highest=False), Objective("second", "1", highest=False))


class ZDT1:
    """Problem ZDT1 with ten variables.

    Zitzler, Deb, Thiele, "Comparison of multiobjective evolutionary algorithms: empirical
    results", Evol. Comput. 8(2):173-195 (2000), equation 7 (from memory): f1 = x1, g = 1 + 9
    mean(x2...), f2 = g (1 - sqrt(f1/g)); the best trade-off is g = 1, so f2 = 1 - sqrt(f1).
    """

    variables = tuple(Variable(f"x{place}", "1", 0.0, 1.0) for place in range(10))
    objectives = BOTH_LOW
    limits: tuple[Limit, ...] = ()
    baseline = np.full(10, 0.5)

    def score(self, designs: Array) -> Scores:
        first = designs[:, 0]
        distance = 1.0 + 9.0 * np.mean(designs[:, 1:], axis=1)
        second = distance * (1.0 - np.sqrt(first / distance))
        return Scores(np.column_stack([first, second]), np.empty((len(designs), 0)))


class Constr:
    """Problem CONSTR.

    Deb, Pratap, Agarwal, Meyarivan, "A fast and elitist multiobjective genetic algorithm:
    NSGA-II", IEEE Trans. Evol. Comput. 6(2):182-197 (2002), table V (from memory): f1 = x1, f2 =
    (1 + x2)/x1, x2 + 9 x1 >= 6, -x2 + 9 x1 >= 1, 0.1 <= x1 <= 1, 0 <= x2 <= 5. The best trade-off
    follows by hand: x2 as low as the first limit lets it, 6 - 9 x1, down to 0 at x1 = 2/3; the
    second limit then asks for x1 >= 7/18.
    """

    variables = (Variable("x1", "1", 0.1, 1.0), Variable("x2", "1", 0.0, 5.0))
    objectives = BOTH_LOW
    limits = (
        Limit("first_limit", "1", 6.0, at_most=False, scale=1.0),
        Limit("second_limit", "1", 1.0, at_most=False, scale=1.0),
    )
    baseline = np.array([0.2, 4.0])

    def score(self, designs: Array) -> Scores:
        x1, x2 = designs.T
        violations = np.column_stack([6.0 - x2 - 9.0 * x1, 1.0 + x2 - 9.0 * x1])
        return Scores(np.column_stack([x1, (1.0 + x2) / x1]), violations)


class DTLZ2:
    """Problem DTLZ2 with three objectives and twelve variables.

    Deb, Thiele, Laumanns, Zitzler, "Scalable test problems for evolutionary multiobjective
    optimization" (2005), section 6.2 (from memory): with g = sum of (x - 1/2)^2 over the last ten,
    costs are (1 + g) times the coordinates of a direction given by the first two; the best
    trade-off is the part of the unit sphere where all are positive.
    """

    variables = tuple(Variable(f"x{place}", "1", 0.0, 1.0) for place in range(12))
    objectives = tuple(Objective(f"f{place}", "1", highest=False) for place in range(3))
    limits: tuple[Limit, ...] = ()
    baseline = np.full(12, 0.9)

    def score(self, designs: Array) -> Scores:
        radius = 1.0 + np.sum((designs[:, 2:] - 0.5) ** 2, axis=1)
        one, other = 0.5 * np.pi * designs[:, :2].T
        costs = np.column_stack(
            [np.cos(one) * np.cos(other), np.cos(one) * np.sin(other), np.sin(one)]
        )
        return Scores(radius[:, None] * costs, np.empty((len(designs), 0)))


class Osyczka:
    """The problem of Osyczka and Kundu.

    Osyczka, Kundu, "A new method to solve generalized multicriteria optimization problems using
    the simple genetic algorithm", Structural Optimization 10:94-99 (1995) (from memory). Its best
    trade-off runs over five edges of the feasible set; its ends follow by hand: (5, 1, 5, 0, 5, 0)
    with costs -274 and 76, and (1, 1, 1, 0, 1, 0) with -42 and 4.
    """

    variables = tuple(
        Variable(f"x{place}", "1", lower, upper)
        for place, (lower, upper) in enumerate([(0, 10), (0, 10), (1, 5), (0, 6), (1, 5), (0, 10)])
    )
    objectives = BOTH_LOW
    limits = tuple(Limit(f"g{place}", "1", 0.0, at_most=True, scale=1.0) for place in range(6))
    baseline = np.array([2.0, 2.0, 3.0, 1.0, 3.0, 5.0])

    def score(self, designs: Array) -> Scores:
        a, b, c, d, e, f = designs.T
        first = 25.0 * (a - 2) ** 2 + (b - 2) ** 2 + (c - 1) ** 2 + (d - 4) ** 2 + (e - 1) ** 2
        kept = [
            (a + b) / 2.0 - 1.0,
            1.0 - (a + b) / 6.0,
            1.0 - (b - a) / 2.0,
            1.0 - (a - 3.0 * b) / 2.0,
            1.0 - ((c - 3.0) ** 2 + d) / 4.0,
            ((e - 3.0) ** 2 + f) / 4.0 - 1.0,
        ]
        costs = np.column_stack([-first, np.sum(designs**2, axis=1)])
        return Scores(costs, -np.column_stack(kept))


class WeldedBeam:
    """The welded beam: cost against deflection.

    Deb, Pratap, Moitra, "Mechanical component design for multiple objectives using elitist
    non-dominated sorting GA", PPSN VI (2000), and Ragsdell, Phillips, J. Eng. Ind. 98:1021-1025
    (1976) (from memory). The cheapest beam costs 2.3811 at h = 0.2444, l = 6.2175, t = 8.2915, b =
    0.2444; the stiffest one has t = 10 and b = 5: 2.1952/(10^3 5).
    """

    variables = (
        Variable("h", "1", 0.125, 5.0),
        Variable("l", "1", 0.1, 10.0),
        Variable("t", "1", 0.1, 10.0),
        Variable("b", "1", 0.125, 5.0),
    )
    objectives = BOTH_LOW
    limits = tuple(Limit(f"g{place}", "1", 0.0, at_most=True, scale=1.0) for place in range(4))
    baseline = np.array([1.0, 5.0, 9.0, 2.0])

    def score(self, designs: Array) -> Scores:
        h, length, t, b = designs.T
        arm = np.sqrt(0.25 * (length**2 + (h + t) ** 2))
        shear = 6000.0 / (np.sqrt(2.0) * h * length)
        twist = 6000.0 * (14.0 + 0.5 * length) * arm
        twist /= 2.0 * 0.707 * h * length * (length**2 / 12.0 + 0.25 * (h + t) ** 2)
        stress = np.sqrt(shear**2 + twist**2 + length * shear * twist / arm)
        buckling = 64746.022 * (1.0 - 0.0282346 * t) * t * b**3
        missed = [
            stress / 13600.0 - 1.0,
            504000.0 / (t**2 * b) / 30000.0 - 1.0,
            h - b,
            1.0 - buckling / 6000.0,
        ]
        cost = 1.10471 * h**2 * length + 0.04811 * t * b * (14.0 + length)
        return Scores(np.column_stack([cost, 2.1952 / (t**3 * b)]), np.column_stack(missed))


def test_bursts_reach_the_front_of_zdt1() -> None:
    found = search(ZDT1(), SearchPlan(seed=1), 11)
    volume = fronts.hypervolume(found.front.objectives, np.ones(2))
    assert 0.995 * 2.0 / 3.0 < volume < 2.0 / 3.0


def test_bursts_reach_the_sphere_of_dtlz2() -> None:
    found = search(DTLZ2(), SearchPlan(seed=1), 12)
    costs = found.front.objectives
    assert np.quantile(np.linalg.norm(costs, axis=1), 0.9) < 1.02
    # of the cube of side 1.1, all but the eighth of the unit ball
    assert fronts.hypervolume(costs, np.full(3, 1.1)) > 0.95 * (1.1**3 - np.pi / 6.0)


def test_bursts_reach_both_ends_of_osyczka() -> None:
    # its ends lie where limits meet: a hundred thousand designs find them, a third of them do not
    found = search(Osyczka(), SearchPlan(seed=1), 20)
    costs = found.front.objectives
    for end in ([-274.0, 76.0], [-42.0, 4.0]):
        away = np.abs(costs / end - 1.0).max(axis=1)
        assert away.min() < 5e-3


def test_bursts_find_the_cheapest_and_the_stiffest_beam() -> None:
    found = search(WeldedBeam(), SearchPlan(seed=1), 12)
    costs = found.front.objectives
    assert 2.3805 < costs[:, 0].min() < 2.3811 * 1.01
    cheapest = found.front.values[costs[:, 0].argmin()]
    np.testing.assert_allclose(cheapest, [0.2444, 6.2175, 8.2915, 0.2444], rtol=0.05)
    np.testing.assert_allclose(costs[:, 1].min(), 2.1952 / 5000.0, rtol=1e-3)


def search(problem: Problem, plan: SearchPlan, number: int) -> Epoch:
    now = beginning(problem)
    for _ in range(number):
        tasks = [task_of(plan, now, island) for island in range(plan.islands)]
        found = [run_slice(problem, plan, task) for task in tasks]
        now, _ = merge(problem, plan, now, found)
    return now


def test_zdt1_front_is_nearly_reached() -> None:
    """The best front dominates, of the unit square, the area under sqrt(f1): 2/3."""
    found = search(
        ZDT1(), SearchPlan(seed=1, method="trials", population=40, islands=2, evaluations=800), 4
    )
    volume = fronts.hypervolume(found.front.objectives, np.ones(2))
    assert 0.95 * 2.0 / 3.0 < volume < 2.0 / 3.0
    first, second = found.front.objectives.T
    assert np.all(second >= 1.0 - np.sqrt(first) - 1e-12)


@pytest.mark.parametrize("sampler", ["nsga2", "nsga3"])
def test_constr_front_is_nearly_reached(sampler: str) -> None:
    def best(x1: float) -> float:
        return max(7.0 - 9.0 * x1, 1.0) / x1

    whole = quad(lambda x1: 10.0 - best(x1), 7.0 / 18.0, 1.0, points=[2.0 / 3.0])[0]
    found = search(
        Constr(),
        SearchPlan(seed=1, method="trials", sampler=sampler, population=40, evaluations=512),
        2,
    )
    volume = fronts.hypervolume(found.front.objectives, np.array([1.0, 10.0]))
    assert 0.95 * whole < volume < whole
    first, second = found.front.objectives.T
    assert np.all(first >= 7.0 / 18.0)
    assert np.all(second >= [best(x1) - 1e-12 for x1 in first])


def test_tpe_gets_nearer_than_chance() -> None:
    """The same number of designs drawn evenly at random is the measure to beat."""
    plan = SearchPlan(
        seed=1, method="trials", sampler="tpe", population=40, islands=1, evaluations=200
    )
    found = search(ZDT1(), plan, 1)
    drawn = ZDT1().score(np.random.default_rng(1).uniform(size=(200, 10))).objectives
    corner = np.array([1.0, 8.0])
    assert fronts.hypervolume(found.front.objectives, corner) > fronts.hypervolume(drawn, corner)


@pytest.mark.parametrize(
    ("points", "reference", "volume"),
    [
        # derived by hand: a unit square
        ([[0.0, 0.0]], [1.0, 1.0], 1.0),
        # derived by hand: steps 1 x 3, 1 x 2 and 1 x 1
        ([[1.0, 3.0], [2.0, 2.0], [3.0, 1.0]], [4.0, 4.0], 6.0),
        # derived by hand: three bars 1 x 1 x 2 along the axes of a 2-cube, sharing one unit cube
        ([[0.0, 1.0, 1.0], [1.0, 0.0, 1.0], [1.0, 1.0, 0.0]], [2.0, 2.0, 2.0], 4.0),
        # derived by hand: a point behind the reference adds nothing
        ([[0.0, 0.0], [-1.0, 1.0]], [1.0, 1.0], 1.0),
    ],
)
def test_hypervolume_of_sets_worked_by_hand(
    points: list[list[float]], reference: list[float], volume: float
) -> None:
    assert fronts.hypervolume(np.array(points), np.array(reference)) == pytest.approx(volume)


def test_non_dominated_designs_agree_with_comparing_all_pairs() -> None:
    costs = np.random.default_rng(5).normal(size=(400, 3))
    beaten = [any(np.all(b <= a) and np.any(b < a) for b in costs) for a in costs]
    np.testing.assert_array_equal(fronts.non_dominated(costs), np.logical_not(beaten))
