"""What a slope costs at least, whatever the drives."""

import numpy as np
import pytest

from tradeopt.study.read import load, loads

STEADY = 0
GRAVITY = 9.81


def on_slope(degrees: float) -> dict[str, np.ndarray]:
    study = load("levee_rounds")
    steady = "step_width: 160 mm, slope: 0 deg"
    assert study.text.count(steady) == 1
    text = study.text.replace(steady, f"step_width: 160 mm, slope: {degrees} deg")
    problem = loads(text, study.files).problem
    return {
        name: array[0] for name, array in problem.evaluate(problem.baseline[None]).values.items()
    }


@pytest.mark.parametrize("degrees", [-4.0, 4.0])
def test_net_joint_work_on_a_slope_is_the_lift(degrees: float) -> None:
    """Over a stride nothing but the height changes: m g v sin(slope), conservation of energy."""
    v = on_slope(degrees)
    joints = 2.0 * (v["joint_torque"] * v["joint_speed"])[:, STEADY].mean(axis=-1).sum()
    lift = v["total_mass"] * GRAVITY * v["walking_speed"][STEADY] * np.sin(np.radians(degrees))
    # the foot that turns about its edge and the rebalanced mass leave some per cent of it
    assert joints == pytest.approx(lift, rel=0.03)


def test_uphill_costs_at_least_the_lift_more_than_level() -> None:
    level, uphill = on_slope(0.0), on_slope(4.0)
    weight = level["total_mass"] * GRAVITY * level["walking_speed"][STEADY]
    more = (uphill["mean_power"][STEADY] - level["mean_power"][STEADY]) / weight
    assert more >= np.sin(np.radians(4.0))


def test_downhill_saves_at_most_what_is_returned() -> None:
    level, downhill = on_slope(0.0), on_slope(-4.0)
    weight = level["total_mass"] * GRAVITY * level["walking_speed"][STEADY]
    saved = (level["mean_power"][STEADY] - downhill["mean_power"][STEADY]) / weight
    assert saved <= np.sin(np.radians(4.0))
