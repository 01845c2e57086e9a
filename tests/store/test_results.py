"""Rows of runs, slices and epochs: written once, read back as they were."""

import sqlite3
from contextlib import closing
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from numpy.testing import assert_array_equal
from sqlalchemy import Engine, event
from sqlalchemy.engine import make_url
from sqlalchemy.schema import CreateTable

from tests.services.toy import SMALL, ToyProblem, ToySearch, ToyStudy
from tradeopt.errors import NotFoundError
from tradeopt.search.burst import unknown_gains
from tradeopt.search.designs import no_designs
from tradeopt.search.epoch import beginning, merge, run_slice
from tradeopt.search.slices import Found, SliceTask, no_seeds
from tradeopt.services import runs as services
from tradeopt.services.progress import status
from tradeopt.store import results, runs, tables
from tradeopt.store.database import Database
from tradeopt.store.runs import Budget, Run, RunState

PROBLEM = ToyProblem()


def searched(island: int) -> Found:
    nothing = (no_designs(PROBLEM), no_seeds(PROBLEM), unknown_gains())
    return run_slice(PROBLEM, SMALL, SliceTask(0, island, *nothing))


def save(database: Database, run: Run, island: int, found: Found) -> bool:
    return results.save_slice(database, run, (0, island), found, seconds=1.0, worker="me")


def test_a_run_comes_back_as_it_was_asked(database: Database, run: Run) -> None:
    again = runs.get(database, run.id)
    assert replace(again, start=run.start) == run
    assert_array_equal(again.start.values, PROBLEM.baseline[None])
    assert again.start.origins == ("baseline",)
    assert again.id == "toy-1"
    assert again.plan == SMALL
    assert again.variables == PROBLEM.variables
    assert again.objectives == PROBLEM.objectives
    assert again.limits == PROBLEM.limits
    assert again.state is RunState.RUNNING
    assert again.budget == Budget(None, ToySearch().designs)


def test_other_seeds_and_studies_are_other_runs(database: Database, run: Run) -> None:
    other_seed = services.start_or_resume(database, ToyStudy(), plan=replace(SMALL, seed=8))
    other_text = services.start_or_resume(database, ToyStudy("other"), plan=SMALL)
    other_name = services.start_or_resume(database, ToyStudy(name="new"), plan=SMALL)
    assert [one.id for one in runs.every(database)] == ["toy-1", "toy-2", "toy-3", "new-1"]
    assert (run.id, other_seed.id, other_text.id, other_name.id) == (
        "toy-1",
        "toy-2",
        "toy-3",
        "new-1",
    )


def test_a_run_that_is_not_there_is_told_with_the_nearest(database: Database, run: Run) -> None:
    with pytest.raises(NotFoundError, match=r"got 'toy_1'.*near: 'toy-1'"):
        runs.get(database, run.id.replace("-", "_"))


def test_the_first_result_of_a_slice_stands(database: Database, run: Run) -> None:
    first, other = searched(0), searched(1)
    assert save(database, run, 0, first)
    assert not save(database, run, 0, other)
    assert results.islands_done(database, run, 0) == {0}
    (kept,) = results.slices(database, run, 0)
    assert_array_equal(kept.designs.values, first.designs.values)
    assert (kept.seeds, kept.tried, kept.feasible) == (0, 32, first.feasible)
    assert_array_equal(kept.missed, first.missed)


def test_slices_are_read_in_island_order(database: Database, run: Run) -> None:
    for island in (2, 0, 1):
        save(database, run, island, searched(island))
    firsts = [found.designs.numbers[0] for found in results.slices(database, run, 0)]
    assert firsts == [0, 32, 64]
    assert_array_equal(results.designs(database, run).numbers, np.arange(96))


def test_any_design_is_found_by_its_number(database: Database, run: Run) -> None:
    found = searched(3)
    save(database, run, 3, found)
    found_designs = found.designs
    one = results.design(database, run, 100)
    assert_array_equal(one.values, found_designs.values[4:5])
    assert_array_equal(one.objectives, found_designs.objectives[4:5])


@pytest.mark.parametrize("number", [-1, 0, 95, 128, 10**9])
def test_a_design_that_was_not_tried_is_told(database: Database, run: Run, number: int) -> None:
    save(database, run, 3, searched(3))
    with pytest.raises(NotFoundError, match=f"design of toy-1: got {number}, want"):
        results.design(database, run, number)


def test_an_epoch_comes_back_as_it_was(database: Database, run: Run) -> None:
    assert results.last_epoch(database, run).number == -1
    epoch, _ = merge(PROBLEM, SMALL, beginning(PROBLEM), [searched(0), searched(1)])
    assert results.save_epoch(database, run, epoch)
    assert not results.save_epoch(database, run, epoch)
    for back in (results.epoch(database, run, 0), results.last_epoch(database, run)):
        assert_array_equal(back.front.values, epoch.front.values)
        assert_array_equal(back.population.numbers, epoch.population.numbers)
        assert_array_equal(back.reference, epoch.reference)
        assert_array_equal(back.promoted.numbers, epoch.promoted.numbers)
        assert_array_equal(back.milestone, epoch.milestone)
        assert_array_equal(back.gains, epoch.gains)
        assert_array_equal(back.seeds.values, epoch.seeds.values)
        assert back.milestone_number == epoch.milestone_number
        assert_array_equal(back.missed, epoch.missed)
        assert back.hypervolume == epoch.hypervolume
        assert (back.tried, back.feasible) == (epoch.tried, epoch.feasible)


def test_an_epoch_that_is_open_is_told(database: Database, run: Run) -> None:
    with pytest.raises(NotFoundError, match="epoch of toy-1: got 3, want one that is closed"):
        results.epoch(database, run, 3)


def test_slices_set_aside_can_be_forgotten_while_their_epoch_is_open(
    database: Database, run: Run
) -> None:
    save(database, run, 0, searched(0))
    services.set_aside(database, run.id, 0, 1, "its process ended")
    assert results.faults(database, run) == {(0, 1): "its process ended"}
    assert results.islands_done(database, run, 0) == {0, 1}
    assert status(database, run.id).note == "slice 0/1 was set aside: its process ended"
    results.forget_faults(database, run, 0)
    assert results.islands_done(database, run, 0) == {0}


def test_who_asks_how_a_run_stands_does_not_walk_through_all_its_slices(
    database: Database, run: Run
) -> None:
    asked: list[tuple[str, tuple[object, ...]]] = []

    def hear(*told: Any) -> None:
        asked.append(told[2:4])

    event.listen(Engine, "before_cursor_execute", hear)
    try:
        status(database, run.id)
    finally:
        event.remove(Engine, "before_cursor_execute", hear)
    with closing(sqlite3.connect(database.url.removeprefix("sqlite:///"))) as file:
        plans = [
            plan
            for text, values in asked
            for *_, plan in file.execute(f"EXPLAIN QUERY PLAN {text}", values)
            if " slice " in plan
        ]
    assert len(plans) == 2
    assert all("INDEX slice_places (run_id=?" in plan for plan in plans)


def test_the_tables_are_plain_enough_for_postgresql() -> None:
    dialect = make_url("postgresql+psycopg://").get_dialect()()
    made = [
        str(CreateTable(table).compile(dialect=dialect)) for table in tables.metadata.sorted_tables
    ]
    assert len(made) == len(tables.metadata.tables)
    assert any("rows BYTEA NOT NULL" in one for one in made)
