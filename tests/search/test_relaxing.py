"""What to relax where nothing meets the limits."""

import numpy as np
import pytest

from tests.services.toy import ToyProblem
from tradeopt.search.designs import Designs
from tradeopt.search.relaxing import way_out

PROBLEM = ToyProblem()
"""Its limits: heat at most 80 K on a scale of 80 K, speed at least 1 m/s on a scale of 1 m/s."""


def table(violations: list[list[float]], first: float = 1.0) -> Designs:
    rows = len(violations)
    return Designs(
        np.arange(10, 10 + rows),
        np.ones((rows, 4)),
        np.full((rows, 2), first),
        np.array(violations),
    )


def test_one_limit_by_much_goes_before_both_by_little() -> None:
    way = way_out(PROBLEM, table([[0.2, 0.2], [0.3, -1.0], [-1.0, 0.6]]))
    assert way is not None
    assert way.design == 11
    (only,) = way.relaxations
    # 30 % of 80 K above 80 K
    assert (only.limit, only.share) == ("heat", 0.3)
    assert only.bound == pytest.approx(104.0)


def test_where_one_is_not_enough_the_one_that_leaves_least_comes_first() -> None:
    way = way_out(PROBLEM, table([[0.2, 0.5], [0.4, 0.4]]))
    assert way is not None
    # without speed 0.2 is left at best, without heat 0.4
    assert [one.limit for one in way.relaxations] == ["speed", "heat"]
    assert [one.bound for one in way.relaxations] == pytest.approx([0.5, 96.0])


def test_designs_without_a_value_show_no_way_out() -> None:
    assert way_out(PROBLEM, table([[0.1, 0.1]], first=np.nan)) is None
