from dataclasses import replace

import numpy as np
import pytest

from tests.report.test_front import Outline, made_view
from tradeopt.report.along_front import along_front
from tradeopt.report.amount import Amount


def value(cell: object) -> float:
    assert isinstance(cell, Amount)
    return cell.value


def test_limits_say_how_many_designs_they_hold_back() -> None:
    # the reach margin has 1 % of its scale left in every design, the temperature 50 to 30 %
    limits, _ = along_front(made_view(), 200, {"winding_temperature": 50, "reach_margin": 0})
    rows = {row[0]: [value(cell) for cell in row[1:]] for row in limits.rows}
    assert rows == {"reach_margin": [1.0, 0.0], "winding_temperature": [0.0, 0.25]}
    assert [row[0] for row in limits.rows] == ["reach_margin", "winding_temperature"]


def test_limits_that_turn_nothing_down_are_not_named() -> None:
    limits, _ = along_front(made_view(), 200, {"winding_temperature": 0, "reach_margin": 0})
    assert [row[0] for row in limits.rows] == ["reach_margin"]


def test_a_variable_that_rises_with_an_objective_has_order_one() -> None:
    view = made_view(5)
    view = replace(
        view, designs=replace(view.designs, objectives=view.designs.objectives * [1.0, -1.0])
    )
    _, variables = along_front(view, 5, dict.fromkeys(("winding_temperature", "reach_margin"), 0))
    length = variables.row("motor.stack_length")
    assert (value(length["order_range"]), value(length["order_total_mass"])) == (1.0, -1.0)
    assert (str(length["from"]), str(length["to"])) == ("10 mm", "14 mm")


def test_a_choice_tells_which_is_commonest_and_has_no_order() -> None:
    _, variables = along_front(
        made_view(), 3, dict.fromkeys(("winding_temperature", "reach_margin"), 0)
    )
    cell = variables.row("battery.cell")
    assert (cell["from"], cell["to"]) == ("mostly light", "2 of 2 choices")
    assert cell["order_range"] == ""


@pytest.mark.parametrize(("edge", "share"), [(0.008, 1.0), (0.04, 1.0), (0.02, 0.0)])
def test_a_variable_on_its_bound_is_told(edge: float, share: float) -> None:
    view = made_view()
    values = view.designs.values.copy()
    values[:, 0] = edge
    view = replace(view, designs=replace(view.designs, values=values))
    _, variables = along_front(view, 3, dict.fromkeys(("winding_temperature", "reach_margin"), 0))
    assert value(variables.row("motor.stack_length")["on_a_bound"]) == share


def test_an_empty_front_has_no_ends() -> None:
    view = made_view()
    empty = replace(view, designs=view.designs.take(np.zeros(3, dtype=bool)))
    _, variables = along_front(empty, 10, {one.name: 5 for one in Outline().limits})
    assert [row[1:3] for row in variables.rows] == [("", ""), ("", "")]
