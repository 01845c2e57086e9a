"""What the sheet says of springs."""

import numpy as np

from tests.report.cells import number
from tests.stages.drivetrains import CONSTANT, with_knee_source
from tests.stages.studies import EXAMPLE
from tradeopt import quantities as q
from tradeopt.report.section import Sheet
from tradeopt.report.sheet import design_sheet, evaluate_design
from tradeopt.report.springs import spring_sections
from tradeopt.report.view import View
from tradeopt.study.compiled import Evaluation
from tradeopt.study.read import loads


def test_every_spring_is_said_with_a_caution(sheet: Sheet, evaluation: Evaluation) -> None:
    section = sheet.section("springs")
    assert section.column("joint") == ("hip_pitch", "ankle_pitch")
    row = section.row("ankle_pitch")
    place = q.JOINTS.index("ankle_pitch")
    assert number(row["spring_stiffness"]) == 60.0
    assert number(row["spring_rest_angle"]) == np.radians(10.0)
    peak = np.abs(evaluation.values["spring_torque"][0, place]).max()
    assert number(row["torque_peak"]) == peak
    assert "unload it before work" in section.remark


def test_a_design_without_springs_says_nothing_of_them() -> None:
    study = loads(with_knee_source(CONSTANT), EXAMPLE.files)
    design = study.problem.baseline.copy()
    for number_, one in enumerate(study.problem.variables):
        if one.path.endswith("spring.kind"):
            design[number_] = one.choices.index("none")
    evaluation = evaluate_design(study, design)
    assert spring_sections(View(evaluation, 0)) == ()
    names = {section.name for section in design_sheet(study, evaluation, design[None]).sections}
    assert "springs" not in names
