import numpy as np
import pytest

from tests.report.cells import number
from tradeopt.quantities import JOINTS, Quantity
from tradeopt.report.limits import ACTIVE, limit_section, margin_words, standings, verdict
from tradeopt.report.view import View
from tradeopt.study.compiled import Evaluation
from tradeopt.study.problem import Limit

TEMPERATURE = Quantity(
    "winding_temperature", "K", ("design", "joint", "gait"), "winding", (260, 420)
)
MASS = Quantity("total_mass", "kg", ("design",), "mass", (20, 150))
HOT = Limit("winding_temperature", "K", 393.15, at_most=True, scale=100.0)
KNEE_HOT = Limit("winding_temperature.knee", "K", 393.15, at_most=True, scale=100.0)
HEAVY = Limit("total_mass", "kg", 95.0, at_most=True, scale=95.0)


def made_view(warmest: float, mass: float = 80.0) -> View:
    temperatures = np.full((2, 6, 2), 300.0)
    temperatures[1, 4, 1] = warmest
    return View(
        Evaluation(
            {"winding_temperature": temperatures, "total_mass": np.array([1.0, mass])},
            {"winding_temperature": TEMPERATURE, "total_mass": MASS},
            {"gait": ("steady", "brisk"), "joint": JOINTS},
        ),
        1,
    )


def test_a_miss_is_told_in_kelvins_at_its_joint_and_gait() -> None:
    (one,) = standings(made_view(396.15), (HOT,))
    assert one.verdict == "misses by 3 K"
    assert one.where == "ankle_pitch, brisk"
    assert one.left.value == pytest.approx(-3.0)


def test_the_tightest_limit_comes_first() -> None:
    # 30 K of a scale of 100 K are left, and 15 kg of 95 kg
    found = standings(made_view(363.15), (HOT, HEAVY))
    assert [one.limit.name for one in found] == ["total_mass", "winding_temperature"]
    assert [one.verdict for one in found] == ["meets, 15 kg left", "meets, 30 K left"]


@pytest.mark.parametrize(("left", "active"), [(1.9, True), (2.1, False)])
def test_a_limit_is_active_within_a_fiftieth_of_its_scale(left: float, active: bool) -> None:
    (one,) = standings(made_view(393.15 - left), (HOT,))
    assert one.active is active
    assert one.verdict.startswith("active" if active else "meets")


def test_a_limit_of_one_joint_looks_at_that_joint_alone() -> None:
    (one,) = standings(made_view(500.0), (KNEE_HOT,))
    assert (one.value, one.where) == (300.0, "knee, steady")


def test_no_value_is_a_miss() -> None:
    (one,) = standings(made_view(np.nan), (HOT,))
    assert one.verdict == "misses: no value"
    assert one.where == "ankle_pitch, brisk"


def test_the_verdict_names_what_is_missed_or_active() -> None:
    both = (HOT, HEAVY)
    assert verdict(standings(made_view(396.15), both)) == (
        "misses 1 of 2 limits: winding_temperature misses by 3 K"
    )
    assert verdict(standings(made_view(392.15), both)) == (
        "meets every limit; active: winding_temperature"
    )
    assert verdict(standings(made_view(363.15), both)) == (
        "meets every limit; the tightest is total_mass"
    )
    assert verdict(()) == "meets every limit"


def test_what_is_just_reached_is_met() -> None:
    assert margin_words(HEAVY, MASS, 0.0) == "active, 0 kg left"
    assert margin_words(HEAVY, MASS, -ACTIVE - 1e-9) == "meets, 1.9 kg left"


def test_the_table_has_the_bound_with_its_direction() -> None:
    section = limit_section(standings(made_view(363.15), (HOT, HEAVY)))
    assert section.row("winding_temperature")["bound"] == "<= 120 degC"
    assert number(section.row("total_mass")["left"]) == pytest.approx(15.0)
