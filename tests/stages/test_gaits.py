"""Gaits in a study: payloads, lengths and gait numbers as variables, margins of the ground."""

import numpy as np
import pytest

from tests.stages.studies import EXAMPLE, designs_of, every_gait, with_variables
from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.physics.walking import lattice
from tradeopt.study.compiled import CompiledStudy, Evaluation
from tradeopt.study.read import loads

KNEE, HIP_ROLL = q.JOINTS.index("knee"), q.JOINTS.index("hip_roll")
EVERY_GAIT = every_gait()
EMPTY = EXAMPLE.problem.evaluate(EXAMPLE.problem.baseline[None])


def evaluated(problem: CompiledStudy, designs: list[list[float]]) -> Evaluation:
    return problem.evaluate(designs_of(problem, np.array(designs)))


@pytest.fixture(scope="module")
def baseline() -> Evaluation:
    problem = loads(EVERY_GAIT, EXAMPLE.files).problem
    return problem.evaluate(problem.baseline[None])


def test_every_kind_of_gait_can_be_walked(baseline: Evaluation) -> None:
    for name, array in baseline.values.items():
        if name in ("reach_margin", "knee_flexion_margin", "ground_load_margin", "balance_margin"):
            assert array.min() > 0.0, name
    assert baseline.values["step_clearance_margin"].min() > 0.0
    assert baseline.values["friction_use"].max() < 0.5


def test_the_feet_carry_the_weight_over_a_stride(baseline: Evaluation) -> None:
    v = baseline.values
    made = [number for number, name in enumerate(baseline.gaits) if name != "brisk"]
    carried = 2.0 * v["foot_load"][0, made].mean(axis=-1)
    slope = np.array([np.radians(6.0) if baseline.gaits[n] == "uphill" else 0.0 for n in made])
    weight = v["total_mass"][0] * 9.81 * np.cos(slope)
    np.testing.assert_allclose(carried, weight, rtol=1e-4)


def test_friction_is_at_least_what_the_slope_asks(baseline: Evaluation) -> None:
    uphill = baseline.gaits.index("uphill")
    assert baseline.values["friction_use"][0, uphill] > np.tan(np.radians(6.0))
    assert baseline.values["friction_use"][0, baseline.gaits.index("standing")] < 1e-6


def test_pressure_at_mid_sole_has_half_the_width_to_go(baseline: Evaluation) -> None:
    # 100 mm of sole, pressed on its centre line
    flat = [baseline.gaits.index(name) for name in ("steady", "climb", "one_leg", "standing")]
    np.testing.assert_allclose(baseline.values["sole_room"][0, flat], 0.05, atol=1e-3)
    rolling = baseline.gaits.index("rolling")
    assert baseline.values["sole_room"][0, rolling] == pytest.approx(0.0, abs=2e-3)


def test_stairs_take_the_power_of_lifting_the_robot(baseline: Evaluation) -> None:
    """m g h a step, both legs; the joints do it in 0.8 s."""
    v = baseline.values
    for name, step_time, riser in (("climb", 0.8, 0.17), ("descend", 0.9, -0.17)):
        gait = baseline.gaits.index(name)
        power = 2.0 * (v["joint_torque"] * v["joint_speed"])[0, :, gait].sum(axis=0).mean()
        lifted = v["total_mass"][0] * 9.81 * riser / step_time
        assert power == pytest.approx(lifted, rel=1e-3)


def test_the_pack_gives_at_least_the_energy_of_lifting_the_robot(baseline: Evaluation) -> None:
    """m g h a riser, a lower bound; going down gives no energy from nothing."""
    v = baseline.values
    climb, descend = (baseline.gaits.index(name) for name in ("climb", "descend"))
    lifting = v["total_mass"][0] * 9.81 * 0.17  # J
    assert v["mean_power"][0, climb] * 0.8 > lifting
    assert v["mean_power"][0, descend] * 0.9 > -lifting
    assert v["mean_power"][0, climb] > v["mean_power"][0, descend]


def test_on_one_foot_one_leg_carries_and_the_bus_feeds_both(baseline: Evaluation) -> None:
    v = baseline.values
    gait = baseline.gaits.index("one_leg")
    load = v["foot_load"][0, gait]
    weight = v["total_mass"][0] * 9.81
    np.testing.assert_allclose(load[:50], weight, rtol=1e-6)
    assert not load[50:].any()
    # the same draw whichever foot it is
    np.testing.assert_allclose(np.ptp(v["bus_power"][0, gait]), 0.0, atol=1e-6)
    both = baseline.gaits.index("standing")
    assert v["mean_power"][0, gait] > v["mean_power"][0, both]


def test_a_crouch_loads_the_knees(baseline: Evaluation) -> None:
    torque = baseline.values["joint_torque"][0, KNEE]
    crouch, standing = (torque[baseline.gaits.index(name), 0] for name in ("crouch", "standing"))
    assert crouch > 3.0 * standing > 0.0


def test_a_touchdown_is_estimated_where_feet_travel(baseline: Evaluation) -> None:
    energy = dict(zip(baseline.gaits, baseline.values["touchdown_energy"][0], strict=True))
    assert energy["rolling"] > energy["steady"] > 0.0
    assert energy["standing"] == energy["one_leg"] == energy["turning"] == 0.0


LOADED = "payload: {mass: 12 kg, x: -100 mm, z: 350 mm}"
NOTHING = "payload: {mass: 0 kg, x: 0 mm, z: 250 mm}"


@pytest.fixture(scope="module")
def with_load() -> Evaluation:
    text = EXAMPLE.text.replace(NOTHING, LOADED, 1).replace("{mass: 0 kg}", "{mass: 12 kg}")
    problem = loads(text, EXAMPLE.files).problem
    return problem.evaluate(problem.baseline[None])


def test_a_payload_is_carried_by_its_gait_only(with_load: Evaluation) -> None:
    loaded, empty = with_load.values, EMPTY.values
    assert loaded["total_mass"] == empty["total_mass"]
    steady, brisk, standing = (with_load.gaits.index(n) for n in ("steady", "brisk", "standing"))
    carried = 2.0 * loaded["foot_load"][0, steady].mean()
    assert carried == pytest.approx((loaded["total_mass"][0] + 12.0) * 9.81, rel=1e-4)
    np.testing.assert_array_equal(
        loaded["joint_torque"][:, :, standing], empty["joint_torque"][:, :, standing]
    )
    share = (empty["total_mass"] + 12.0) / empty["total_mass"]
    np.testing.assert_allclose(
        loaded["joint_torque"][:, :, brisk], empty["joint_torque"][:, :, brisk] * share
    )
    assert loaded["mean_power"][0, steady] > empty["mean_power"][0, steady]


def test_a_payload_as_a_variable_is_nearly_one_that_the_gait_was_made_for(
    with_load: Evaluation,
) -> None:
    """12 kg on the back: within 8 % of the peak, the balance being exact to first order."""
    problem = with_variables(
        {
            "gaits.steady.payload.mass": "{from: 0 kg, to: 15 kg}",
            "gaits.steady.payload.x": "{from: -200 mm, to: 200 mm}",
            "gaits.steady.payload.z": "{from: 0 mm, to: 500 mm}",
        }
    )
    varied = evaluated(problem, [[12.0, -0.1, 0.35]]).values["joint_torque"][0, :, 0]
    fixed = with_load.values["joint_torque"][0, :, 0]
    peak = np.abs(fixed).max()
    assert np.abs(varied - fixed).max() < 0.08 * peak


LENGTHS = {
    "robot.frame.thigh": "{from: 340 mm, to: 460 mm}",
    "robot.frame.shank": "{from: 340 mm, to: 460 mm}",
    "robot.frame.hip_spacing": "{from: 150 mm, to: 210 mm}",
}
NUMBERS = {
    "gaits.steady.speed": "{from: 0.4 m/s, to: 0.6 m/s}",
    "gaits.steady.step_time": "{from: 0.65 s, to: 0.85 s}",
    "gaits.steady.knee_flexion": "{from: 12 deg, to: 18 deg}",
}
OTHERS = {
    "gaits.steady.double_support": "{from: 20 %, to: 30 %}",
    "gaits.steady.slope": "{from: -4 deg, to: 4 deg}",
}


def drawn(problem: CompiledStudy, variables: dict[str, str], count: int) -> Array:
    """Designs all over the space of the given variables, the others at the baseline."""
    own = problem.variables[: len(variables)]
    low, high = (np.array([getattr(one, end) for one in own]) for end in ("lower", "upper"))
    share = np.random.default_rng(8).random((count, len(low)))
    return designs_of(problem, low + (high - low) * share)


@pytest.mark.parametrize(
    ("variables", "limit"),
    [(LENGTHS, 2e-3), (NUMBERS, 5e-3), (OTHERS, 1e-9)],
    ids=["lengths", "numbers", "made for themselves"],
)
def test_mixed_strides_are_those_made_for_each_design(
    variables: dict[str, str], limit: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of the greatest torque of a gait: 0.2 % for lengths within 15 %, 0.5 % for gait numbers."""
    problem = with_variables(variables)
    designs = drawn(problem, variables, 12)
    mixed = problem.evaluate(designs).values
    monkeypatch.setattr(lattice, "MOST_DIMENSIONS", 0)
    exact = problem.evaluate(designs).values
    peak = np.abs(exact["joint_torque"]).max(axis=(1, 3), keepdims=True)
    assert (np.abs(mixed["joint_torque"] - exact["joint_torque"]) / peak).max() < limit
    assert np.abs(mixed["joint_angle"] - exact["joint_angle"]).max() < 3 * limit
    for name in (
        "reach_margin",
        "knee_flexion_margin",
        "friction_use",
        "sole_room",
        "stride_time",
    ):
        np.testing.assert_allclose(mixed[name], exact[name], atol=2 * limit)


@pytest.mark.parametrize(
    "variables", [LENGTHS, NUMBERS, OTHERS], ids=["lengths", "numbers", "others"]
)
def test_a_design_alone_is_the_design_among_many(variables: dict[str, str]) -> None:
    problem = with_variables(variables)
    designs = np.vstack((drawn(problem, variables, 6), problem.baseline))
    many = problem.evaluate(designs).values
    for row in (0, 3, 6):
        alone = problem.evaluate(designs[row : row + 1]).values
        for name in ("joint_torque", "joint_angle", "range", "sole_room"):
            scale = np.abs(many[name][row]).max()
            np.testing.assert_allclose(
                alone[name][0], many[name][row], rtol=1e-9, atol=1e-12 * scale
            )


def test_the_baseline_is_made_for_itself_whatever_varies() -> None:
    plain = EMPTY.values["joint_torque"]
    for variables in (LENGTHS, NUMBERS, OTHERS):
        problem = with_variables(variables)
        same = problem.evaluate(problem.baseline[None]).values["joint_torque"]
        np.testing.assert_allclose(same, plain, rtol=1e-12, atol=1e-10)


def test_narrower_hips_ask_less_of_the_hip_roll() -> None:
    problem = with_variables({"robot.frame.hip_spacing": "{from: 120 mm, to: 240 mm}"})
    torque = evaluated(problem, [[0.13], [0.16], [0.19], [0.22]]).values["joint_torque"]
    peak = np.abs(torque[:, HIP_ROLL, 0]).max(axis=-1)
    assert (np.diff(peak) > 0.0).all()


def test_longer_legs_with_the_same_bend_leave_more_reach_for_the_same_step() -> None:
    problem = with_variables({"robot.frame.thigh": "{from: 340 mm, to: 460 mm}"})
    v = evaluated(problem, [[0.35], [0.40], [0.45]]).values
    # the bend of the knee is ordered, so that the same share of the leg is left
    wanted = np.radians(15.0) / 0.15 - 1.0
    np.testing.assert_allclose(v["knee_flexion_margin"][:, 0], wanted, rtol=1e-3)
    # but swinging a longer thigh takes more torque
    swing = np.abs(v["joint_torque"][:, q.JOINTS.index("hip_pitch"), 0, 70:95]).max(axis=-1)
    assert (np.diff(swing) > 0.0).all()


@pytest.mark.parametrize(
    ("before", "after", "margin"),
    [
        ("speed: 0.5 m/s, step_time: 0.75 s", "speed: 1.6 m/s, step_time: 0.9 s", "reach_margin"),
        ("knee_flexion: 15 deg", "knee_flexion: 5 deg", "knee_flexion_margin"),
        ("riser: 170 mm, tread: 280 mm", "riser: 170 mm, tread: 200 mm", "step_clearance_margin"),
        ("step_time: 0.75 s", "step_time: 0.1 s", "ground_load_margin"),
        ("step_time: 0.9 s", "step_time: 0.5 s", "balance_margin"),
    ],
)
def test_what_cannot_be_walked_has_a_negative_margin(before: str, after: str, margin: str) -> None:
    text = EVERY_GAIT.replace(before, after, 1)
    assert text != EVERY_GAIT
    problem = loads(text, EXAMPLE.files).problem
    assert problem.evaluate(problem.baseline[None]).values[margin].min() < 0.0
    assert not problem.score(problem.baseline[None]).feasible[0]
