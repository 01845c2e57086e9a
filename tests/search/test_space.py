"""Rows of numbers to named parameters and back."""

import numpy as np
import optuna
import pytest
from numpy.testing import assert_array_equal

from tests.services.toy import ToyProblem
from tradeopt.search import space
from tradeopt.study.problem import Variable

VARIABLES = ToyProblem().variables


def test_a_design_comes_back_as_it_was() -> None:
    design = np.array([12.345678901234567, 0.1 + 0.2, 7.0, 1.0])
    params = space.parameters(design, VARIABLES)
    assert params == {
        "gear.ratio": 12.345678901234567,
        "share": 0.1 + 0.2,
        "cells": 7,
        "fan": "yes",
    }
    assert_array_equal(space.row(params, VARIABLES), design)


def test_each_kind_of_variable_is_sampled_as_such() -> None:
    kinds = space.distributions(VARIABLES)
    assert kinds == {
        "gear.ratio": optuna.distributions.FloatDistribution(1.0, 100.0, log=True),
        "share": optuna.distributions.FloatDistribution(0.0, 1.0),
        "cells": optuna.distributions.IntDistribution(1, 9),
        "fan": optuna.distributions.CategoricalDistribution(("no", "yes")),
    }


def test_whole_numbers_between_broken_bounds_lie_inside_them() -> None:
    kinds = space.distributions([Variable("cells", "1", 1.2, 4.8, whole=True)])
    assert kinds["cells"] == optuna.distributions.IntDistribution(2, 4)


@pytest.mark.parametrize(
    ("place", "value"), [(0, 0.5), (0, 101.0), (1, -0.1), (2, 10.0), (3, 2.0), (3, -1.0)]
)
def test_a_design_outside_one_bound_is_outside(place: int, value: float) -> None:
    design = ToyProblem().baseline
    assert space.inside(design[np.newaxis], VARIABLES)[0]
    design[place] = value
    assert not space.inside(design[np.newaxis], VARIABLES)[0]
