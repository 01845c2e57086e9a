"""What the whole database holds, in numbers."""

from dataclasses import dataclass

from sqlalchemy import Connection, func, select

from tradeopt.store import tables
from tradeopt.store.database import Database
from tradeopt.store.runs import RunState


@dataclass(frozen=True)
class Counts:
    """What the database holds.

    Attributes
    ----------
    runs : dict of RunState to int
        Runs in each state.
    slices, faults : int
        Slices done, and slices set aside.
    designs, feasible : int
        Designs tried, and how many of them keep every limit.
    seconds : float
        Time that workers spent in slices [s].
    epochs : int
        Epochs closed.
    """

    runs: dict[RunState, int]
    slices: int
    faults: int
    designs: int
    feasible: int
    seconds: float
    epochs: int


def counts(database: Database) -> Counts:
    """Count what the database holds, all at one moment."""
    return database.read(_counts)


def _counts(connection: Connection) -> Counts:
    run, done = tables.run.c, tables.slice_.c
    by_state = connection.execute(select(run.state, func.count()).group_by(run.state)).all()
    set_aside = func.count().filter(done.fault != "")
    sums = connection.execute(
        select(
            func.count().filter(done.fault == ""),
            set_aside,
            func.coalesce(func.sum(done.tried), 0),
            func.coalesce(func.sum(done.feasible), 0),
            func.coalesce(func.sum(done.seconds), 0.0),
        )
    ).one()
    epochs = connection.execute(select(func.count()).select_from(tables.epoch)).scalar_one()
    known = {RunState(state): count for state, count in by_state}
    runs = {state: known.get(state, 0) for state in RunState}
    slices, faults, designs, feasible, seconds = sums
    return Counts(runs, slices, faults, int(designs), int(feasible), float(seconds), epochs)
