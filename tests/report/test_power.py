"""The power balance closes, and its parts are those of the chain."""

import numpy as np
import pytest

from tests.report.cells import number
from tradeopt.report.power import PARTS, power_balance, power_sections
from tradeopt.report.section import Section
from tradeopt.report.sheet import evaluate_design
from tradeopt.report.view import View
from tradeopt.services.evaluate import changed
from tradeopt.study.compiled import Evaluation
from tradeopt.study.study import Study


def watts(section: Section, head: str) -> dict[str, float]:
    return {str(row[0]): number(row[section.heads.index(head)]) for row in section.rows}


def test_every_part_is_worked_out_by_itself_and_the_sum_closes(study: Study) -> None:
    """Rotors keep nothing, so that the pack's power is explained to 1e-6 with any spring."""
    path = "robot.drives.ankle_pitch.spring.kind"
    for kind in ("none", "two_way", "one_sided"):
        made, design = changed(study, {path: kind, "robot.drives.knee.cooling.kind": "fan"})
        found = evaluate_design(made, design)
        balance = power_balance(View(found, 0))
        drives = np.sum([part.sum(axis=0) for part in balance.drives.values()], axis=0)
        others = np.sum(list(balance.others.values()), axis=0)
        np.testing.assert_allclose(drives + others, balance.pack, rtol=1e-6)
        v = {name: array[0] for name, array in found.values.items()}
        springs = -2.0 * (v["spring_torque"] * v["joint_speed"]).mean(axis=-1)
        np.testing.assert_allclose(balance.drives["springs"][:, :-1], springs, atol=1e-12)


def test_a_loss_that_is_forgotten_opens_the_balance(evaluation: Evaluation) -> None:
    pack = evaluation.values["mean_power"]
    for name in ("transmission_loss", "copper_loss", "iron_loss", "drive_loss"):
        values = {**evaluation.values, name: 0.5 * evaluation.values[name]}
        wrong = Evaluation(values, evaluation.quantities, evaluation.entries)
        balance = power_balance(View(wrong, 0))
        drives = np.sum([part.sum(axis=0) for part in balance.drives.values()], axis=0)
        explained = drives + np.sum(list(balance.others.values()), axis=0)
        assert explained[0] < pack[0, 0] - 0.5, name


@pytest.mark.parametrize("gait", ["steady", "brisk", "standing", "mission"])
def test_mechanics_and_losses_add_up_to_what_the_pack_gives(view: View, gait: str) -> None:
    by_gait, _ = power_sections(view)
    powers = watts(by_gait, gait)
    pack = powers.pop("pack")
    assert sum(powers.values()) == pytest.approx(pack, rel=1e-9)


def test_springs_keep_nothing_over_a_stride(view: View) -> None:
    assert np.abs(power_balance(view).drives["springs"]).max() < 1e-9


def test_regeneration_loses_its_share_of_what_comes_back(
    view: View, evaluation: Evaluation, said: dict[str, float]
) -> None:
    # what reaches the pack is the study's share of what the bus returns
    kept = said["robot.electronics.regeneration"]
    returned = np.minimum(evaluation.values["bus_power"][0], 0.0).mean(axis=-1) / kept
    lost = power_balance(view).others["regeneration"]
    assert lost[:-1] == pytest.approx(-(1.0 - kept) * returned, abs=1e-9)


def test_the_mission_is_the_mean_over_the_time_of_its_gaits(
    view: View, evaluation: Evaluation
) -> None:
    power = evaluation.values["mean_power"][0]
    share = evaluation.values["gait_share"][0]
    sitting = float(evaluation.values["sitting_power"][0])
    mean = (share * power).sum() + (1.0 - share.sum()) * sitting
    assert power_balance(view).pack[-1] == pytest.approx(mean)


def test_standby_and_fans_are_those_of_the_study(study: Study, said: dict[str, float]) -> None:
    given = {"robot.drives.knee.cooling.kind": "fan", "robot.drives.knee.cooling.power": "2.5 W"}
    made, design = changed(study, given)
    by_gait, _ = power_sections(View(evaluate_design(made, design), 0))
    powers = watts(by_gait, "standing")
    fed = said["robot.standby.computing"] + said["robot.standby.sensing"] + 4 * 0.3  # foot sensors
    held = sum(
        said[f"robot.other_joints.{group}.count"] * said[f"robot.other_joints.{group}.power"]
        for group in ("arms", "neck")
    )
    from_pack = fed / said["robot.standby.converter_efficiency"]
    wanted = from_pack + said["robot.standby.drives_idle"] + held
    assert powers["standby"] == pytest.approx(wanted)
    assert powers["fans"] == pytest.approx(2 * 2.5)  # a fan on each knee


def test_joint_rows_add_up_to_the_electric_power_of_both_legs(
    view: View, evaluation: Evaluation
) -> None:
    _, by_joint = power_sections(view)
    electric = evaluation.values["drive_power"][0]
    rows = [dict(zip(by_joint.heads, row, strict=True)) for row in by_joint.rows]
    for row in rows:
        assert sum(number(row[part]) for part in PARTS) == pytest.approx(number(row["drives"]))
    steady = [number(row["drives"]) for row in rows if row["gait"] == "steady"]
    assert steady == pytest.approx(2.0 * electric[:, 0])


def test_copper_loss_of_a_joint_counts_both_legs(view: View, evaluation: Evaluation) -> None:
    _, by_joint = power_sections(view)
    knee = next(row for row in by_joint.rows if row[:2] == ("brisk", "knee"))
    loss = float(evaluation.values["copper_loss"][0, 3, 1])
    assert number(knee[by_joint.heads.index("copper")]) == pytest.approx(2.0 * loss)
