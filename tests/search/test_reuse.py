"""Designs of one question brought into another."""

import numpy as np
from numpy.testing import assert_array_equal

from tests.services.toy import ToyProblem
from tradeopt.search.designs import score
from tradeopt.search.reuse import carried, said
from tradeopt.study.problem import Variable

OLD = ToyProblem()


def test_the_same_question_takes_designs_as_they_are() -> None:
    values = np.array([[10.0, 0.5, 4.0, 0.0], [1.0 / 3.0 + 1.0, 0.1, 9.0, 1.0]])
    brought = carried(OLD, said(OLD, score(OLD, values, 0)))
    assert_array_equal(brought.values, values)
    assert brought.notes == ()


def test_words_go_by_name_so_that_a_longer_list_moves_nothing() -> None:
    fan = Variable("fan", "", 0.0, 2.0, choices=("huge", "yes", "no"))
    new = ToyProblem(variables=(*OLD.variables[:3], fan))
    designs = said(OLD, score(OLD, np.array([[10.0, 0.5, 4.0, 0.0], [10.0, 0.5, 4.0, 1.0]]), 0))
    assert_array_equal(carried(new, designs).values[:, 3], [2.0, 1.0])


def test_what_had_to_be_changed_is_said() -> None:
    variables = (
        Variable("gear.ratio", "1", 5.0, 20.0, log=True),
        Variable("cells", "1", 1.0, 9.0, whole=True),
        Variable("fan", "", 0.0, 1.0, choices=("yes", "large")),
        Variable("spring", "N/m", 0.0, 9.0),
    )
    new = ToyProblem(variables=variables)
    designs = said(OLD, score(OLD, np.array([[50.0, 0.5, 4.0, 0.0], [8.0, 0.5, 5.0, 1.0]]), 0))
    brought = carried(new, designs)
    # the toy's own values stand in for what is missing: its baseline is (10, 0.5, 4, 0)
    assert_array_equal(brought.values, [[20.0, 4.0, 4.0, 0.0], [8.0, 5.0, 0.0, 0.0]])
    assert brought.notes == (
        "gear.ratio moved into its bounds in 1 of 2",
        "fan as in the baseline in 1 of 2",
        "spring as in the baseline in 2 of 2",
        "share is not searched any more",
    )


def test_designs_that_come_to_the_same_are_brought_once() -> None:
    designs = [{"gear.ratio": 10.0}, {"gear.ratio": 10.0}, {"gear.ratio": 11.0}]
    assert len(carried(OLD, designs).values) == 2
