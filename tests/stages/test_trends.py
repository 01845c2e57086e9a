"""What a practitioner knows without a computer: which way each part moves the answer."""

from collections.abc import Callable

import numpy as np
import pytest

from tradeopt import quantities as q
from tradeopt.study.compiled import Evaluation
from tradeopt.study.read import load, loads

Vary = Callable[[str, list[float]], Evaluation]
KNEE = q.JOINTS.index("knee")
ANKLE = q.JOINTS.index("ankle_pitch")


def test_signs_extend_the_leg_against_gravity(evaluation: Evaluation) -> None:
    v = evaluation.values
    stand = evaluation.gaits.index("standing")
    assert (v["joint_angle"][:, KNEE] < 0.0).all(), "a bent knee has a negative angle"
    assert (v["joint_torque"][:, KNEE, stand] > 0.0).all(), "a bent knee needs extending torque"
    # between mid-stance and toe-off of the left leg the forefoot carries the robot
    assert (v["joint_torque"][:, ANKLE, :2, 35:45] > 0.0).all()


def test_more_cells_run_longer_and_weigh_more(vary: Vary) -> None:
    v = vary("robot.battery.parallel", [6, 12, 20]).values
    assert (np.diff(v["run_time"]) > 0).all()
    assert (np.diff(v["total_mass"]) > 0).all()
    assert (np.diff(v["mean_power"][:, 0]) > 0).all(), "carrying the cells costs power"


def test_a_longer_motor_is_cooler_and_heavier(vary: Vary) -> None:
    v = vary("robot.drives.knee.motor.stack_length", [0.012, 0.02, 0.03]).values
    assert (np.diff(v["winding_temperature"][:, KNEE, 0]) < 0).all()
    assert (np.diff(v["motor_mass"][:, KNEE]) > 0).all()


def test_a_higher_ratio_asks_less_torque_and_more_voltage(vary: Vary) -> None:
    v = vary("robot.drives.ankle_pitch.transmission.ratio", [20, 28, 40]).values
    assert (np.diff(np.abs(v["motor_torque"][:, ANKLE]).max(axis=(1, 2))) < 0).all()
    assert (np.diff(v["voltage_margin"][:, ANKLE]) < 0).all()


def test_another_gear_stage_allows_more_ratio_and_costs_mass_and_range(vary: Vary) -> None:
    v = vary("robot.drives.knee.transmission.stages", [1, 2, 3]).values
    assert v["transmission_ratio_margin"][0, KNEE] < 0.0, "one stage cannot give the ratio"
    assert (np.diff(v["transmission_ratio_margin"][:, KNEE]) > 0).all()
    assert (np.diff(v["transmission_mass"][:, KNEE]) > 0).all()
    assert (np.diff(v["transmission_loss"][:, KNEE, 0]) > 0).all()
    assert (np.diff(v["range"]) < 0).all()


def test_a_fan_cools(vary: Vary) -> None:
    still, fan = 0, 1
    v = vary("robot.drives.knee.cooling.kind", [still, fan]).values
    assert v["winding_temperature"][fan, KNEE, 0] < v["winding_temperature"][still, KNEE, 0] - 3.0
    # a ring of 0.6 W/K at 0.06 kg*K/W, and a fan of 90 g
    np.testing.assert_allclose(v["cooling_mass"][:, KNEE], [0.036, 0.126], rtol=1e-12)
    assert v["cooling_power"][still, KNEE] == 0.0 < v["cooling_power"][fan, KNEE]


def test_an_ankle_spring_spares_the_motor_on_the_brisk_gait(vary: Vary) -> None:
    none, two_way = 0, 1
    v = vary("robot.drives.ankle_pitch.spring.kind", [none, two_way]).values
    brisk = 1
    assert v["copper_loss"][two_way, ANKLE, brisk] < v["copper_loss"][none, ANKLE, brisk]


@pytest.mark.parametrize(
    ("before", "after", "lower"),
    [
        ("ambient: 28 degC", "ambient: 40 degC", "run_time"),
        ("computing: 38 W", "computing: 80 W", "run_time"),
        ("reserve: 10 %", "reserve: 20 %", "run_time"),
        ("stage_efficiency: 96 %", "stage_efficiency: 88 %", "range"),
        ("mass: 21 kg", "mass: 30 kg", "range"),
        ("age: 30 %", "age: 90 %", "range"),
        ("ambient: 28 degC", "ambient: -5 degC", "range"),
        ("wiring: 9 mohm", "wiring: 60 mohm", "range"),
        ("full: 98 %", "full: 80 %", "range"),
        ("converter_efficiency: 92 %", "converter_efficiency: 80 %", "range"),
        ("drives_idle: 2 W", "drives_idle: 20 W", "range"),
        ("count: 8, power: 2 W", "count: 8, power: 4 W", "range"),
        ("altitude: 120 m", "altitude: 4000 m", "run_time"),
        ("altitude: 120 m", "altitude: 4000 m", "cell_heat_margin"),
        ("bay_rise: 4 K", "bay_rise: 14 K", "cell_heat_margin"),
        ("failure_rate: 2e-5 1/h", "failure_rate: 2e-4 1/h", "chance_of_finishing"),
    ],
)
def test_what_costs_costs(before: str, after: str, lower: str) -> None:
    study = load("levee_rounds")
    assert before in study.text
    harder = loads(study.text.replace(before, after), study.files)
    value, worse = (
        one.problem.evaluate(one.problem.baseline[None]).values[lower].min()
        for one in (study, harder)
    )
    assert worse < value


def test_a_leg_too_short_for_its_step_is_a_negative_margin() -> None:
    study = load("levee_rounds")
    text = study.text.replace(
        "speed: 0.5 m/s, step_time: 0.75 s", "speed: 1.6 m/s, step_time: 0.9 s"
    )
    assert text != study.text
    problem = loads(text, study.files).problem
    v = problem.evaluate(problem.baseline[None]).values
    assert v["reach_margin"][0, 0] < 0.0
    scores = problem.score(problem.baseline[None])
    assert np.isfinite(scores.violations).all()
    assert not scores.feasible[0]


def test_the_recorded_gait_grows_with_weight_and_leg() -> None:
    study = load("levee_rounds")
    heavier = loads(study.text.replace("mass: 21 kg", "mass: 31 kg"), study.files)
    values = [one.problem.evaluate(one.problem.baseline[None]).values for one in (study, heavier)]
    brisk = [v["joint_torque"][0, :, 1] for v in values]
    mass = [v["total_mass"][0] for v in values]
    np.testing.assert_allclose(brisk[1], brisk[0] * mass[1] / mass[0], rtol=1e-12)


def test_the_example_looks_like_a_real_machine() -> None:
    """Orders of magnitude of full-size walkers; common practice, no source."""
    problem = load("levee_rounds").problem
    v = {name: array[0] for name, array in problem.evaluate(problem.baseline[None]).values.items()}
    assert 70.0 < v["total_mass"] < 95.0
    assert 150.0 < v["mean_power"][0] < 600.0
    assert 2 * 3600.0 < v["endurance"] < 16 * 3600.0
    assert 0.3 < v["cost_of_transport"] < 2.0
    peaks = np.abs(v["joint_torque"][:, :2]).max(axis=(1, 2))
    assert 60.0 < peaks[KNEE] < 200.0
    assert 60.0 < peaks[ANKLE] < 200.0
    assert problem.score(problem.baseline[None]).feasible[0]
