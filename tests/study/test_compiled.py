"""A study made ready to run: what a design is, and how it is scored."""

import numpy as np
import pytest

from tests.study.edits import EXAMPLE, edited, settled, study_of
from tradeopt.chain.fit import KIND
from tradeopt.quantities import JOINTS
from tradeopt.study.compiled import UNKNOWN, CompiledStudy, violation, worst
from tradeopt.study.problem import Limit, Scores, Variable
from tradeopt.study.text import read

STUDY = study_of(EXAMPLE)
PROBLEM = STUDY.problem
KNEE = JOINTS.index("knee")


def rows(count: int, seed: int = 5) -> np.ndarray:
    """Designs anywhere within the bounds."""
    rng = np.random.default_rng(seed)
    lower, upper = (
        np.array([getattr(one, name) for one in PROBLEM.variables]) for name in ("lower", "upper")
    )
    designs = rng.uniform(lower, upper, (count, len(lower)))
    whole = np.array([one.whole for one in PROBLEM.variables])
    return np.where(whole, np.rint(designs), designs)


def test_the_baseline_is_what_the_file_says() -> None:
    data = read(EXAMPLE, file="levee.yaml").data
    by_path = dict(zip((one.path for one in PROBLEM.variables), PROBLEM.baseline, strict=True))
    assert by_path["robot.battery.parallel"] == data["robot"]["battery"]["parallel"]
    family = next(one for one in PROBLEM.variables if one.path.endswith("knee.motor.family"))
    said = data["robot"]["drives"]["knee"]["motor"]["family"]
    assert family.label(by_path[family.path]) == said


def test_the_baseline_has_a_value_for_everything() -> None:
    evaluation = PROBLEM.evaluate(PROBLEM.baseline[None])
    assert set(evaluation.values) == set(evaluation.quantities)
    for name, array in evaluation.values.items():
        assert np.isfinite(array).all(), name
        assert len(array) == 1


def test_the_chain_needs_nothing_that_the_study_does_not_give() -> None:
    given = {one.name for one in PROBLEM.chain.inputs}
    known = PROBLEM.given.fixed | PROBLEM.given.varied(PROBLEM.baseline[None])
    assert given - {"reference_inertia", "reference_frame"} == set(known)
    made = {one.name for stage in PROBLEM.chain.stages for one in stage.gives}
    needed = {one.name for stage in PROBLEM.chain.stages for one in stage.needs}
    assert needed <= given | made


def test_a_batch_scores_as_each_of_its_designs_alone() -> None:
    designs = rows(8)
    many = PROBLEM.score(designs)
    for row, design in enumerate(designs):
        alone = PROBLEM.score(design[None])
        # a cell at the most power that it can give makes the square root of a rounding error
        np.testing.assert_allclose(alone.objectives[0], many.objectives[row], rtol=1e-8)
        np.testing.assert_allclose(
            alone.violations[0], many.violations[row], rtol=1e-8, atol=1e-14
        )


def chosen(variable: Variable) -> tuple[float, str]:
    """Return another value than the baseline's, and how the file says it."""
    place = [one.path for one in PROBLEM.variables].index(variable.path)
    if variable.choices:
        other = (round(PROBLEM.baseline[place]) + 1) % len(variable.choices)
        return float(other), variable.choices[other]
    value = 0.3 * variable.lower + 0.7 * variable.upper
    if variable.whole:
        value = variable.upper if round(value) == PROBLEM.baseline[place] else float(round(value))
    return value, f"{value!r} {'' if variable.unit == '1' else variable.unit}".rstrip()


@pytest.mark.parametrize("variable", PROBLEM.variables, ids=lambda one: one.path)
def test_a_variable_does_what_its_value_in_the_file_does(variable: Variable) -> None:
    value, text = chosen(variable)
    design = PROBLEM.baseline.copy()
    design[[one.path for one in PROBLEM.variables].index(variable.path)] = value
    by_variable = PROBLEM.evaluate(design[None])
    changed = study_of(edited(variable.path, text)).problem
    # gaits are made for masses and lengths of the file's own baseline, which the edit changes
    changed.__dict__["_references"] = PROBLEM._references
    by_file = changed.evaluate(changed.baseline[None])
    for stage in PROBLEM.chain.stages:
        for one in stage.gives:
            np.testing.assert_allclose(
                by_variable.values[one.name],
                by_file.values[one.name],
                rtol=1e-12,
                atol=1e-14,
                err_msg=one.name,
            )
    same = PROBLEM.evaluate(PROBLEM.baseline[None]).values
    assert any(not np.array_equal(same[name], array) for name, array in by_variable.values.items())


@pytest.mark.parametrize("variable", PROBLEM.variables, ids=lambda one: one.path)
def test_designs_at_the_ends_of_a_bound_are_scored(variable: Variable) -> None:
    designs = np.repeat(PROBLEM.baseline[None], 2, axis=0)
    designs[:, [one.path for one in PROBLEM.variables].index(variable.path)] = (
        variable.lower,
        variable.upper,
    )
    assert np.isfinite(PROBLEM.score(designs).violations).all()


def test_designs_in_the_corners_are_scored() -> None:
    ends = np.array([(one.lower, one.upper) for one in PROBLEM.variables])
    corners = np.random.default_rng(3).integers(0, 2, (64, len(ends)))
    corners[0], corners[1] = 0, 1
    scores = PROBLEM.score(ends[np.arange(len(ends)), corners])
    assert np.isfinite(scores.violations).all()
    assert scores.objectives.shape == (64, len(PROBLEM.objectives))


def test_every_kind_of_a_searched_place_is_computed_on_its_own_rows() -> None:
    paths = [one.path for one in PROBLEM.variables]
    column = paths.index("robot.drives.ankle_pitch.spring.kind")
    choices = PROBLEM.variables[column].choices
    designs = np.repeat(PROBLEM.baseline[None], len(choices), axis=0)
    designs[:, column] = np.arange(len(choices))
    mass = PROBLEM.evaluate(designs).values["spring_mass"][:, JOINTS.index("ankle_pitch")]
    by_kind = dict(zip(choices, mass, strict=True))
    assert by_kind["none"] == 0.0
    assert by_kind["two_way"] > 0.0


def test_a_leg_too_short_for_its_gait_has_a_negative_reach_margin() -> None:
    short = edited("robot.frame.thigh", "200 mm", edited("robot.frame.shank", "200 mm"))
    problem = study_of(edited("gaits.steady.speed", "1 m/s", short)).problem
    scores = problem.score(problem.baseline[None])
    names = [limit.name for limit in problem.limits]
    assert problem.evaluate(problem.baseline[None]).values["reach_margin"][0, 0] < 0.0
    assert 0.0 < scores.violations[0, names.index("reach_margin")] < UNKNOWN
    assert not scores.feasible[0]


def test_a_design_is_not_written_into() -> None:
    designs = rows(3)
    designs.setflags(write=False)
    before = designs.copy()
    PROBLEM.score(designs)
    np.testing.assert_array_equal(designs, before)


def test_the_order_of_choices_in_the_file_means_nothing() -> None:
    path = "variables.robot.drives.knee.motor.family.choices"
    turned = study_of(edited(path, "[demo-open, demo-slim, demo-flat]")).problem
    column = [one.path for one in turned.variables].index("robot.drives.knee.motor.family")
    assert turned.baseline[column] != PROBLEM.baseline[column]
    np.testing.assert_array_equal(
        turned.score(turned.baseline[None]).objectives,
        PROBLEM.score(PROBLEM.baseline[None]).objectives,
    )


def test_a_study_without_variables_scores_its_one_design_like_a_baseline() -> None:
    alone = study_of(settled()).problem
    np.testing.assert_allclose(
        alone.score(np.empty((1, 0))).objectives,
        PROBLEM.score(PROBLEM.baseline[None]).objectives,
        rtol=1e-12,
    )


def test_a_place_with_one_kind_takes_no_kind_from_the_designs() -> None:
    alone: CompiledStudy = study_of(settled()).problem
    assert not [one.name for one in alone.chain.inputs if one.name.endswith(f".{KIND}")]


# limits, by hand

VALUES = {
    "winding_temperature": np.array([[[300.0, 350.0]] * 6, [[310.0, 320.0]] * 6]),
    "endurance": np.array([3.0, 5.0]),
}


def limit(name: str, value: float, *, at_most: bool, scale: float = 1.0) -> Limit:
    return Limit(name, "1", value, at_most, scale)


def test_a_limit_is_about_the_worst_of_all_places() -> None:
    assert worst(limit("winding_temperature", 0.0, at_most=True), VALUES).tolist() == [
        350.0,
        320.0,
    ]
    assert worst(limit("winding_temperature", 0.0, at_most=False), VALUES).tolist() == [
        300.0,
        310.0,
    ]
    assert worst(limit("endurance", 0.0, at_most=True), VALUES).tolist() == [3.0, 5.0]


def test_a_limit_at_a_joint_is_about_that_joint() -> None:
    values = {"winding_temperature": VALUES["winding_temperature"].copy()}
    values["winding_temperature"][1, KNEE, 0] = 400.0
    at_knee, at_hip = (
        worst(limit(f"winding_temperature.{joint}", 0.0, at_most=True), values).tolist()
        for joint in ("knee", "hip_yaw")
    )
    assert (at_knee, at_hip) == ([350.0, 400.0], [350.0, 320.0])


@pytest.mark.parametrize(
    ("at_most", "value", "missed"),
    [
        (True, 90.0, -0.1),
        (True, 100.0, 0.0),
        (True, 150.0, 0.5),
        (False, 90.0, 0.1),
        (False, 150.0, -0.5),
        (True, np.nan, UNKNOWN),
        (False, np.nan, UNKNOWN),
        (True, np.inf, UNKNOWN),
        (True, -np.inf, -UNKNOWN),
        (False, -np.inf, UNKNOWN),
    ],
)
def test_a_violation_is_a_share_of_the_scale_and_finite(
    at_most: bool, value: float, missed: float
) -> None:
    found = violation(limit("x", 100.0, at_most=at_most, scale=100.0), np.array([value]))
    np.testing.assert_allclose(found, [missed], rtol=1e-12)


def test_what_has_no_value_is_not_feasible() -> None:
    scores = Scores(np.array([[1.0], [np.nan], [1.0]]), np.array([[0.0], [0.0], [0.1]]))
    assert scores.feasible.tolist() == [True, False, False]


@pytest.mark.parametrize(
    ("variable", "value", "label"),
    [
        (Variable("a", "", 0, 1, whole=True, choices=("x", "y")), 1.0, "y"),
        (Variable("a", "1", 0, 9, whole=True), 3.0, 3),
        (Variable("a", "m", 0, 1), 0.25, 0.25),
    ],
)
def test_a_variable_says_a_value_as_the_study_would(
    variable: Variable, value: float, label: float | str
) -> None:
    found = variable.label(value)
    assert (found, type(found)) == (label, type(label))
