"""The order of long lists of parts."""

from dataclasses import replace

import numpy as np
from numpy.testing import assert_array_equal

from tests.bench.problems import with_catalogue
from tradeopt.study.read import load
from tradeopt.study.sizes import MANY, sizes


def test_parts_that_grow_in_proportion_stand_in_order_of_their_size() -> None:
    chance = np.random.default_rng(1)
    scale = np.exp(chance.uniform(-1.0, 1.0, 50))
    # mass, inertia and torque grow with powers of the scale; resistance falls with it
    parts = np.column_stack([scale**power for power in (1.0, 1.6, 0.8, -0.5)])
    assert_array_equal(np.argsort(sizes(parts)), np.argsort(scale))


def test_what_is_unknown_or_the_same_for_all_does_not_count() -> None:
    parts = np.array([[3.0, np.nan, 7.0], [1.0, 2.0, 7.0], [2.0, 9.0, 7.0]])
    assert_array_equal(np.argsort(sizes(parts)), [1, 2, 0])
    assert_array_equal(sizes(np.full((3, 2), 4.0)), [0.0, 1.0, 2.0])


def test_short_lists_stay_words() -> None:
    assert all(not one.sizes for one in load("levee_rounds").problem.variables)


def test_a_catalogue_of_fifty_is_searched_by_size() -> None:
    problem = with_catalogue()
    sized = [one for one in problem.variables if one.sizes]
    assert [len(one.choices) for one in sized] == [50, 50]
    assert MANY < 50
    assert all(one.path.endswith("motor.family") for one in sized)
    assert replace(sized[0], sizes=()).has_words
    table = problem.tables["motor_families"]
    inertia = table.numbers["rotor_inertia"][np.argsort(sized[0].sizes)]
    assert np.corrcoef(np.arange(50.0), np.log(inertia))[0, 1] > 0.8
