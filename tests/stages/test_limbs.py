"""Tubes as limbs in the chain: lighter is a choice with a price."""

from collections.abc import Callable

import numpy as np
import pytest

from tradeopt import quantities as q
from tradeopt.stages.limbs import TUBE
from tradeopt.study.compiled import Evaluation
from tradeopt.study.read import load, loads

Vary = Callable[[str, list[float]], Evaluation]
THIGH, SHANK = (q.BODIES.index(name) for name in ("thigh", "shank"))
MARGINS = ("limb_stress_margin", "limb_column_margin", "limb_wall_margin", "limb_stiffness_margin")


def baseline_of(before: str, after: str) -> dict[str, np.ndarray]:
    study = load("levee_rounds")
    assert before in study.text
    problem = loads(study.text.replace(before, after), study.files).problem
    return dict(problem.evaluate(problem.baseline[None]).values)


def test_a_thicker_wall_weighs_more_and_holds_more(vary: Vary) -> None:
    v = vary("robot.bodies.thigh.wall", [0.001, 0.002, 0.004]).values
    # two thighs; pi (D - t) t of 7075 aluminium (2810 kg/m^3) over 400 mm, and 10 % to grow
    wall = np.array([0.001, 0.002, 0.004])
    added = 2 * 1.10 * 2810.0 * 0.400 * np.diff(np.pi * (0.070 - wall) * wall)
    np.testing.assert_allclose(np.diff(v["total_mass"]), added, rtol=1e-9)
    for name in MARGINS:
        assert (np.diff(v[name][:, THIGH], axis=0) > 0.0).all(), name


@pytest.mark.parametrize("name", MARGINS)
def test_a_wider_tube_is_stiffer_but_its_wall_is_nearer_to_buckling(name: str) -> None:
    slim, wide = (
        baseline_of("outer_diameter: 70 mm, wall: 2 mm", f"outer_diameter: {d} mm, wall: {t} mm")
        for d, t in ((40, 3.78), (138, 1.0))  # the same mass within 1 %
    )
    mass = [v["structure_mass"][0, THIGH] for v in (slim, wide)]
    assert mass[0] == pytest.approx(mass[1], rel=0.01)
    ordered = slim[name][0, THIGH].min() < wide[name][0, THIGH].min()
    assert ordered == (name != "limb_wall_margin")


def test_the_load_case_is_the_gaits_own(evaluation: Evaluation) -> None:
    v = evaluation.values
    weight = v["total_mass"] * v["gravity"]
    np.testing.assert_allclose(v["limb_force"][:, [THIGH, SHANK]], weight[:, None] * [1.0, 1.0])
    # at either end the bending moment is no less than the joint torque about y there
    torque = np.abs(v["joint_torque"]).max(axis=-1)
    for body, joints in ((THIGH, ("hip_pitch", "knee")), (SHANK, ("knee", "ankle_pitch"))):
        ends = torque[:, [q.JOINTS.index(name) for name in joints]].max(axis=1)
        assert (v["limb_moment"][:, body] >= ends * (1.0 - 1e-12)).all()
        assert (v["limb_moment"][:, body] <= 2.0 * ends).all()


def test_other_bodies_are_no_limbs_and_are_not_asked(evaluation: Evaluation) -> None:
    others = [place for place in range(len(q.BODIES)) if place not in (THIGH, SHANK)]
    for name in MARGINS:
        np.testing.assert_array_equal(evaluation.values[name][:, others], 1.0)
    for name in ("limb_force", "limb_moment", "limb_deflecting_moment", "limb_twisting_moment"):
        assert not evaluation.values[name][:, others].any()


def test_twice_the_safety_leaves_what_half_the_strength_would() -> None:
    once, twice = (
        baseline_of("safety_factor: 3,", f"safety_factor: {factor},") for factor in (3, 6)
    )
    for name in MARGINS[:3]:
        used = [1.0 - v[name][0, [THIGH, SHANK]] for v in (once, twice)]
        np.testing.assert_allclose(used[1], 2.0 * used[0], rtol=1e-9)
    np.testing.assert_array_equal(once["limb_stiffness_margin"], twice["limb_stiffness_margin"])


def test_paper_limbs_break_without_breaking_the_chain() -> None:
    study = load("levee_rounds")
    text = study.text.replace(
        "outer_diameter: 70 mm, wall: 2 mm", "outer_diameter: 20 mm, wall: 1 mm"
    )
    problem = loads(text, study.files).problem
    v = problem.evaluate(problem.baseline[None]).values
    assert (v["limb_stress_margin"][0, THIGH] < 0.0).any()
    assert (v["limb_stiffness_margin"][0, THIGH] < 0.0).any()
    assert not problem.score(problem.baseline[None]).feasible[0]


def test_a_tube_is_a_rod_less_its_bore_and_two_fittings() -> None:
    """Inertia about the upper joint from a sum over 2,000 thin rings, and a point at the end."""
    size = {"outer_diameter": 0.06, "wall": 0.003, "fittings": 0.8, "maturity": 0.0}
    given = {name: np.array([value]) for name, value in size.items()}
    given |= {"body_length": np.array([0.4]), "material.density": np.array([2700.0])}
    found = TUBE.steps["size"].compute(given)
    pipe = 2700.0 * np.pi * (0.03**2 - 0.027**2) * 0.4
    ring, place = pipe / 2000, -(np.arange(2000) + 0.5) * 0.4 / 2000
    radius_squared = (0.03**2 + 0.027**2) / 2.0
    about_y = (ring * (place**2 + radius_squared / 2.0)).sum() + 0.4 * 0.4**2
    assert found["structure_mass"][0] == pytest.approx(pipe + 0.8, rel=1e-12)
    mass, _, _, moment, xx, _, yy, _, _, zz = found["structure_inertia"][0]
    assert mass == pytest.approx(pipe + 0.8, rel=1e-12)
    assert moment == pytest.approx(-0.2 * (pipe + 0.8), rel=1e-12)
    assert (xx, yy) == pytest.approx((about_y, about_y), rel=1e-6)
    assert zz == pytest.approx(pipe * radius_squared, rel=1e-12)
