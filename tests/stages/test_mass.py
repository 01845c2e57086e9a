"""The mass statement adds up, and the inertial parameters say the same."""

from collections.abc import Callable

import numpy as np

from tradeopt import quantities as q
from tradeopt.study.compiled import Evaluation

KNEE = q.JOINTS.index("knee")
THIGH = q.BODIES.index("thigh")
TORSO = q.BODIES.index("torso")


def test_total_is_basic_plus_growth(evaluation: Evaluation) -> None:
    v = evaluation.values
    copies = np.array([1, 2, 2, 2, 2, 2, 2])
    parts = ("motor_mass", "transmission_mass", "spring_mass", "cooling_mass")
    drives = np.sum([v[name] for name in parts], axis=0)
    arms_and_neck = 8 * 0.45 + 0.6  # as the example study gives them, like the growth shares
    sensors = v["component_mass"].sum(1)
    basic = (v["structure_mass"] * copies).sum(1) + 2 * drives.sum(1) + v["battery_mass"]
    basic = basic + arms_and_neck + sensors
    growth = (
        (v["structure_growth"] * copies).sum(1)
        + 0.10 * 2 * drives.sum(1)
        + 0.05 * v["battery_mass"]
    )
    growth = growth + 0.10 * arms_and_neck + 0.05 * sensors
    np.testing.assert_allclose(v["basic_mass"], basic, rtol=1e-12)
    np.testing.assert_allclose(v["total_mass"], basic + growth, rtol=1e-12)


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
    drive = v["motor_mass"] + v["transmission_mass"] + v["spring_mass"] + v["cooling_mass"]
    moved = -1.10 * drive[0, KNEE] * 0.65 * 0.400  # growth, share of the thigh, its length
    np.testing.assert_allclose(moment[1] - moment[0], moved, rtol=1e-9)


def test_a_knee_drive_further_down_costs_hip_torque_in_the_swing(
    vary: Callable[[str, list[float]], Evaluation],
) -> None:
    v = vary("robot.drives.knee.mount.along", [0.05, 0.70]).values
    hip = q.JOINTS.index("hip_pitch")
    steady = (v["joint_torque"][:, hip, 0] ** 2).mean(axis=-1)
    assert steady[1] > steady[0]
