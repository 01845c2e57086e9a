from dataclasses import dataclass, field

import pytest

from tradeopt.report.progress import (
    certified_words,
    plain_run,
    progress_words,
    residual_words,
    share_done,
    summary_words,
)


@dataclass(frozen=True)
class Standing:
    run_id: str = "levee-1"
    state: str = "running"
    note: str = ""
    epochs: int = 2
    tried: int = 4096
    feasible: int = 1024
    front_size: int = 84
    hypervolume: float = 5.0
    growth: float | None = 1.42
    seconds_spent: float = 30.0
    seconds_left: float | None = 90.0
    designs_left: int | None = None
    certified: int = 50
    stationary: int = 40
    start_note: str = ""
    missed: dict[str, int] = field(
        default_factory=lambda: {"voltage_margin": 2048, "endurance": 0}
    )
    waiting: str = ""


def test_progress_says_tried_share_front_growth_rejection_and_time_left() -> None:
    assert progress_words(Standing()) == (
        "4,096 designs tried - 25 % meet every limit - front 84, 1.42 times the first - "
        "most miss voltage_margin (50 %) - 1 min 30 s left"
    )


def test_progress_says_what_a_run_waits_for() -> None:
    words = progress_words(Standing(waiting="waiting for a worker: none is there"))
    assert words.endswith(" - waiting for a worker: none is there")


def test_before_the_first_epoch_there_is_nothing_to_divide_by() -> None:
    fresh = Standing(tried=0, feasible=0, growth=None, missed={}, seconds_left=None)
    assert progress_words(fresh) == "the first designs are under way"
    assert summary_words(fresh) == "levee-1: no designs tried yet"


@pytest.mark.parametrize(
    ("standing", "done"),
    [
        (Standing(), 0.25),
        (Standing(seconds_left=None, designs_left=4096), 0.5),
        (Standing(seconds_left=None, designs_left=0), 1.0),
        (Standing(seconds_left=None, designs_left=0, tried=0), 0.0),
    ],
)
def test_share_done_is_that_of_the_budget(standing: Standing, done: float) -> None:
    assert share_done(standing) == pytest.approx(done)


def test_the_summary_names_the_tightest_limit() -> None:
    assert summary_words(Standing()) == (
        "levee-1: 1,024 of 4,096 designs tried meet every limit; "
        "missed most: voltage_margin, by 50 % of them"
    )
    kept = Standing(feasible=4096, missed={"endurance": 0})
    assert summary_words(kept).endswith("none misses a limit")


def test_where_nothing_meets_the_limits_the_summary_says_which_stop_it() -> None:
    none = Standing(feasible=0, missed={"endurance": 4096, "voltage_margin": 2048})
    assert summary_words(none) == (
        "levee-1: none of 4,096 designs tried meets every limit; "
        "missed most: endurance (100 %), voltage_margin (50 %)"
    )
    lawless = Standing(feasible=0, missed={"endurance": 0})
    assert "an objective has no value" in summary_words(lawless)


def test_json_has_the_words_of_the_command_line() -> None:
    data = plain_run(Standing())
    assert {"run", "designs", "feasible", "front", "seconds"} <= set(data)
    assert (data["run"], data["designs"], data["front"]) == ("levee-1", 4096, 84)


@pytest.mark.parametrize(
    ("standing", "words"),
    [
        (Standing(), "of 50 designs of the front, spread out, small changes can still improve 10"),
        (
            Standing(front_size=50, stationary=50),
            "of the 50 designs of the front small changes can still improve none",
        ),
    ],
)
def test_it_is_told_how_many_designs_could_be_improved(standing: Standing, words: str) -> None:
    assert certified_words(standing) == f"gradients tell that {words}"


def test_a_residual_is_told_in_spreads_of_the_front() -> None:
    assert residual_words(0.004).startswith("small changes can hardly improve it: ")
    assert residual_words(0.4) == (
        "small changes can still improve it: along its gradients, the whole range of a variable "
        "would win 40.00% of the spread of the front"
    )
