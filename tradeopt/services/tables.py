"""Designs of a run in bulk: picked by what they reach, in the form that is wanted."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from tradeopt import units
from tradeopt.arrays import Flags
from tradeopt.errors import Problem, ProblemsError, UnitError, near
from tradeopt.report.table import FEASIBLE, Column, DesignTable, design_table
from tradeopt.search.front import minimised
from tradeopt.services import runs
from tradeopt.services.lookup import NEAREST, find
from tradeopt.store import listing, results
from tradeopt.store import runs as store
from tradeopt.store.database import Database


class WishError(ProblemsError):
    """Something was asked for that a table cannot give."""


@dataclass(frozen=True)
class TableWish:
    """Which designs of a run to tell, and what of them.

    Attributes
    ----------
    at_least, at_most : mapping of str to str
        Bounds by the name of a column, with their units; a bare number is SI. A design without a
        value is outside of every bound.
    feasible : bool or None
        Only those that meet every limit, or only the others.
    columns : sequence of str
        What to tell of them, in this order; everything where empty.
    most : int
        How many; the rest follows when it is asked for.
    offset : int
        How many to pass over.
    sample : int or None
        No more than these of all that are within the bounds, evenly spread over the search.
    """

    at_least: Mapping[str, str] = field(default_factory=dict)
    at_most: Mapping[str, str] = field(default_factory=dict)
    feasible: bool | None = None
    columns: Sequence[str] = ()
    most: int = 1000
    offset: int = 0
    sample: int | None = None


@dataclass(frozen=True)
class Picked:
    """Designs as they were asked for.

    Attributes
    ----------
    table : DesignTable
        Those of them that were wanted now.
    total : int
        How many there are within the bounds.
    next_offset : int or None
        Where the rest begins; None where this is the last of it.
    """

    table: DesignTable
    total: int
    next_offset: int | None


def front_table(database: Database, run_id: str, wish: TableWish) -> Picked:
    """
    Tell the front of a run after its last closed epoch, the best of the first objective first.

    Parameters
    ----------
    database : Database
        Where runs are kept.
    run_id : str
        Which run.
    wish : TableWish
        Which designs, and what of them.

    Returns
    -------
    Picked
        The designs.

    Raises
    ------
    WishError
        With everything that cannot be given.
    """
    run = store.get(database, run_id)
    front = results.last_epoch(database, run).front
    order = np.argsort(minimised(front.objectives, run.objectives)[:, 0], kind="stable")
    return _picked(design_table(run, front.take(order)), wish)


def nearest_table(database: Database, run_id: str) -> tuple[Picked, str]:
    """
    Tell the designs that come nearest to the limits, and which limits would let one of them pass.

    Parameters
    ----------
    database : Database
        Where runs are kept.
    run_id : str
        Which run.

    Returns
    -------
    tuple of Picked and str
        The designs, the best first, and the way out in a sentence; empty where some design meets
        every limit.
    """
    found = find(database, run_id)
    nearest = runs.nearest(database, run_id, NEAREST)
    way_out = "" if found.standing.front_size else found.way_out()
    return _picked(design_table(found.run, nearest), TableWish()), way_out


def tried_table(database: Database, run_id: str, wish: TableWish) -> Picked:
    """
    Tell the designs that a run has kept, those of closed epochs, in order of their numbers.

    Parameters
    ----------
    database : Database
        Where runs are kept.
    run_id : str
        Which run.
    wish : TableWish
        Which designs, and what of them.

    Returns
    -------
    Picked
        The designs.

    Raises
    ------
    WishError
        With everything that cannot be given.
    """
    return _picked(_kept(database, run_id, listing.standing(database, run_id).epochs), wish)


@lru_cache(maxsize=2)
def _kept(database: Database, run_id: str, epochs: int) -> DesignTable:
    """Read the designs of closed epochs, which never change; a page asks for them again."""
    run = store.get(database, run_id)
    designs = results.designs(database, run)
    return design_table(
        run, designs.take(designs.numbers < run.plan.first_number(epochs, island=0))
    )


def _picked(table: DesignTable, wish: TableWish) -> Picked:
    problems = _unknown(table, wish)
    kept = _within(table, wish, problems)
    if problems:
        raise WishError(tuple(problems))
    rows = np.flatnonzero(kept)
    if wish.sample is not None and len(rows) > wish.sample:
        rows = rows[np.linspace(0, len(rows) - 1, wish.sample).round().astype(np.int64)]
    end = wish.offset + wish.most
    told = table.only(wish.columns) if wish.columns else table
    return Picked(
        table=told.take(rows[wish.offset : end]),
        total=len(rows),
        next_offset=end if end < len(rows) else None,
    )


def _unknown(table: DesignTable, wish: TableWish) -> list[Problem]:
    """Say which names are those of no column."""
    said = [
        *(("columns", name) for name in wish.columns),
        *((f"min.{name}", name) for name in wish.at_least),
        *((f"max.{name}", name) for name in wish.at_most),
    ]
    return [
        Problem(where, repr(name), "the name of a column", near(name, table.names))
        for where, name in said
        if name not in table.names
    ]


def _within(table: DesignTable, wish: TableWish, problems: list[Problem]) -> Flags:
    """Return shape (design,): True for those that are within every bound."""
    kept: Flags = np.ones(len(table), dtype=bool)
    if wish.feasible is not None:
        kept &= (table.column(FEASIBLE)[1] > 0.0) == wish.feasible
    for side, bounds in (("min", wish.at_least), ("max", wish.at_most)):
        for name in sorted(set(bounds) & set(table.names)):
            column, numbers = table.column(name)
            try:
                bound = _si(column, bounds[name])
            except UnitError as error:
                problems.append(Problem(f"{side}.{name}", error.got, error.want, error.near))
            else:
                kept &= numbers >= bound if side == "min" else numbers <= bound
    return kept


def _si(column: Column, text: str) -> float:
    """Read a bound."""
    if column.choices:
        raise UnitError(repr(text), f"nothing: {column.name} is a choice and has no order")
    try:
        bound = float(text)
    except ValueError:
        return units.to_si(text, column.unit)
    if np.isnan(bound):
        raise UnitError(repr(text), f"a number in {column.unit}")
    return bound
