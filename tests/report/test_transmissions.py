"""What the sheet says of transmissions."""

import pytest

from tests.report.cells import number
from tests.stages.drivetrains import CONSTANT, FOUR_BAR, KNEE, ROPE, with_knee_source
from tests.stages.studies import EXAMPLE
from tradeopt import quantities as q
from tradeopt.report.section import Sheet
from tradeopt.report.sheet import design_sheet, evaluate_design
from tradeopt.study.compiled import Evaluation
from tradeopt.study.read import loads


def sheet_of(transmission: str) -> tuple[Sheet, Evaluation]:
    study = loads(with_knee_source(transmission), EXAMPLE.files)
    baseline = study.problem.baseline
    evaluation = evaluate_design(study, baseline)
    return design_sheet(study, evaluation, baseline[None]), evaluation


def names(sheet: Sheet) -> set[str]:
    return {section.name for section in sheet.sections}


def test_every_joint_says_how_stiff_and_how_free_it_is() -> None:
    sheet, evaluation = sheet_of(CONSTANT)
    section = sheet.section("transmissions")
    assert section.column("joint") == q.JOINTS
    knee = section.row("knee")
    assert number(knee["transmission_stiffness"]) == pytest.approx(12e3)
    for name in ("wind_up", "reflected_inertia", "backdriving_torque"):
        assert number(knee[name]) == evaluation.values[name][0, KNEE]
    assert names(sheet).isdisjoint({"ratios", "ropes"})


def test_a_ratio_that_changes_is_said_by_gait() -> None:
    sheet, evaluation = sheet_of(FOUR_BAR)
    row = sheet.section("ratios").row("knee")
    stance, swing = (
        evaluation.values[f"{name}_ratio"][0, KNEE, 0] for name in ("stance", "swing")
    )
    assert number(row["steady_stance"]) == stance
    assert number(row["steady_swing"]) == swing
    assert "ropes" not in names(sheet)


def test_a_rope_says_its_life_with_a_caution() -> None:
    sheet, evaluation = sheet_of(ROPE)
    section = sheet.section("ropes")
    assert section.column("joint") == ("knee",)
    wear = evaluation.values["rope_wear"][0, KNEE]
    assert number(section.row("knee")["life"]) == pytest.approx(1.0 / wear)
    assert str(section.row("knee")["life"]).endswith(" km")
    bends = evaluation.values["rope_bends"][0, KNEE]
    assert number(section.row("knee")["bends"]) == bends
    assert str(section.row("knee")["bends"]).endswith(" 1/km")
    assert number(section.row("knee")["bending_cycles"]) == pytest.approx(bends / wear)
    assert "keep out of its reach" in section.remark
