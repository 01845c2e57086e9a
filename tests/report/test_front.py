from dataclasses import dataclass

import numpy as np
import pytest

from tests.report.cells import number
from tradeopt.quantities import RANGE, TOTAL_MASS, Quantity
from tradeopt.report.front import (
    FrontView,
    front_columns,
    front_section,
    nearest_section,
    plain_front,
    rejections,
)
from tradeopt.search.designs import Designs
from tradeopt.study.problem import Limit, Objective, Variable

LENGTH = Variable("motor.stack_length", "m", 0.008, 0.04)
CELL = Variable("battery.cell", "", 0.0, 1.0, whole=True, choices=("light", "strong"))
TEMPERATURE = Quantity("winding_temperature", "K", ("design",), "winding", (260, 420))
REACH = Quantity("reach_margin", "1", ("design",), "reach", (0, 1), is_margin=True)


@dataclass(frozen=True)
class Outline:
    variables: tuple[Variable, ...] = (LENGTH, CELL)
    objectives: tuple[Objective, ...] = (
        Objective("range", "m", highest=True),
        Objective("total_mass", "kg", highest=False),
    )
    limits: tuple[Limit, ...] = (
        Limit("winding_temperature", "K", 393.15, at_most=True, scale=100.0),
        Limit("reach_margin", "1", 0.0, at_most=False, scale=1.0),
    )


QUANTITIES = {one.name: one for one in (RANGE, TOTAL_MASS, TEMPERATURE, REACH)}


def made_view(count: int = 3, missed: float = -0.5) -> FrontView:
    steps = np.arange(count, dtype=np.float64)
    return FrontView(
        Outline(),
        QUANTITIES,
        Designs(
            numbers=np.arange(count) + 40,
            values=np.stack([0.01 + 0.001 * steps, steps % 2], axis=1),
            objectives=np.stack([10_000.0 + 1000.0 * steps, 60.0 + steps], axis=1),
            violations=np.stack([missed + 0.1 * steps, np.full(count, -0.01)], axis=1),
        ),
    )


def test_the_best_of_the_first_objective_comes_first() -> None:
    section = front_section(made_view())
    assert section.column("design") == ("42", "41", "40")
    assert [str(cell) for cell in section.column("range")] == ["12 km", "11 km", "10 km"]


def test_a_long_front_is_thinned_to_rows_that_are_spread_out() -> None:
    section = front_section(made_view(200), most=15)
    ranges = np.array([number(cell) for cell in section.column("range")])
    assert len(ranges) == 15
    assert section.remark.startswith("15 of 200 designs")
    # ends are kept, and no gap is more than twice the even one
    assert (ranges[0], ranges[-1]) == (209_000.0, 10_000.0)
    assert np.abs(np.diff(ranges)).max() < 2 * 199_000.0 / 14


def test_a_limit_that_no_variable_moves_is_told_once_and_hides_no_other() -> None:
    section = front_section(made_view(missed=-0.5))
    assert set(section.column("tightest_limit")) == {"winding_temperature"}
    assert "alike in all: reach_margin active, 1 % left" in section.remark


def test_a_single_design_has_a_tightest_limit() -> None:
    assert made_view(1).tightest(0) == ("reach_margin", "active, 1 % left")


def test_the_nearest_designs_say_how_far_they_are() -> None:
    section = nearest_section(made_view(missed=0.03))
    row = section.row("40")
    assert (row["limits_missed"], row["missed_most"]) == ("1", "winding_temperature")
    assert row["verdict"] == "misses by 3 K"


def test_columns_name_their_units_and_keep_every_digit() -> None:
    columns = front_columns(made_view())
    assert list(columns) == [
        "design",
        "range [km]",
        "total_mass [kg]",
        "motor.stack_length [mm]",
        "battery.cell",
    ]
    assert columns["range [km]"] == [12.0, 11.0, 10.0]
    assert columns["motor.stack_length [mm]"] == pytest.approx([12.0, 11.0, 10.0])
    assert columns["battery.cell"] == ["light", "strong", "light"]


def test_an_empty_front_has_columns_without_rows() -> None:
    view = made_view()
    empty = FrontView(view.outline, view.quantities, view.designs.take(np.zeros(3, dtype=bool)))
    columns = front_columns(empty)
    assert all(column == [] for column in columns.values())
    # names are the same as those of a front with designs
    assert list(columns) == list(front_columns(view))


def test_json_has_si_units_and_what_is_left() -> None:
    first = plain_front(made_view())[0]
    assert first["design"] == 42
    assert first["objectives"] == {
        "range": {"value": 12_000.0, "unit": "m"},
        "total_mass": {"value": 62.0, "unit": "kg"},
    }
    assert first["left"] == {
        "winding_temperature": {"value": pytest.approx(30.0), "unit": "delta_K"},
        "reach_margin": {"value": 0.01, "unit": "1"},
    }
    assert first["variables"] == {
        "motor.stack_length": {"value": 0.012, "unit": "m"},
        "battery.cell": "light",
    }


def test_rejections_name_the_most_missed_and_no_limit_that_nobody_misses() -> None:
    missed = {"endurance": 610, "voltage_margin": 400, "mass": 3, "reach": 2, "heat": 1, "no": 0}
    assert rejections(missed, 1000) == (
        "endurance (61 %), voltage_margin (40 %), mass (0.3 %), reach (0.2 %)"
    )
    assert rejections({"no": 0}, 10) == ""
