"""Energy is kept: what the bus gives is what the joints do and what is lost on the way."""

from collections.abc import Mapping

import numpy as np

from tradeopt import quantities as q
from tradeopt.study.compiled import CompiledStudy, Evaluation
from tradeopt.study.read import load, loads


def test_each_drive_draws_joint_work_and_its_losses(evaluation: Evaluation) -> None:
    # the rotor gives back over a stride what it takes; of one behind a linkage 100 phases miss
    # some 1e-6 W
    v = evaluation.values
    joint = (v["drive_torque"] * v["joint_speed"]).mean(axis=-1)
    losses = v["copper_loss"] + v["iron_loss"].mean(axis=-1) + v["transmission_loss"]
    drawn = joint + losses + v["drive_loss"]
    np.testing.assert_allclose(v["drive_power"], drawn, rtol=1e-9, atol=1e-5)


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


def _stored(values: Mapping[str, np.ndarray]) -> np.ndarray:
    """Energy [J] between full and reserve, cells at 32 degC and 30 % of their life used up."""
    cell = {
        name.removeprefix("robot.battery.cell."): array
        for name, array in values.items()
        if name.startswith("robot.battery.cell.")
    }
    table = np.stack([cell[f"voltage_{10 * point}"] for point in range(11)], axis=1)
    charge = np.linspace(0.10, 0.98, 4001)
    voltage = [np.interp(charge, np.linspace(0.0, 1.0, 11), row).mean() for row in table]
    warm = 1.0 + 0.6 * (cell["capacity_factor_40"] - 1.0)
    aged = 1.0 + 0.3 * (cell["aged_capacity"] - 1.0)
    cells = values["robot.battery.series"] * values["robot.battery.parallel"]
    energy: np.ndarray = 0.88 * cell["capacity"] * warm * aged * np.array(voltage) * cells
    return energy


def test_the_legs_draw_what_the_pack_holds_less_what_it_keeps(
    problem: CompiledStudy, evaluation: Evaluation
) -> None:
    v = evaluation.values
    drawn = v["leg_energy"].sum(axis=1) + v["pack_loss"]
    # a hard leg may reach the cut-off voltage before the reserve; where more is asked than the
    # pack can give there is no such law
    able = v["pack_power_margin"] >= 0.0
    assert able.mean() > 0.6
    assert (drawn <= 1.005 * _stored(v))[able].all()
    base = problem.evaluate(problem.baseline[None]).values
    drawn = base["leg_energy"].sum(axis=1) + base["pack_loss"]
    np.testing.assert_allclose(drawn, _stored(base), rtol=5e-4)


def test_energy_of_a_charge_is_all_accounted_for(evaluation: Evaluation) -> None:
    v = evaluation.values
    by_joint = ("joint", "transmission", "copper", "iron", "drive", "cooling")
    used = sum(v[f"{name}_energy"].sum(axis=1) for name in by_joint)
    used = used + v["standby_energy"] + v["regeneration_energy"]
    # what a rotor behind a linkage takes and gives, 100 phases sum up to some 1e-9
    np.testing.assert_allclose(used, v["leg_energy"].sum(axis=1), rtol=1e-7)


def test_net_work_at_the_joints_is_torque_times_speed(evaluation: Evaluation) -> None:
    v = evaluation.values
    in_gait = np.einsum("dl,dlg->dg", v["leg_run_time"], v["leg_gait"])
    work = 2.0 * np.einsum(
        "djg,dg->dj", (v["drive_torque"] * v["joint_speed"]).mean(axis=-1), in_gait
    )
    np.testing.assert_allclose(
        v["joint_energy"], work, rtol=1e-6, atol=1e-6 * v["leg_energy"].max()
    )


def test_range_is_what_the_legs_walk(evaluation: Evaluation) -> None:
    v = evaluation.values
    speed = np.einsum("dlg,dg->dl", v["leg_gait"], v["walking_speed"])
    walked = (speed * v["leg_run_time"]).sum(axis=1)
    np.testing.assert_allclose(v[q.RANGE.name], walked, rtol=1e-12)
    np.testing.assert_allclose(v["leg_run_time"].sum(axis=1), v["endurance"], rtol=1e-12)
