"""The promises of a slice of trials, asked of the samplers."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_array_equal

from tests.services.toy import SMALL, ToyProblem
from tradeopt.arrays import Array
from tradeopt.errors import NotFoundError
from tradeopt.search.burst import unknown_gains
from tradeopt.search.designs import Designs, no_designs, score
from tradeopt.search.epoch import run_slice
from tradeopt.search.plan import SearchPlan
from tradeopt.search.slices import Seeds, SliceTask, no_seeds
from tradeopt.study.problem import Scores

PROBLEM = ToyProblem()
NOTHING = no_designs(PROBLEM)
SAMPLERS = ("nsga2", "nsga3", "tpe", "random", "optuna.samplers:TPESampler")


def slice_of(
    plan: SearchPlan,
    epoch: int,
    island: int,
    parents: Designs = NOTHING,
    problem: ToyProblem = PROBLEM,
) -> Designs:
    """Do a slice that begins with the baseline if it is the very first one."""
    first = Seeds(problem.baseline[None], ("baseline",))
    seeds = first if (epoch, island) == (0, 0) else no_seeds(problem)
    task = SliceTask(epoch, island, parents, seeds, unknown_gains())
    return run_slice(problem, plan, task).designs


def same(left: Designs, right: Designs) -> bool:
    """Compare bit for bit; NaN equals NaN."""
    return all(
        np.array_equal(one, other, equal_nan=True)
        for one, other in zip(vars(left).values(), vars(right).values(), strict=True)
    )


def plan(sampler: str) -> SearchPlan:
    return replace(SMALL, sampler=sampler)


@pytest.mark.parametrize("sampler", SAMPLERS)
def test_same_task_same_designs_bit_for_bit(sampler: str) -> None:
    assert same(slice_of(plan(sampler), 0, 0), slice_of(plan(sampler), 0, 0))


@pytest.mark.parametrize("sampler", SAMPLERS)
@pytest.mark.parametrize("change", [{"seed": 8}, {"epoch": 1}, {"island": 1}])
def test_other_seed_epoch_or_island_other_designs(sampler: str, change: dict[str, int]) -> None:
    other_plan = replace(plan(sampler), seed=change.get("seed", SMALL.seed))
    other = slice_of(other_plan, change.get("epoch", 0), change.get("island", 0))
    here = slice_of(plan(sampler), 0, 0)
    assert not np.array_equal(other.values[1:], here.values[1:])


@pytest.mark.parametrize("sampler", SAMPLERS)
def test_every_design_is_in_bounds_scored_and_numbered(sampler: str) -> None:
    found = slice_of(plan(sampler), 2, 3)
    # (2 epochs of 4 islands + 3 islands) of 32 designs came before
    assert_array_equal(found.numbers, np.arange(352, 384))
    for place, variable in enumerate(PROBLEM.variables):
        assert np.all(found.values[:, place] >= variable.lower)
        assert np.all(found.values[:, place] <= variable.upper)
    assert_array_equal(found.values[:, 2:], np.round(found.values[:, 2:]))
    scores = PROBLEM.score(found.values)
    assert_array_equal(found.objectives, scores.objectives)
    assert_array_equal(found.violations, scores.violations)


@pytest.mark.parametrize("sampler", SAMPLERS)
def test_baseline_is_design_0_and_only_there(sampler: str) -> None:
    first = slice_of(plan(sampler), 0, 0)
    second = slice_of(plan(sampler), 0, 1)
    assert len(first) == len(second) == SMALL.evaluations
    assert first.numbers[0] == 0
    assert_array_equal(first.values[0], PROBLEM.baseline)
    assert not np.any(np.all(second.values == PROBLEM.baseline, axis=1))


def test_baseline_out_of_bounds_is_scored_but_not_bred_from() -> None:
    class Outside(ToyProblem):
        @property
        def baseline(self) -> Array:
            return np.array([500.0, 0.5, 4.0, 0.0])

    found = slice_of(SMALL, 0, 0, problem=Outside())
    assert len(found) == SMALL.evaluations
    assert found.values[0, 0] == 500.0
    assert np.all(found.values[1:, 0] <= 100.0)


@pytest.mark.parametrize("sampler", ["nsga2", "nsga3"])
def test_parents_of_earlier_epochs_are_bred_from(sampler: str) -> None:
    """All parents have one ratio, which an unmutated child can only have from them."""
    shares = np.linspace(0.0, 1.0, 16)
    parents = score(
        PROBLEM,
        np.column_stack([np.full(16, 7.0), shares, np.full(16, 3.0), np.ones(16)]),
        first_number=0,
    )
    bred = slice_of(plan(sampler), 1, 0, parents)
    alone = slice_of(plan(sampler), 1, 0)
    inherited = np.isclose(bred.values[:16, 0], 7.0, rtol=1e-12)
    assert np.mean(inherited) > 0.5
    assert not np.any(np.isclose(alone.values[:16, 0], 7.0, rtol=1e-12))


def test_generations_after_the_first_are_bred_from_the_better_ones() -> None:
    longer = replace(SMALL, evaluations=320)
    found = slice_of(longer, 0, 1)
    assert np.mean(found.feasible[-64:]) > 1.5 * np.mean(found.feasible[:16])


def test_designs_without_a_value_are_kept_and_do_not_stop_the_slice() -> None:
    found = slice_of(replace(SMALL, evaluations=200), 0, 2)
    undefined = found.values[:, 0] > 60.0
    assert np.any(undefined)
    assert_array_equal(np.isnan(found.objectives[:, 0]), undefined)
    assert not np.any(found.feasible[undefined])


@pytest.mark.parametrize("sampler", SAMPLERS)
def test_a_problem_without_any_value_is_searched_to_the_end(sampler: str) -> None:
    class Hopeless(ToyProblem):
        def score(self, designs: Array) -> Scores:
            scores = super().score(designs)
            return Scores(np.full_like(scores.objectives, np.nan), scores.violations)

    found = slice_of(plan(sampler), 0, 0, problem=Hopeless())
    assert len(found) == SMALL.evaluations
    assert not np.any(found.feasible)


def test_each_generation_is_scored_as_one_batch() -> None:
    sizes: list[int] = []

    class Watched(ToyProblem):
        def score(self, designs: Array) -> Scores:
            sizes.append(len(designs))
            return super().score(designs)

    slice_of(SMALL, 0, 0, problem=Watched())
    assert sizes == [1, 15, 16]


def test_unknown_sampler_is_told_with_the_nearest_one() -> None:
    with pytest.raises(NotFoundError, match=r"search.sampler: got 'nsga-2'.*near: 'nsga2'"):
        replace(SMALL, sampler="nsga-2")


@pytest.mark.parametrize(
    ("name", "value"),
    [("seed", -1), ("population", 3), ("islands", 0), ("evaluations", 0), ("proposals", -1)],
)
def test_plans_that_cannot_run_are_refused(name: str, value: int) -> None:
    with pytest.raises(ValueError, match=f"search.{name}: got {value}"):
        replace(SMALL, **{name: value})  # type: ignore[arg-type]  # all of them are whole numbers
