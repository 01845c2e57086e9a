"""Where the gradient operator begins: what is swapped, and what that is good for."""

import numpy as np
from numpy.testing import assert_array_equal

from tradeopt.arrays import Array
from tradeopt.search import targets
from tradeopt.search.cube import Cube
from tradeopt.search.descent import descend
from tradeopt.search.tally import Tally
from tradeopt.study.problem import Limit, Objective, Scores, Variable


class TwoMotors:
    """A trade in which one motor wins, once five other numbers suit it and not the other one.

    With x the place along the front and g what is lost: both costs, x + g and 1 - x + g, are to be
    low. The old motor loses 0.2 where the numbers are 0.3, the new one nothing where they are 0.8;
    with both, what they are off counts by its square.
    """

    variables = (
        Variable("motor", "", 0.0, 1.0, choices=("old", "new")),
        Variable("stages", "1", 1.0, 4.0, whole=True),
        *(Variable(f"x{place}", "1", 0.0, 1.0) for place in range(6)),
    )
    objectives = (Objective("first", "1", highest=False), Objective("second", "1", highest=False))
    limits: tuple[Limit, ...] = ()
    baseline = np.array([0.0, 2.0, *np.full(6, 0.3)])

    def score(self, designs: Array) -> Scores:
        is_new = designs[:, 0] == 1.0
        best = np.where(is_new, 0.8, 0.3)[:, None]
        lost = np.where(is_new, 0.0, 0.2) + 4.0 * np.sum((designs[:, 3:] - best) ** 2, axis=1)
        along = designs[:, 2]
        costs = np.column_stack([along + lost, 1.0 - along + lost])
        return Scores(costs, np.empty((len(designs), 0)))


def old_front(count: int = 20) -> Array:
    """Return the best that there is with the old motor."""
    front = np.tile(TwoMotors.baseline, (count, 1))
    front[:, 2] = np.linspace(0.0, 1.0, count)
    return front


def test_a_swap_changes_one_choice_and_none_twice_before_each_once() -> None:
    cube, tally = Cube(TwoMotors.variables), Tally(TwoMotors(), 0, 10**6)
    archive = tally.score_values(old_front())
    start = targets.swapped(np.random.default_rng(1), cube, archive, 12)
    moved = cube.to_values(start.genes)
    assert_array_equal(np.sort(moved[:, 2]), np.sort(np.unique(moved[:, 2])))
    assert np.all(moved[:, 3:] == 0.3)
    assert np.all((moved[:, 0] != 0.0) ^ (moved[:, 1] != 2.0))
    # the other motor, a stage more and a stage less: each of the three four times in twelve
    counts = [int(np.sum(moved[:, 0] == 1.0)), *(int(np.sum(moved[:, 1] == n)) for n in (1, 3))]
    assert counts == [4, 4, 4]


def test_what_no_step_could_reach_is_reached_by_a_swap_and_gradients() -> None:
    cube, tally = Cube(TwoMotors.variables), Tally(TwoMotors(), 0, 10**6)
    archive = tally.score_values(old_front())
    start = targets.swapped(np.random.default_rng(1), cube, archive, 12)
    begun = tally.score_pieces(start.genes)
    # by hand: both costs of the old motor add up to 1.4, with the new one they do to 1 at best;
    # at first it loses five times 4 (0.8 - 0.3)^2, and a stage more or less changes nothing
    is_new = cube.to_values(begun.genes)[:, 0] == 1.0
    np.testing.assert_allclose(begun.costs[is_new].sum(axis=1), 1.0 + 2.0 * 5.0)
    found = descend(cube, tally.score_pieces, begun, start.aim, 12)
    np.testing.assert_allclose(found.costs[is_new].sum(axis=1), 1.0, atol=0.05)
    assert found.costs[~is_new].sum(axis=1).min() > 1.39


def test_words_that_are_new_to_the_front_are_tried_elsewhere() -> None:
    cube, tally = Cube(TwoMotors.variables), Tally(TwoMotors(), 0, 10**6)
    newest = old_front(2)
    newest[:, 0], newest[:, 3:] = 1.0, 0.8
    archive = tally.score_values(np.concatenate([old_front(20), newest]))
    start = targets.swapped(np.random.default_rng(1), cube, archive, 20)
    moved = cube.to_values(start.genes)
    # a third of the swaps is of the motor; half of the old designs take that of the newest
    assert np.mean(moved[:, 0] == 1.0) > 0.5
