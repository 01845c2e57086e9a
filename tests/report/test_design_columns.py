from base64 import b64decode
from typing import Any

import numpy as np
import pytest

from tests.report.test_front import made_view
from tradeopt.report.design_columns import design_columns


def numbers(column: Any) -> list[float]:
    return [float(one) for one in np.frombuffer(b64decode(column["values"]), "<f4")]


@pytest.fixture
def columns() -> dict[tuple[str, str], Any]:
    return {(str(one["role"]), str(one["name"])): one for one in design_columns(made_view())}


def test_columns_are_in_the_unit_they_name(columns: dict[tuple[str, str], Any]) -> None:
    reach = columns["objective", "range"]
    assert (reach["unit"], reach["wanted"]) == ("km", "highest")
    assert numbers(reach) == [10.0, 11.0, 12.0]
    length = columns["variable", "motor.stack_length"]
    assert (length["unit"], length["lower"], length["upper"]) == ("mm", 8.0, 40.0)
    assert numbers(length) == pytest.approx([10.0, 11.0, 12.0])


def test_a_choice_is_the_place_of_its_word(columns: dict[tuple[str, str], Any]) -> None:
    cell = columns["choice", "battery.cell"]
    assert [cell["choices"][int(place)] for place in numbers(cell)] == ["light", "strong", "light"]


def test_what_is_left_of_a_temperature_is_a_difference(
    columns: dict[tuple[str, str], Any],
) -> None:
    # 50, 40 and 30 K below a bound of 120 degC, whose scale is 100 K
    left = columns["limit", "winding_temperature"]
    assert (left["unit"], left["bound"]) == ("K", "<= 120 degC")
    assert numbers(left) == pytest.approx([50.0, 40.0, 30.0])
    assert (left["scale"], left["active"]) == pytest.approx((100.0, 2.0))


def test_the_first_column_is_the_number_of_the_design(
    columns: dict[tuple[str, str], Any],
) -> None:
    assert numbers(columns["design", "design"]) == [40.0, 41.0, 42.0]
