"""Putting slices together."""

import numpy as np
from numpy.testing import assert_array_equal

from tests.services.toy import SMALL, ToyProblem
from tradeopt.search.burst import ARCHIVE
from tradeopt.search.designs import Designs, join
from tradeopt.search.epoch import Epoch, beginning, run_slice, task_of
from tradeopt.search.epoch import merge as merge_both
from tradeopt.search.plan import SearchPlan
from tradeopt.search.slices import Found, counted

PROBLEM = ToyProblem()


def table(numbers: list[int], objectives: list[list[float]], misses: list[float]) -> Designs:
    rows = len(numbers)
    return Designs(
        numbers=np.array(numbers),
        values=np.ones((rows, 4)),
        objectives=np.array(objectives),
        violations=np.column_stack([misses, np.full(rows, -1.0)]),
    )


def merge(problem: ToyProblem, plan: SearchPlan, before: Epoch, tables: list[Designs]) -> Epoch:
    """Put slices together that kept all they tried."""
    found = [counted(one, one, 0, np.zeros(0)) for one in tables]
    return merge_both(problem, plan, before, found)[0]


# the first objective is range, wanted high, and the second mass, wanted low
FIRST = table([0, 1, 2], [[5.0, 3.0], [4.0, 4.0], [9.0, 1.0]], [0.0, -1.0, 0.1])
SECOND = table([3, 4], [[6.0, 4.0], [np.nan, 0.0]], [0.0, 0.0])


def test_front_holds_only_feasible_designs_that_none_beats() -> None:
    after = merge(PROBLEM, SMALL, beginning(PROBLEM), [FIRST, SECOND])
    # 1 is beaten by 0, 2 misses a limit, 4 has no range
    assert_array_equal(after.front.numbers, [0, 3])
    assert (after.number, after.tried, after.feasible) == (0, 5, 3)
    assert_array_equal(after.missed, [1, 0])


def test_population_puts_feasible_first_and_the_nearest_miss_next() -> None:
    after = merge(PROBLEM, SMALL, beginning(PROBLEM), [FIRST, SECOND])
    assert_array_equal(after.population.numbers, [0, 3, 1, 2])


def test_hypervolume_is_measured_from_the_first_feasible_designs() -> None:
    after = merge(PROBLEM, SMALL, beginning(PROBLEM), [FIRST, SECOND])
    # feasible: range 4..6, mass 3..4; a tenth of the spread behind the worst: range 3.8, mass 4.1
    np.testing.assert_allclose(after.reference, [-3.8, 4.1], rtol=1e-14)
    # two rectangles: range 3.8 to 5 by mass 3 to 4.1, and range 5 to 6 by mass 4 to 4.1
    np.testing.assert_allclose(after.hypervolume, 1.2 * 1.1 + 1.0 * 0.1, rtol=1e-12)
    assert after.first_hypervolume == after.hypervolume


def test_reference_stays_and_the_front_grows() -> None:
    first = merge(PROBLEM, SMALL, beginning(PROBLEM), [FIRST])
    better = table([5], [[8.0, 2.0]], [0.0])
    second = merge(PROBLEM, SMALL, first, [better])
    assert_array_equal(second.reference, first.reference)
    assert second.hypervolume > first.hypervolume
    assert second.first_hypervolume == first.hypervolume
    assert_array_equal(second.front.numbers, [5])


def test_an_epoch_without_feasible_designs_has_no_reference_yet() -> None:
    miss = table([0], [[5.0, 3.0]], [0.3])
    after = merge(PROBLEM, SMALL, beginning(PROBLEM), [miss])
    assert np.all(np.isnan(after.reference))
    assert (after.hypervolume, len(after.front), after.feasible) == (0.0, 0, 0)
    assert_array_equal(after.population.numbers, [0])


def test_an_epoch_whose_slices_were_all_set_aside_changes_nothing_but_its_number() -> None:
    first = merge(PROBLEM, SMALL, beginning(PROBLEM), [FIRST])
    second = merge(PROBLEM, SMALL, first, [])
    assert second.number == 1
    assert second.tried == first.tried
    assert_array_equal(second.front.numbers, first.front.numbers)


def test_front_over_several_epochs_is_that_of_all_designs_tried() -> None:
    now: Epoch = beginning(PROBLEM)
    tried: list[Designs] = []
    for _ in range(3):
        slices: list[Found] = [
            run_slice(PROBLEM, SMALL, task_of(SMALL, now, island)) for island in range(2)
        ]
        tried.extend(one.designs for one in slices)
        now, _ = merge_both(PROBLEM, SMALL, now, slices)
    everything = join(tried)
    good = everything.take(everything.feasible)
    reach, mass = good.objectives.T
    beaten = np.array(
        [
            np.any((reach >= r) & (mass <= m) & ((reach > r) | (mass < m)))
            for r, m in good.objectives
        ]
    )
    kept = {tuple(row) for row in now.front.objectives}
    assert kept == {tuple(row) for row in good.objectives[~beaten]}
    assert now.tried == len(everything)
    assert now.feasible == len(good)


def test_large_fronts_are_thinned_to_the_archive() -> None:
    place = np.linspace(0.0, 1.0, ARCHIVE + 50)
    objectives = np.column_stack([place, place])
    wide = table(list(range(len(place))), objectives.tolist(), [0.0] * len(place))
    after = merge(PROBLEM, SMALL, beginning(PROBLEM), [wide])
    assert len(after.front) == ARCHIVE
    assert {0, len(place) - 1} <= set(after.front.numbers.tolist())
