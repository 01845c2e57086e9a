"""Energy is kept: what the bus gives is what the joints do and what is lost on the way."""

import numpy as np

from tradeopt import quantities as q
from tradeopt.study.compiled import Evaluation
from tradeopt.study.read import load, loads


def test_each_drive_draws_joint_work_and_its_losses(evaluation: Evaluation) -> None:
    # the rotor gives back over a stride what it takes
    v = evaluation.values
    joint = (v["drive_torque"] * v["joint_speed"]).mean(axis=-1)
    losses = v["copper_loss"] + v["iron_loss"].mean(axis=-1) + v["transmission_loss"]
    drawn = joint + losses + v["drive_loss"]
    np.testing.assert_allclose(v["drive_power"], drawn, rtol=1e-9, atol=1e-6)


def test_springs_give_back_over_a_stride_what_they_take(evaluation: Evaluation) -> None:
    v = evaluation.values
    power = v["spring_torque"] * v["joint_speed"]
    taken = np.abs(power).mean(axis=-1)
    # the touch of a one-sided spring is a kink, which 100 phases integrate to some 0.3 %
    assert (np.abs(power.mean(axis=-1)) <= 5e-3 * taken + 1e-9).all()
    np.testing.assert_allclose(v["spring_torque"] + v["drive_torque"], v["joint_torque"])


def test_every_loss_is_a_loss(evaluation: Evaluation) -> None:
    for name in ("copper_loss", "iron_loss", "transmission_loss", "drive_loss"):
        assert evaluation.values[name].min() >= 0.0, name


def test_the_bus_gives_both_legs_and_what_is_always_on() -> None:
    text = load("levee_rounds").text.replace("regeneration: 70 %", "regeneration: 100 %")
    problem = loads(text, load("levee_rounds").files).problem
    fan = [one.path for one in problem.variables].index("robot.drives.knee.cooling.kind")
    designs = np.tile(problem.baseline, (2, 1))
    designs[:, fan] = (0.0, 1.0)
    v = problem.evaluate(designs).values
    np.testing.assert_allclose(v["cooling_power"].sum(axis=1), [0.0, 2.5], rtol=1e-12)
    always_on = v["standby_power"] + 2.0 * v["cooling_power"].sum(axis=1)
    wanted = 2.0 * v["drive_power"].sum(axis=1) + always_on[:, None]
    np.testing.assert_allclose(v["mean_power"], wanted, rtol=1e-12)


def test_power_that_is_not_taken_back_costs() -> None:
    study = load("levee_rounds")
    found = [
        loads(study.text.replace("regeneration: 70 %", f"regeneration: {share} %"), study.files)
        for share in (0, 50, 100)
    ]
    brisk = study.problem.layout.gaits.index("brisk")
    power = [
        one.problem.evaluate(one.problem.baseline[None]).values["mean_power"][0, brisk]
        for one in found
    ]
    assert power[0] > power[1] > power[2]


def test_standing_moves_nothing_and_walks_nowhere(evaluation: Evaluation) -> None:
    stand = evaluation.gaits.index("standing")
    speed = evaluation.values["joint_speed"][:, :, stand]
    np.testing.assert_array_equal(speed, 0.0)
    torque = evaluation.values["motor_torque"][:, :, stand]
    np.testing.assert_allclose(np.ptp(torque, axis=-1), 0.0, atol=1e-12)
    assert not evaluation.values["walking_speed"][:, stand].any()
    lost = evaluation.values["transmission_loss"][:, :, stand]
    np.testing.assert_allclose(lost, 0.0, atol=1e-9)


def test_the_charge_that_is_drawn_is_no_more_than_there_is(evaluation: Evaluation) -> None:
    v = evaluation.values
    mix = (v["mean_power"] * v["gait_share"]).sum(axis=1)
    # the reserve of 10 % stays in the pack, and the cells' own resistance takes its share
    assert (mix * v["run_time"] <= 0.97 * v["pack_energy"]).all()


def test_range_is_speed_times_time(evaluation: Evaluation) -> None:
    v = evaluation.values
    speed = (v["walking_speed"] * v["gait_share"]).sum(axis=1)
    np.testing.assert_allclose(v[q.RANGE.name], speed * v["run_time"], rtol=1e-12)
