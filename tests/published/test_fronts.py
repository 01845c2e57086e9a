"""Test problems whose best trade-offs are known in closed form; searched with small budgets."""

import numpy as np
import pytest
from scipy.integrate import quad

from tradeopt.arrays import Array
from tradeopt.search import front as fronts
from tradeopt.search.burst import SliceTask, run_slice
from tradeopt.search.epoch import Epoch, beginning, merge
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


def search(problem: Problem, plan: SearchPlan, number: int) -> Epoch:
    now = beginning(problem)
    for epoch in range(number):
        tasks = [SliceTask(plan, epoch, island, now.population) for island in range(plan.islands)]
        now = merge(problem, plan, now, [run_slice(problem, task) for task in tasks])
    return now


def test_zdt1_front_is_nearly_reached() -> None:
    """The best front dominates, of the unit square, the area under sqrt(f1): 2/3."""
    found = search(ZDT1(), SearchPlan(seed=1, islands=2, evaluations=800), 4)
    volume = fronts.hypervolume(found.front.objectives, np.ones(2))
    assert 0.95 * 2.0 / 3.0 < volume < 2.0 / 3.0
    first, second = found.front.objectives.T
    assert np.all(second >= 1.0 - np.sqrt(first) - 1e-12)


@pytest.mark.parametrize("sampler", ["nsga2", "nsga3"])
def test_constr_front_is_nearly_reached(sampler: str) -> None:
    def best(x1: float) -> float:
        return max(7.0 - 9.0 * x1, 1.0) / x1

    whole = quad(lambda x1: 10.0 - best(x1), 7.0 / 18.0, 1.0, points=[2.0 / 3.0])[0]
    found = search(Constr(), SearchPlan(seed=1, sampler=sampler, evaluations=512), 2)
    volume = fronts.hypervolume(found.front.objectives, np.array([1.0, 10.0]))
    assert 0.95 * whole < volume < whole
    first, second = found.front.objectives.T
    assert np.all(first >= 7.0 / 18.0)
    assert np.all(second >= [best(x1) - 1e-12 for x1 in first])


def test_tpe_gets_nearer_than_chance() -> None:
    """The same number of designs drawn evenly at random is the measure to beat."""
    plan = SearchPlan(seed=1, sampler="tpe", islands=1, evaluations=200)
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
