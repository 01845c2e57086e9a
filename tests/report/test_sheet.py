import json

import numpy as np
import pytest

from tests.report.cells import number
from tradeopt.report.section import Sheet, plain_sheet
from tradeopt.report.sheet import design_sheet, evaluate_design
from tradeopt.study.compiled import Evaluation
from tradeopt.study.study import Study

CELLS = "robot.battery.parallel"


def test_variables_have_value_baseline_and_bounds(study: Study, said: dict[str, float]) -> None:
    variable = next(one for one in study.problem.variables if one.path == CELLS)
    design = study.problem.baseline.copy()
    design[study.problem.variables.index(variable)] = 14.0
    sheet = design_sheet(study, evaluate_design(study, design), design[None])
    row = sheet.section("variables").row(CELLS)
    assert str(row["value"]) == "14"
    assert str(row["baseline"]) == f"{said[CELLS]:g}"
    assert row["bounds"] == f"{variable.lower:g} to {variable.upper:g}"


def test_a_choice_is_said_as_a_word(sheet: Sheet, study: Study) -> None:
    path = "robot.drives.knee.motor.family"
    variable = next(one for one in study.problem.variables if one.path == path)
    row = sheet.section("variables").row(path)
    assert row["value"] == row["baseline"] == study.problem.values[path]
    assert row["bounds"] == f"{len(variable.choices)} choices"


def test_the_mission_agrees_with_the_chain(
    sheet: Sheet, evaluation: Evaluation, said: dict[str, float]
) -> None:
    mission = sheet.section("mission")
    travelled = number(mission.row("range")["value"])
    hours = number(mission.row("endurance")["value"])
    speed = number(mission.row("mean_speed")["value"])
    walked = {"out": "steady", "back": "brisk"}
    times = {
        leg: said[f"mission.{leg}.distance"] / said[f"gaits.{gait}.speed"]
        for leg, gait in walked.items()
    }
    still = said["mission.inspection.time"] + said["mission.rest.time"]
    distance = sum(said[f"mission.{leg}.distance"] for leg in walked)
    assert speed == pytest.approx(distance / (sum(times.values()) + still))
    # the last round may end on any of its legs
    assert travelled == pytest.approx(hours * speed, rel=0.06)
    power = number(mission.row("mean_power")["value"])
    weight = float(evaluation.values["total_mass"][0]) * said["surroundings.gravity"]
    cost = number(mission.row("cost_of_transport")["value"])
    assert cost == pytest.approx(power / (weight * speed))


def test_joint_peaks_and_means_agree_with_the_curves(sheet: Sheet, evaluation: Evaluation) -> None:
    torque = evaluation.values["joint_torque"][0, 3]
    knee = sheet.section("joints").row("knee")
    assert number(knee["torque_peak"]) == max(abs(torque.min()), torque.max())
    shares = evaluation.values["gait_share"][0]
    mean = sum(share * np.mean(gait * gait) for share, gait in zip(shares, torque, strict=True))
    assert number(knee["torque_rms"]) == pytest.approx(mean**0.5)


def test_temperatures_are_told_by_joint_and_gait_in_degrees(
    sheet: Sheet, evaluation: Evaluation
) -> None:
    kelvins = float(evaluation.values["winding_temperature"][0, 4, 1])
    cell = sheet.section("winding_temperatures").row("ankle_pitch")["brisk"]
    assert number(cell) == kelvins
    assert float(str(cell).removesuffix(" degC")) == pytest.approx(kelvins - 273.15, abs=0.01)


def test_recorded_gaits_model_limits_and_hazards_are_named(sheet: Sheet) -> None:
    notes = " ".join(sheet.notes)
    for word in ("brisk is recorded", "rigid", "impacts", "for ever", "Lithium", "falls"):
        assert word in notes
    assert "steady is recorded" not in notes


def test_a_design_without_a_value_is_not_feasible(study: Study, evaluation: Evaluation) -> None:
    values = dict(evaluation.values) | {"range": np.array([np.nan])}
    broken = type(evaluation)(values, evaluation.quantities, evaluation.entries)
    sheet = design_sheet(study, broken, study.problem.baseline[None])
    assert not sheet.feasible


def test_json_holds_every_section_with_units(sheet: Sheet) -> None:
    data = json.loads(json.dumps(plain_sheet(sheet), allow_nan=False))
    assert set(data["sections"]) == {section.name for section in sheet.sections}
    (mass,) = [row for row in data["sections"]["mission"] if row["quantity"] == "total_mass"]
    assert mass["value"]["unit"] == "kg"
    assert data["sections"]["limits"][0]["left"]["unit"] == "1"


def test_the_baseline_of_the_example_meets_its_limits(sheet: Sheet) -> None:
    assert sheet.feasible
    assert sheet.verdict.startswith("meets every limit")
