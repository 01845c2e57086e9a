"""The sheet tells which gaits were recorded and how well their strides repeat."""

import numpy as np
import pytest

from tradeopt import quantities as q
from tradeopt.report.recordings import recording_sections
from tradeopt.report.sheet import design_sheet, evaluate_design
from tradeopt.report.view import View
from tradeopt.study.compiled import Evaluation
from tradeopt.study.read import load

EXAMPLE = load("levee_rounds")


@pytest.fixture
def evaluation() -> Evaluation:
    return evaluate_design(EXAMPLE, EXAMPLE.problem.baseline)


def with_values(evaluation: Evaluation, **changed: np.ndarray) -> View:
    values = {**evaluation.values, **changed}
    return View(Evaluation(values, evaluation.quantities, evaluation.entries), 0)


def test_a_scaled_stride_is_told_in_section_and_notes(evaluation: Evaluation) -> None:
    (section,) = recording_sections(View(evaluation, 0))
    ((gait, strides, spread, _, drift, torques),) = section.rows
    assert (gait, torques) == ("brisk", "scaled by weight and leg length")
    assert [str(cell) for cell in (strides, spread, drift)] == ["1", "0 deg", "0 deg"]
    designs = EXAMPLE.problem.baseline[None]
    sheet = design_sheet(EXAMPLE, evaluation, designs)
    assert [note.startswith("The gait brisk is recorded") for note in sheet.notes].count(True) == 1
    assert "recordings" in [one.name for one in sheet.sections]


def test_the_joint_that_repeats_worst_is_named(evaluation: Evaluation) -> None:
    spread = np.zeros((1, 6, 3))
    spread[0, q.JOINTS.index("knee"), 0] = np.radians(2.0)
    drift = np.zeros((1, 6, 3))
    drift[0, 0, 0] = -np.radians(0.5)
    view = with_values(
        evaluation,
        stride_spread=spread,
        stride_drift=drift,
        recorded_strides=np.array([[12.0, 0.0, 0.0]]),
        scaled_torque=np.zeros((1, 3)),
    )
    ((gait, *cells, torques),) = recording_sections(view)[0].rows
    assert (gait, torques) == ("steady", "of this robot's own bodies")
    assert [str(cell) for cell in cells] == ["12", "2 deg", "knee", "0.5 deg"]


def test_a_study_of_laid_out_gaits_has_no_such_section(evaluation: Evaluation) -> None:
    view = with_values(evaluation, recorded_strides=np.zeros((1, 3)))
    assert recording_sections(view) == ()
