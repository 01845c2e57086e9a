"""Shifted assumptions, against the study that says the shifted numbers itself."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from tradeopt.arrays import Array
from tradeopt.insight.assumptions import Assumption, Shifted, assumptions_of
from tradeopt.services.evaluate import changed
from tradeopt.study.compiled import CompiledStudy
from tradeopt.study.study import Study


def assumptions(study: Study) -> dict[str, Assumption]:
    found = assumptions_of(study.problem, study.problem.baseline)
    return {one.name: one for one in found}


def outcomes(problem: CompiledStudy, design: Array) -> Array:
    scores = problem.score(design[None])
    return np.concatenate([scores.objectives[0], scores.violations[0]])


def shifted(study: Study, name: str, shift: float) -> Array:
    one = assumptions(study)[name]
    response = Shifted(study.problem, study.problem.baseline, (one,))
    return np.asarray(response(np.array([[shift]]))[0], dtype=np.float64)


def test_unshifted_is_the_design_itself(study: Study) -> None:
    found = assumptions_of(study.problem, study.problem.baseline)
    response = Shifted(study.problem, study.problem.baseline, found)
    same = outcomes(study.problem, study.problem.baseline)
    assert_allclose(response(np.zeros((1, len(found))))[0], same, rtol=1e-12)


@pytest.mark.parametrize(
    ("name", "shift", "said"),
    [
        # half spreads: 10 % of a number, 10 % of the distance to 1 of a share, 10 K
        ("robot.standby.computing", 1.0, "41.8 W"),
        ("robot.standby.computing", -2.0, "30.4 W"),
        ("robot.standby.converter_efficiency", -1.0, "91.2 %"),
        ("robot.electronics.regeneration", 1.0, "73 %"),
        ("robot.battery.reserve", 1.0, "11 %"),
        ("surroundings.ambient", 1.0, "38 degC"),
    ],
)
def test_a_shift_is_what_the_study_would_say(
    study: Study, name: str, shift: float, said: str
) -> None:
    other, design = changed(study, {name: said})
    assert_allclose(
        shifted(study, name, shift), outcomes(other.problem, design), rtol=1e-9, atol=1e-12
    )


def test_joints_are_off_together(study: Study) -> None:
    one = assumptions(study)["robot.drives.*.transmission.stage_efficiency"]
    assert len(one.parts) == 6
    joints = ("hip_yaw", "hip_roll", "hip_pitch", "knee", "ankle_pitch", "ankle_roll")
    said = {f"robot.drives.{joint}.transmission.stage_efficiency": "96.4 %" for joint in joints}
    other, design = changed(study, said)
    found = shifted(study, one.name, 1.0)
    assert_allclose(found, outcomes(other.problem, design), rtol=1e-9, atol=1e-12)


def test_a_column_of_a_table_is_shifted_in_the_row_that_the_design_takes(study: Study) -> None:
    table = study.problem.tables["cells"]
    heavier = replace(table, numbers=table.numbers | {"mass": 1.1 * table.numbers["mass"]})
    other = replace(study.problem, tables=dict(study.problem.tables) | {"cells": heavier})
    # the gaits stay balanced for what was drawn, which `other` would do anew
    found = shifted(study, "robot.battery.cell.mass", 1.0)
    mass = study.problem.objectives.index(
        next(one for one in study.problem.objectives if one.name == "total_mass")
    )
    assert found[mass] == pytest.approx(outcomes(other, study.problem.baseline)[mass], rel=1e-12)
    assert found[mass] > outcomes(study.problem, study.problem.baseline)[mass]


def test_the_points_of_a_curve_are_off_together(study: Study) -> None:
    found = assumptions(study)
    curve = found["robot.battery.cell.voltage_*"]
    assert len(curve.parts) > 3
    assert not [name for name in found if name[-1].isdigit()]


def test_what_is_asked_drawn_counted_or_chosen_is_no_assumption(study: Study) -> None:
    found = assumptions(study)
    chosen = {one.path for one in study.problem.variables}
    parts = [part for one in found.values() for part in one.parts]
    assert not [part.path for part in parts if not part.column and part.path in chosen]
    assert not [name for name in found if name.startswith(("gaits.", "mission.", "robot.frame"))]
    assert not [part.path for part in parts if part.unit in {"m", "rad"} or part.nominal == 0.0]
    assert "surroundings.gravity" not in found
    assert "robot.battery.series" not in found
    assert "robot.drives.*.mount.along" not in found


def test_values_stay_within_what_has_a_meaning(study: Study) -> None:
    part = assumptions(study)["robot.electronics.regeneration"].parts[0]
    assert part.at(np.array([50.0, -50.0])).tolist() == [1.0, 0.0]


def test_a_row_of_samples_does_not_depend_on_the_others(study: Study) -> None:
    found = assumptions_of(study.problem, study.problem.baseline)
    response = Shifted(study.problem, study.problem.baseline, found)
    shifts = np.random.default_rng(4).uniform(-1.0, 1.0, (5, len(found)))
    together = response(shifts)
    alone = np.concatenate([response(shift[None]) for shift in shifts])
    assert_allclose(together, alone, rtol=1e-9, atol=1e-12)


def test_spreads_are_told_in_words(study: Study) -> None:
    found = assumptions(study)
    assert found["robot.standby.computing"].spread == "±10 %"
    assert found["robot.standby.converter_efficiency"].spread == "±10 % of its distance to 1"
    assert found["surroundings.ambient"].spread == "±10 K"
