"""The promises of a burst."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_array_equal

from tests.services.toy import BURSTS, ToyProblem
from tradeopt.arrays import Array
from tradeopt.search.burst import CLOUD, EXPORTED, MISSES, OPERATORS
from tradeopt.search.cube import Cube
from tradeopt.search.designs import Designs, score
from tradeopt.search.epoch import (
    Epoch,
    Promotion,
    beginning,
    has_settled,
    merge,
    run_slice,
    task_of,
)
from tradeopt.search.plan import SearchPlan
from tradeopt.search.proposals import TOLD, propose
from tradeopt.search.slices import Found, Seeds
from tradeopt.search.stationary import certify
from tradeopt.study.problem import Limit, Objective, Problem, Scores, Variable

PROBLEM = ToyProblem()
BASELINE = Seeds(PROBLEM.baseline[None], ("baseline",))


def same(left: Found, right: Found) -> bool:
    """Compare bit for bit; NaN equals NaN."""
    pairs = zip(vars(left.designs).values(), vars(right.designs).values(), strict=True)
    alike = all(np.array_equal(one, other, equal_nan=True) for one, other in pairs)
    return alike and np.array_equal(left.gains, right.gains, equal_nan=True)


def one_epoch(
    problem: Problem, plan: SearchPlan, before: Epoch
) -> tuple[Epoch, Promotion, list[Found]]:
    found = [
        run_slice(problem, plan, task_of(plan, before, island)) for island in range(plan.islands)
    ]
    return *merge(problem, plan, before, found), found


def search(problem: Problem, plan: SearchPlan, epochs: int) -> Epoch:
    now = beginning(problem, Seeds(problem.baseline[None], ("baseline",)))
    for _ in range(epochs):
        now, _, _ = one_epoch(problem, plan, now)
    return now


@pytest.fixture(scope="module")
def first() -> tuple[Epoch, Promotion, list[Found]]:
    return one_epoch(PROBLEM, BURSTS, beginning(PROBLEM, BASELINE))


def test_same_task_same_designs_bit_for_bit(
    first: tuple[Epoch, Promotion, list[Found]],
) -> None:
    task = task_of(BURSTS, first[0], 2)
    assert same(run_slice(PROBLEM, BURSTS, task), run_slice(PROBLEM, BURSTS, task))


def test_other_seeds_epochs_and_islands_find_others(
    first: tuple[Epoch, Promotion, list[Found]],
) -> None:
    task = task_of(BURSTS, first[0], 2)
    here = run_slice(PROBLEM, BURSTS, task)
    for plan, other in (
        (replace(BURSTS, seed=8), task),
        (BURSTS, replace(task, epoch=task.epoch + 1)),
        (BURSTS, replace(task, island=1)),
    ):
        assert not same(here, run_slice(PROBLEM, plan, other))


def test_a_slice_tries_exactly_its_designs_and_keeps_few(
    first: tuple[Epoch, Promotion, list[Found]],
) -> None:
    tried: list[int] = []

    class Watched(ToyProblem):
        def score(self, designs: Array) -> Scores:
            tried.append(len(designs))
            return super().score(designs)

    found = run_slice(Watched(), BURSTS, task_of(BURSTS, first[0], 1))
    assert sum(tried) == found.tried == BURSTS.slice_size(1)
    assert len(found.designs) <= found.seeds + EXPORTED + CLOUD + MISSES
    numbers = found.designs.numbers
    begin = BURSTS.first_number(1, 1)
    assert np.all((numbers >= begin) & (numbers < begin + BURSTS.slice_size(1)))
    assert np.all(np.diff(numbers) > 0)


def test_kept_designs_lie_in_bounds_and_score_as_they_say(
    first: tuple[Epoch, Promotion, list[Found]],
) -> None:
    for found in first[2]:
        kept = found.designs
        for place, variable in enumerate(PROBLEM.variables):
            assert np.all(kept.values[:, place] >= variable.lower)
            assert np.all(kept.values[:, place] <= variable.upper)
        assert_array_equal(kept.values[:, 2:], np.round(kept.values[:, 2:]))
        scores = PROBLEM.score(kept.values)
        np.testing.assert_allclose(kept.objectives, scores.objectives, rtol=1e-12)
        np.testing.assert_allclose(kept.violations, scores.violations, rtol=1e-12, atol=1e-15)


def test_seeds_are_tried_first_and_kept() -> None:
    picked = np.array([[20.0, 0.3, 9.0, 1.0], [50.0, 0.9, 1.0, 0.0], [3.0, 0.1, 2.0, 0.0]])
    seeds = Seeds(np.vstack([BASELINE.values, picked]), ("baseline", *["picked"] * 3))
    _, promotion, slices = one_epoch(
        PROBLEM, replace(BURSTS, islands=2), beginning(PROBLEM, seeds)
    )
    assert_array_equal(slices[0].designs.values[:2], seeds.values[[0, 2]])
    assert_array_equal(slices[1].designs.values[:2], seeds.values[[1, 3]])
    # all of them become trials, whether they are any good or not
    assert promotion.origins[:4] == ("baseline", "picked", "picked", "picked")
    assert set(promotion.origins[4:]) == {"front"}


def test_a_baseline_out_of_bounds_is_scored_but_not_bred_from() -> None:
    outside = Seeds(np.array([[500.0, 0.5, 4.0, 0.0]]), ("baseline",))
    found = run_slice(PROBLEM, BURSTS, task_of(BURSTS, beginning(PROBLEM, outside), 0))
    assert found.designs.values[0, 0] == 500.0
    assert np.all(found.designs.values[1:, 0] <= 100.0)


def test_the_next_epoch_begins_with_what_the_sampler_proposes(
    first: tuple[Epoch, Promotion, list[Found]],
) -> None:
    now, _, _ = first
    for _ in range(6):
        now, _, _ = one_epoch(PROBLEM, BURSTS, now)
    # every eighth epoch begins so
    assert len(now.seeds) == 0
    now, _, _ = one_epoch(PROBLEM, BURSTS, now)
    assert now.seeds.origins == ("sampler",) * BURSTS.proposals
    _, promotion, slices = one_epoch(PROBLEM, BURSTS, now)
    for island, found in enumerate(slices):
        assert_array_equal(found.designs.values[:1], now.seeds.values[island : island + 1])
    assert promotion.origins[: BURSTS.proposals] == ("sampler",) * BURSTS.proposals


def test_the_sampler_is_told_the_last_designs_alone() -> None:
    values = np.column_stack([np.linspace(0.0, 1.0, 150)] * len(PROBLEM.variables))
    many = score(PROBLEM, Cube(PROBLEM.variables).to_values(values), 0)
    many = many.take(np.all(np.isfinite(many.objectives), axis=1))
    assert len(many) > TOLD
    last = propose(PROBLEM, BURSTS, 4, many.take(np.arange(len(many))[-TOLD:]))
    assert_array_equal(propose(PROBLEM, BURSTS, 4, many).values, last.values)
    first = propose(PROBLEM, BURSTS, 4, many.take(np.arange(TOLD)))
    assert not np.array_equal(first.values, last.values)


@pytest.mark.parametrize(
    "sampler", ["nsga3", "tpe", "random", "qmc", "optuna.samplers:TPESampler"]
)
def test_any_sampler_can_propose(sampler: str) -> None:
    plan = replace(BURSTS, sampler=sampler)
    seen, _, _ = one_epoch(PROBLEM, plan, beginning(PROBLEM, BASELINE))
    seeds = propose(PROBLEM, plan, 4, seen.promoted)
    assert len(seeds) == BURSTS.proposals
    assert_array_equal(seeds.values, propose(PROBLEM, plan, 4, seen.promoted).values)
    scores = PROBLEM.score(seeds.values)
    assert scores.objectives.shape == (BURSTS.proposals, 2)


def test_every_operator_is_used_and_its_gain_known() -> None:
    now = search(PROBLEM, replace(BURSTS, evaluations=16_384), 2)
    assert now.gains.shape == (len(OPERATORS),)
    assert np.all(np.isfinite(now.gains))


def test_designs_without_a_value_do_not_stop_a_burst() -> None:
    class Hopeless(ToyProblem):
        def score(self, designs: Array) -> Scores:
            scores = super().score(designs)
            return Scores(np.full_like(scores.objectives, np.nan), scores.violations)

    now = search(Hopeless(), BURSTS, 2)
    assert (now.tried, now.feasible, len(now.front)) == (BURSTS.first_number(2, 0), 0, 0)
    assert not has_settled(BURSTS, now)


class Narrow:
    """Feasible only where two bent limits cross: 1 design of some 10,000.

    x on the circle of radius 1 within 1e-3, y = x0 x1 within 0.02.
    """

    variables = tuple(Variable(f"x{place}", "1", 0.0, 2.0) for place in range(4))
    objectives = (Objective("a", "1", highest=False), Objective("b", "1", highest=False))
    limits = tuple(Limit(name, "1", 0.0, at_most=True, scale=1.0) for name in "pqr")
    baseline = np.full(4, 1.9)

    def score(self, designs: Array) -> Scores:
        a, b, c, d = designs.T
        ring = np.abs(a**2 + b**2 - 1.0) - 1e-3
        tie = np.abs(c - a * b) - 0.02
        return Scores(np.column_stack([a + d, b + d]), np.column_stack([ring, tie, 0.5 - d]))


def test_a_narrow_feasible_set_is_found() -> None:
    drawn = np.random.default_rng(1).uniform(0.0, 2.0, (10_000, 4))
    assert Narrow().score(drawn).feasible.mean() < 1e-4
    now = search(Narrow(), replace(BURSTS, evaluations=32_768), 12)
    assert len(now.front) > 20
    # on the ring, with d = 0.5, costs run from 0.5 to 1.5
    assert now.front.objectives.min() < 0.8


class Sphere:
    """As many objectives as asked: the squares of the distances to the corners of a simplex.

    The best trade-offs fill that simplex: all designs whose coordinates add up to 1 at most lie in
    its hull, and no step leads nearer to all corners at once.
    """

    limits: tuple[Limit, ...] = ()

    def __init__(self, wanted: int) -> None:
        names = [f"f{place}" for place in range(wanted)]
        self.variables = tuple(Variable(name, "1", -1.0, 2.0) for name in names)
        self.objectives = tuple(Objective(name, "1", highest=False) for name in names)
        self.baseline = np.full(wanted, 2.0)

    def score(self, designs: Array) -> Scores:
        corners = np.eye(len(self.variables))
        away = np.sum((designs[:, None] - corners) ** 2, axis=2)
        return Scores(away, np.empty((len(designs), 0)))


@pytest.mark.parametrize("wanted", [2, 3, 4, 5])
def test_two_to_five_objectives_without_limits(wanted: int) -> None:
    now = search(Sphere(wanted), BURSTS, 8)
    designs: Designs = now.front
    assert len(designs) > 50
    # how far outside of the simplex: its plane, and its sides
    off_plane = np.abs(designs.values.sum(axis=1) - 1.0)
    # drawn at random, designs lie some 0.9 and more off the plane
    assert np.median(off_plane) < 0.25
    assert np.median(designs.values.min(axis=1)) > -0.1


def test_a_variable_with_many_sizes_is_searched() -> None:
    """The best of forty parts for each trade is found though their order in the list is mixed."""
    sizes = tuple(float((17 * place) % 40) for place in range(40))

    class Parts(Sphere):
        def __init__(self) -> None:
            super().__init__(2)
            part = Variable("part", "", 0.0, 39.0, choices=tuple(map(str, range(40))), sizes=sizes)
            self.variables = (*self.variables[:1], part)
            self.baseline = np.array([2.0, 0.0])

        def score(self, designs: Array) -> Scores:
            size = np.array(sizes)[designs[:, 1].astype(int)] / 39.0
            return super().score(np.column_stack([designs[:, 0], size]))

    now = search(Parts(), BURSTS, 8)
    found = {sizes[int(part)] for part in now.front.values[:, 1]}
    assert len(found) >= 30


def test_a_run_whose_front_stands_still_has_settled() -> None:
    now = beginning(PROBLEM, BASELINE)
    while not has_settled(BURSTS, now):
        now, _, _ = one_epoch(PROBLEM, BURSTS, now)
        assert now.number < 80
    assert now.number >= 10
    # by then no small change is better for nearly all of the front
    assert certify(PROBLEM, now.front, (0, 1), 100).stationary.mean() > 0.9

    def settled(number: int, milestone: int) -> bool:
        return has_settled(BURSTS, replace(now, number=number, milestone_number=milestone))

    # by hand: epochs try 256 designs, 512 from epoch 4, 1024 from 8, 2048 from 12, 4096 from 16,
    # 8192 from 20, 16,384 from 24, 32,768 from 28, so 392,192 until epoch 35, and twice as many in
    # epoch 47
    assert [settled(46, 35), settled(47, 35)] == [False, True]
    # 5120 until epoch 9 double in epoch 13, but ten epochs must be over
    assert [settled(18, 9), settled(19, 9)] == [False, True]


def test_every_design_has_one_number_and_every_number_its_place() -> None:
    """Slices double until they are full; none overlaps the next."""
    plan = SearchPlan(seed=1, islands=3, evaluations=10)
    number = 0
    for epoch in range(40):
        for island in range(plan.islands):
            assert plan.first_number(epoch, island) == number
            for _ in range(plan.slice_size(epoch)):
                assert plan.place(number) == (epoch, island)
                number += 1
    # 10/128, 10/64, ... 10/2 and 10 rounded up, the first seven for four epochs each
    sizes = [plan.slice_size(epoch) for epoch in range(0, 32, 4)]
    assert sizes == [1, 1, 1, 1, 2, 3, 5, 10]
    assert plan.slice_size(27) == 5
