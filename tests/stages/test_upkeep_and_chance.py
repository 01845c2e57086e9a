"""Coming home and being looked after: what spares and service cost and buy in the example."""

import math
import re
from collections.abc import Callable

import numpy as np
import pytest

from tradeopt import quantities as q
from tradeopt.study.compiled import Evaluation
from tradeopt.study.read import load, loads

FOOT = q.BODIES.index("foot")
TORSO = q.BODIES.index("torso")
SENSORS = 0
"""Place of the foot sensors among the components of the example."""


def changed(before: str, after: str) -> dict[str, np.ndarray]:
    study = load("levee_rounds")
    assert before in study.text
    other = loads(study.text.replace(before, after), study.files).problem
    return {name: array[0] for name, array in other.evaluate(other.baseline[None]).values.items()}


def test_a_second_foot_sensor_is_a_choice_with_a_price(
    vary: Callable[[str, list[float]], Evaluation],
) -> None:
    v = vary("robot.reliability.foot_sensors.spare", [0, 1, 2]).values
    assert (np.diff(v["chance_of_finishing"]) > 0.0).all()
    assert (np.diff(v["distance_to_stop"]) > 0.0).all()
    # 60 g a piece with 5 % growth and 0.3 W through a converter of 92 %, on both feet
    np.testing.assert_allclose(np.diff(v["total_mass"]), 2 * 0.060 * 1.05, rtol=1e-9)
    np.testing.assert_allclose(np.diff(v["inertia"][:, FOOT, 0]), 0.060 * 1.05, rtol=1e-9)
    np.testing.assert_allclose(np.diff(v["standby_power"]), 2 * 0.3 / 0.92, rtol=1e-9)
    assert (np.diff(v["endurance"]) < 0.0).all()
    assert (np.diff(v["range"]) <= 0.0).all()  # as far where the charge ends standing


def test_chance_over_a_distance_follows_hours_and_strides() -> None:
    # computers: 2e-5 failures an hour of the mission, nothing by cycle, one of one, over 500 km
    v = changed("computing: 38 W", "computing: 38 W")
    hours = 500e3 / v["round_distance"] * v["round_time"] / 3600.0
    assert v["component_chance"][2] == pytest.approx(math.exp(-2e-5 * hours), rel=1e-9)
    # drives: twelve of one, 4e-6 an hour and 2e-10 a cycle, two cycles a stride
    strides = 500e3 / v["round_distance"] * v["round_strides"]
    worn = 12 * (4e-6 * hours + 2e-10 * 2 * strides)
    assert v["component_chance"][1] == pytest.approx(math.exp(-worn), rel=1e-9)
    assert v["chance_of_finishing"] == pytest.approx(v["component_chance"].prod(), rel=1e-12)


def test_strides_are_those_of_the_legs_that_move() -> None:
    v = changed("computing: 38 W", "computing: 38 W")
    # 900 m at 0.5 m/s with two steps of 0.75 s a stride, and 900 m at 0.75 m/s with 1.32 s
    expected = 900.0 / (0.5 * 1.5) + 900.0 / (0.75 * 1.32)
    assert v["round_strides"] == pytest.approx(expected, rel=1e-9)


def test_one_round_is_likelier_than_a_month() -> None:
    line = re.search(r"  chance: .*\n", load("levee_rounds").text)
    assert line is not None
    one_round = changed(line[0], "")
    month = changed("computing: 38 W", "computing: 38 W")
    assert one_round["chance_of_finishing"] > month["chance_of_finishing"]
    assert one_round["distance_to_stop"] == pytest.approx(month["distance_to_stop"], rel=1e-12)


def test_minutes_of_service_in_a_hundred_kilometres() -> None:
    v = changed("computing: 38 W", "computing: 38 W")
    hours = 100e3 / v["round_distance"] * v["round_time"] / 3600.0
    swaps, fans, checks = 4.0 * 100e3 / v["range"], 20.0 * hours / 4000.0, 30.0 * 100.0 / 250.0
    np.testing.assert_allclose(v["task_time"] / 60.0, [swaps, fans, checks], rtol=1e-9)
    assert v["upkeep_time"] / 60.0 == pytest.approx(swaps + fans + checks, rel=1e-9)


def test_a_bigger_pack_is_swapped_less_often(
    vary: Callable[[str, list[float]], Evaluation],
) -> None:
    v = vary("robot.battery.parallel", [8, 12, 16]).values
    assert (np.diff(v["upkeep_time"]) < 0.0).all()


def test_arms_weigh_on_the_torso_and_draw_holding_power() -> None:
    light, heavy = (
        changed("mass: 0.45 kg", "mass: 0.45 kg"),
        changed("mass: 0.45 kg", "mass: 1 kg"),
    )
    added = 8 * 0.55 * 1.10
    assert heavy["total_mass"] - light["total_mass"] == pytest.approx(added, rel=1e-9)
    moved = heavy["inertia"][TORSO] - light["inertia"][TORSO]
    # points at x 0, y +-200 mm, z 350 mm
    np.testing.assert_allclose(moved[[0, 3]], [added, added * 0.35], rtol=1e-9)
    np.testing.assert_allclose(moved[4], added * (0.2**2 + 0.35**2), rtol=1e-9)
    idle = changed("count: 8, power: 2 W", "count: 8, power: 0 W")
    assert light["standby_power"] - idle["standby_power"] == pytest.approx(16.0, rel=1e-9)
    assert light["sitting_power"] == idle["sitting_power"]


def test_a_study_may_leave_out_what_it_does_not_ask() -> None:
    text = load("levee_rounds").text
    kept = [
        line
        for line in re.sub(
            r"(?ms)^  other_joints:.*?(?=^gaits:)|^upkeep:.*?(?=^stages:)|^  chance: [^\n]*\n",
            "",
            text,
        ).splitlines()
        if not re.match(r"  (chance_of_finishing|upkeep_time|robot.reliability)", line)
    ]
    bare = loads("\n".join(kept), load("levee_rounds").files).problem
    v = bare.evaluate(bare.baseline[None]).values
    assert "chance_of_finishing" not in v
    assert "upkeep_time" not in v
    # 38 W and 16 W through a converter of 92 %, drives 2 W
    assert v["standby_power"][0] == pytest.approx(54.0 / 0.92 + 2.0, rel=1e-12)
    assert bare.score(bare.baseline[None]).feasible[0]
