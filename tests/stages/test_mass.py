"""The mass statement adds up, and the inertial parameters say the same."""

from collections.abc import Callable

import numpy as np
import pytest

from tradeopt import quantities as q
from tradeopt.physics.inertia import box_parameters
from tradeopt.stages.mass import ROLL_UP
from tradeopt.study.compiled import Evaluation
from tradeopt.study.read import load, loads

KNEE = q.JOINTS.index("knee")
THIGH = q.BODIES.index("thigh")
TORSO = q.BODIES.index("torso")
DRIVE_PARTS = ("motor", "transmission", "spring", "cooling")
LENGTHS = {
    "joint": len(q.JOINTS),
    "body": len(q.BODIES),
    "inertial": q.INERTIAL_PARAMETERS,
    "axis": 3,
    "joint_group": 1,
    "component": 1,
}


def test_total_is_basic_plus_growth_item_by_item(evaluation: Evaluation) -> None:
    v = evaluation.values
    copies = np.array([1, 2, 2, 2, 2, 2, 2])
    for what, whole in (("mass", "basic_mass"), ("growth", None)):
        drives = np.sum([v[f"{part}_{what}"].sum(1) for part in DRIVE_PARTS], axis=0)
        summed = (v[f"structure_{what}"] * copies).sum(1) + 2 * drives + v[f"battery_{what}"]
        summed += v[f"group_{what}"].sum(1) + v[f"component_{what}"].sum(1)
        wanted = v[whole] if whole else v["total_mass"] - v["basic_mass"]
        np.testing.assert_allclose(summed, wanted, rtol=1e-12)


def test_growth_follows_from_the_word(evaluation: Evaluation) -> None:
    v = evaluation.values  # words and shares as the example study gives them
    hips = [q.BODIES.index(name) for name in ("hip_yaw", "hip_roll", "ankle")]
    np.testing.assert_allclose(
        v["structure_growth"][:, hips], 0.20 * v["structure_mass"][:, hips], rtol=1e-12
    )
    np.testing.assert_allclose(
        v["structure_growth"][:, TORSO], 0.10 * v["structure_mass"][:, TORSO], rtol=1e-12
    )
    np.testing.assert_allclose(v["motor_growth"], 0.10 * v["motor_mass"], rtol=1e-12)
    np.testing.assert_allclose(v["spring_growth"], 0.20 * v["spring_mass"], rtol=1e-12)
    # rings are changed a little, but for the knee's, which is bought with its fan
    cooling = np.where(np.array(q.JOINTS) == "knee", 0.05, 0.10)
    np.testing.assert_allclose(v["cooling_growth"], cooling * v["cooling_mass"], rtol=1e-12)
    np.testing.assert_allclose(v["battery_growth"], 0.05 * v["battery_mass"], rtol=1e-12)
    np.testing.assert_allclose(v["group_mass"], [[8 * 0.45, 0.6]] * len(v["group_mass"]))
    np.testing.assert_allclose(v["group_growth"], 0.10 * v["group_mass"], rtol=1e-12)
    np.testing.assert_allclose(v["component_growth"], 0.05 * v["component_mass"], rtol=1e-12)


def test_a_less_mature_part_weighs_more_in_the_prediction_only() -> None:
    study = load("levee_rounds")
    before = "z: 180 mm}, maturity: off_the_shelf}"
    assert before in study.text
    found = []
    for word in q.MATURITIES:
        text = study.text.replace(before, f"z: 180 mm}}, maturity: {word}}}")
        problem = loads(text, study.files).problem
        found.append(problem.evaluate(problem.baseline[None]).values)
    assert found[0]["basic_mass"] == found[1]["basic_mass"] == found[2]["basic_mass"]
    total = np.array([v["total_mass"][0] for v in found])
    battery = found[0]["battery_mass"][0]
    np.testing.assert_allclose(np.diff(total), [0.05 * battery, 0.10 * battery], rtol=1e-9)
    assert (np.diff([v["mean_power"][0, 0] for v in found]) > 0).all(), "what is predicted walks"


def test_a_person_rolls_up_to_the_whole_person() -> None:
    """Segments of a 70 kg man sum to 100 %: de Leva, J. Biomechanics 29:1223-1230 (1996).

    Shares as seen in several public programs. Head, trunk and both arms are the torso here; hips
    and ankles weigh nothing, as the table knows no such segments.
    """
    share = {
        "torso": 6.94 + 43.46 + 2 * (2.71 + 1.62 + 0.61),
        "thigh": 14.16,
        "shank": 4.33,
        "foot": 1.37,
    }
    structure = 70.0 * np.array([[share.get(name, 0.0) for name in q.BODIES]]) / 100.0
    given = {
        need.name: np.zeros((1, *(LENGTHS[axis] for axis in need.axes[1:])))
        for need in ROLL_UP.steps["size"].needs
    }
    given |= {f"growth.{word}": np.zeros(1) for word in q.MATURITIES}
    given["structure_mass"] = structure
    given["structure_inertia"] = box_parameters(structure, np.zeros(3), np.full(3, 0.1))
    found = ROLL_UP.steps["size"].compute(given)
    assert found["total_mass"][0] == pytest.approx(70.0, abs=1e-9)
    assert found["inertia"][0, THIGH, 0] == pytest.approx(9.912, abs=5e-4)
    legs = 2.0 * found["inertia"][0, 1:, 0].sum()
    assert found["inertia"][0, TORSO, 0] + legs == pytest.approx(70.0, abs=1e-9)


def test_inertial_parameters_hold_the_total_mass(evaluation: Evaluation) -> None:
    mass = evaluation.values["inertia"][:, :, 0]
    both_legs = mass[:, TORSO] + 2.0 * mass[:, 1:].sum(axis=1)
    np.testing.assert_allclose(both_legs, evaluation.values["total_mass"], rtol=1e-12)


def test_the_torso_is_the_same_left_and_right(evaluation: Evaluation) -> None:
    assert not evaluation.values["inertia"][:, TORSO, [2, 5, 8]].any()


def test_bodies_are_physically_possible(evaluation: Evaluation) -> None:
    # tr(I)/2 E - I is positive definite for a real mass distribution: P. M. Wensing, S. Kim,
    # J.-J. E. Slotine, IEEE RA-L 3(1):60-67, 2018 (from memory)
    mass, first, second = np.split(evaluation.values["inertia"], [1, 4], axis=-1)
    tensor = second[..., [0, 1, 3, 1, 2, 4, 3, 4, 5]].reshape(*second.shape[:-1], 3, 3)
    centre = first / mass
    square = np.einsum("...i,...i", centre, centre)[..., None, None] * np.eye(3)
    about_centre = tensor - mass[..., None] * (square - centre[..., None] * centre[..., None, :])
    trace = np.trace(about_centre, axis1=-2, axis2=-1)[..., None, None]
    assert np.linalg.eigvalsh(trace / 2 * np.eye(3) - about_centre).min() > 0.0


def test_a_knee_drive_further_down_moves_mass_but_adds_none(
    vary: Callable[[str, list[float]], Evaluation],
) -> None:
    v = vary("robot.drives.knee.mount.along", [0.05, 0.70]).values
    assert v["total_mass"][0] == v["total_mass"][1]
    moment = v["inertia"][:, THIGH, 3]
    parts = [v[f"{part}_{what}"] for part in DRIVE_PARTS for what in ("mass", "growth")]
    drive = np.sum(parts, axis=0)
    moved = -drive[0, KNEE] * 0.65 * 0.400  # share of the thigh, its length
    np.testing.assert_allclose(moment[1] - moment[0], moved, rtol=1e-9)


def test_a_knee_drive_further_down_costs_hip_torque_in_the_swing(
    vary: Callable[[str, list[float]], Evaluation],
) -> None:
    v = vary("robot.drives.knee.mount.along", [0.05, 0.70]).values
    hip = q.JOINTS.index("hip_pitch")
    steady = (v["joint_torque"][:, hip, 0] ** 2).mean(axis=-1)
    assert steady[1] > steady[0]
