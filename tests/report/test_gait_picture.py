"""Pictures of gaits: one a gait, of the legs that the angles make."""

from pathlib import Path

import numpy as np

from tests.oracles.robot import FRAME
from tradeopt.report.gait_picture import draw_gaits, figure_of, side_view
from tradeopt.report.view import View
from tradeopt.study.read import load

PNG = b"\x89PNG\r\n\x1a\n"
PROBLEM = load("levee_rounds").problem


def test_there_is_a_picture_of_every_gait(tmp_path: Path) -> None:
    paths = draw_gaits(PROBLEM, tmp_path / "made" / "for it")
    assert [path.name for path in paths] == ["1_steady.png", "2_brisk.png", "3_standing.png"]
    for path in paths:
        assert path.read_bytes().startswith(PNG)


def test_the_curves_are_those_of_the_design() -> None:
    view = View(PROBLEM.evaluate(PROBLEM.baseline[None]), 0)
    legs, angles, torques, feet = figure_of(view, 0).axes
    assert legs.lines
    knee = next(line for line in angles.lines if line.get_label() == "knee")
    bent = np.asarray(knee.get_ydata())
    # the example orders 15 degrees at least, and the stride closes
    np.testing.assert_allclose(bent.max(), -15.0, atol=0.1)
    assert bent[0] == bent[-1]
    assert len(torques.lines) == len(angles.lines)
    load = np.asarray(feet.lines[-1].get_ydata())
    np.testing.assert_allclose(
        2 * load[:-1].mean(), view.evaluation.values["total_mass"] * 9.81, rtol=1e-3
    )


def test_a_foot_load_that_was_not_recorded_is_not_drawn() -> None:
    view = View(PROBLEM.evaluate(PROBLEM.baseline[None]), 0)
    feet = figure_of(view, 1).axes[-1]
    assert not feet.lines
    assert feet.texts[0].get_text() == "not recorded"


def test_a_leg_that_hangs_straight_is_drawn_straight() -> None:
    hip, knee, ankle, _, toe, heel, _ = side_view(FRAME, np.zeros((6, 1)))[:, :, 0].T
    np.testing.assert_allclose(hip, [0.0, 0.0])
    np.testing.assert_allclose(knee, [0.0, -0.40], atol=1e-12)
    np.testing.assert_allclose(ankle, [0.0, -0.78], atol=1e-12)
    np.testing.assert_allclose(toe, [0.17, -0.87], atol=1e-12)
    np.testing.assert_allclose(heel, [-0.07, -0.87], atol=1e-12)


def test_a_bent_knee_goes_forward_and_the_sole_turns_with_the_shank() -> None:
    angle = np.zeros((6, 1))
    angle[2], angle[3] = -0.4, -0.8
    _, knee, ankle, _, toe, heel, _ = side_view(FRAME, angle)[:, :, 0].T
    assert knee[0] > 0.1
    assert abs(ankle[0]) < 0.02
    # the knee is ahead of the ankle, so the sole points down in front
    assert toe[1] < heel[1]
