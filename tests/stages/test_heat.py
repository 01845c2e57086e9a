"""The mission's temperatures in the chain: between cold and for ever, and what they change."""

import re

import numpy as np
import pytest

from tests.stages.studies import EXAMPLE
from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.study.read import loads

AIR = 273.15 + 28.0


def values(heat: str, **replaced: tuple[str, str]) -> dict[str, Array]:
    """The baseline of the example with this heat, and other words in place of some."""
    text = re.sub(r"heat: \{.*?\}", f"heat: {heat}", EXAMPLE.text, count=1)
    for old, new in replaced.values():
        assert old in text
        text = text.replace(old, new, 1)
    problem = loads(text, EXAMPLE.files).problem
    return dict(problem.evaluate(problem.baseline[None]).values)


def walked(rounds: int, **replaced: tuple[str, str]) -> dict[str, Array]:
    return values(f"{{kind: over_mission, rounds: {rounds}}}", **replaced)


def test_a_mission_is_never_warmer_than_its_warmest_gait_for_ever() -> None:
    mission = walked(1000)
    warmest = mission["winding_temperature"].max(axis=2, keepdims=True)
    assert (mission["mission_winding_temperature"] <= warmest + 1e-9).all()
    assert (mission["mission_winding_temperature"] >= AIR).all()


def test_the_first_round_is_the_coolest() -> None:
    found = [walked(rounds)["mission_winding_temperature"] for rounds in (1, 2, 50)]
    assert (found[0] <= found[1]).all()
    assert (found[1] <= found[2]).all()
    assert found[2].max() > found[0].max() + 0.1


def test_legs_of_many_hours_settle_where_their_gait_would() -> None:
    """Twin of both kinds, copper included, where each leg outlasts the motor's heat."""
    long_legs = {
        "out": ("out: {gait: steady, distance: 900 m}", "out: {gait: steady, distance: 200 km}"),
        "back": ("back: {gait: brisk, distance: 900 m}", "back: {gait: brisk, distance: 200 km}"),
    }
    mission, steady = walked(1, **long_legs), values("two_node", **long_legs)
    for name in ("mission_winding_temperature", "mission_housing_temperature"):
        for leg in (0, 2):
            later = np.maximum(steady[name][..., leg], AIR)
            # a leg is as warm as its gait, and starts as warm as the one before it left it
            before = steady[name][..., leg - 1]
            np.testing.assert_allclose(
                mission[name][..., leg], np.maximum(later, before), atol=0.1
            )
    for name in ("copper_loss", "hot_resistance"):
        np.testing.assert_allclose(
            mission[name][..., :2], steady[name][..., :2], rtol=5e-3, err_msg=name
        )


def test_copper_loses_what_its_warmth_on_the_mission_says() -> None:
    mission = walked(8)
    cold = mission["cold_copper_loss"]
    ratio = mission["copper_loss"] / np.where(cold > 0.0, cold, 1.0)
    warmest = mission["mission_winding_temperature"].max(axis=2)[..., None]
    for bound, is_at_most in ((warmest, True), (np.array(AIR), False)):
        wanted = 1.0 + 0.00393 * (bound - 293.15)
        assert ((ratio <= wanted) == is_at_most)[cold > 1e-6].all()


def test_a_short_hard_leg_may_ask_for_more_than_the_drive_holds_for_ever() -> None:
    """A minute at a load that runs away for ever is warm, and still finite."""
    heavy = {
        "payload": (
            "toe_off_angle: 0 deg, body_lean: 2 deg, payload: {mass: 0 kg",
            "toe_off_angle: 0 deg, body_lean: 2 deg, payload: {mass: 150 kg",
        ),
        "out": (
            "out: {gait: steady, distance: 900 m}",
            "out: {kind: time, gait: steady, time: 60 s}",
        ),
    }
    mission, forever = walked(1, **heavy), values("two_node", **heavy)
    knee = q.JOINTS.index("knee")
    assert forever["winding_temperature"][0, knee, 0] > 273.15 + 250.0
    assert mission["mission_winding_temperature"][0, knee, 0] < 273.15 + 150.0
    assert mission["copper_loss"][0, knee, 0] < 0.8 * forever["copper_loss"][0, knee, 0]
    assert mission["runaway_margin"][0, knee, 0] > forever["runaway_margin"][0, knee, 0]


def test_the_margins_are_those_of_the_warmest_moment() -> None:
    for found, name in ((walked(8), "mission_"), (values("two_node"), "")):
        for part, limit, margin in (
            ("winding", 155.0, "winding_heat_margin"),
            ("housing", 120.0, "magnet_heat_margin"),
        ):
            warmest = found[f"{name}{part}_temperature"].max(axis=2) - 273.15
            wanted = (limit - warmest) / (limit - 20.0)
            assert found[margin] == pytest.approx(wanted, rel=1e-9)


@pytest.mark.parametrize(
    ("touch", "share", "limit"),
    [
        ("{kind: bare, limit: 60 degC}", 1.0, 60.0),
        ("{kind: guarded, limit: 50 degC, passes: 45 %}", 0.45, 50.0),
    ],
)
def test_what_a_hand_meets_is_the_housing_or_its_guard(
    touch: str, share: float, limit: float
) -> None:
    text = re.sub(r"touch: \{.*?\}", f"touch: {touch}", EXAMPLE.text, count=1)
    problem = loads(text, EXAMPLE.files).problem
    found = problem.evaluate(problem.baseline[None]).values
    rise = found["mission_housing_temperature"].max(axis=2) - AIR
    surface = 28.0 + share * rise
    assert found["touch_temperature"] - 273.15 == pytest.approx(surface, rel=1e-9)
    assert found["touch_margin"] == pytest.approx((limit - surface) / (limit - 20.0), rel=1e-9)
    assert "touch_margin" in [one.name for one in problem.limits]


def test_a_study_may_leave_out_what_a_hand_meets() -> None:
    text = re.sub(r"  touch: \{.*?\}\n", "", EXAMPLE.text, count=1)
    problem = loads(text, EXAMPLE.files).problem
    assert "touch_margin" not in problem.chain.quantities
