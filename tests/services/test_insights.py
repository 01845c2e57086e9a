"""What drives a design of a run, against samples and studies made by other means."""

import re

import numpy as np
import pytest

from tests.report.cells import number
from tradeopt.arrays import Array
from tradeopt.insight.assumptions import Shifted, assumptions_of
from tradeopt.report.amount import Amount
from tradeopt.report.insights import short
from tradeopt.report.review import Review
from tradeopt.report.section import Section
from tradeopt.services.evaluate import changed
from tradeopt.services.lookup import FoundRun


@pytest.fixture(scope="module")
def design(levee: FoundRun, told: Review) -> Array:
    """The recommended design."""
    return levee.design(told.chosen.number)


def row_of(section: Section, label: str) -> tuple[object, ...]:
    return next(row for row in section.rows if row[0] == label)


def test_a_row_of_the_tornado_is_the_study_that_says_so(
    levee: FoundRun, told: Review, design: Array
) -> None:
    row = row_of(told.insights.tornado, "standby computing")
    nominal = levee.study.problem.score(design[None]).objectives[0, 0]
    for said, cell in (("34.2 W", row[2]), ("41.8 W", row[3])):  # 38 W and 10 % of it
        other, _ = changed(levee.study, {"robot.standby.computing": said})
        expected = other.problem.score(design[None]).objectives[0, 0] - nominal
        assert isinstance(cell, Amount)
        assert number(cell) == pytest.approx(expected, rel=1e-6, abs=1e-6)


def test_ranges_agree_with_other_draws(levee: FoundRun, told: Review, design: Array) -> None:
    """Plain random draws over all assumptions in place of the even sequence."""
    problem = levee.study.problem
    found = assumptions_of(problem, design)
    shifts = np.random.default_rng(11).uniform(-1.0, 1.0, (512, len(found)))
    samples = Shifted(problem, design, found)(shifts)
    reach = re.findall(r"[\d.]+", " ".join(map(str, row_of(told.insights.robust, "range")[1:])))
    nominal, worse, middle, better = (float(one) * 1000.0 for one in reach)
    assert nominal == pytest.approx(problem.score(design[None]).objectives[0, 0], rel=5e-4)
    # a tenth of the width between them is more than either sample is off
    room = 0.1 * (better - worse)
    expected = np.quantile(samples[:, 0], [0.1, 0.5, 0.9])
    assert [worse, middle, better] == pytest.approx(expected, abs=room)
    kept = np.mean(samples[:, 2:] <= 0.0, axis=0)
    shares = [told.insights.chances[limit.name] for limit in problem.limits]
    assert shares == pytest.approx(kept, abs=0.1)
    assert told.insights.meets_all <= min(shares)


def test_shares_of_variance_add_up_to_about_one(told: Review) -> None:
    """Among the assumptions listed, which hardly act on each other."""
    alone = [number(cell) for cell in told.insights.variance.column("alone")]
    assert sum(alone) == pytest.approx(1.0, abs=0.15)
    assert len(alone) == 6


def test_flips_are_told_with_the_smallest_change_first(told: Review) -> None:
    rows = told.insights.flips.rows
    assert rows
    for _name, _today, _turns, change, then in rows:
        assert re.fullmatch(r"[+-][\d.]+ (%|K)", str(change))
        assert re.match(r"misses |design \d+ is worth more|the baseline is worth more", str(then))


def test_a_limit_is_kept_just_before_a_flip_and_missed_just_after(
    levee: FoundRun, told: Review, design: Array
) -> None:
    problem = levee.study.problem
    names = [one.name.replace("_", " ") for one in problem.limits]
    every = {short(one.name): one for one in assumptions_of(problem, design)}
    told_of_limits = [row for row in told.insights.flips.rows if str(row[4]).startswith("misses")]
    assert told_of_limits
    for name, _today, _turns, change, then in told_of_limits:
        one = every[str(name)]
        part = one.parts[0]
        size = float(str(change).split()[0])
        shift = size / part.step if part.unit == "K" else size / 100.0 * part.nominal / part.step
        place = 2 + names.index(str(then).removeprefix("misses "))
        before, after = Shifted(problem, design, (one,))(
            np.array([[0.98 * shift], [1.02 * shift]])
        )
        assert before[2:].max() <= 0.0
        assert after[place] > 0.0


def test_every_limit_has_a_range_and_a_chance(levee: FoundRun, told: Review) -> None:
    names = {one.name for one in levee.study.problem.limits}
    assert set(told.insights.ranges) == set(told.insights.chances) == names


def test_the_trade_along_the_front_lies_between_its_ends(levee: FoundRun, told: Review) -> None:
    objectives = levee.front().designs.objectives
    order = objectives[:, 1].argsort()
    steps = np.diff(objectives[order], axis=0)
    slopes = steps[:, 0] / steps[:, 1] / 1000.0
    shown = float(told.insights.exchange.partition(" km")[0])
    assert slopes.min() <= shown <= slopes.max()
    assert told.insights.exchange.endswith("less total mass")
