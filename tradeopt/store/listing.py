"""How many runs stand, in numbers alone: no design is unpacked."""

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row, Select, and_, func, or_, select

from tradeopt.errors import NotFoundError
from tradeopt.store import tables
from tradeopt.store.database import Database
from tradeopt.store.runs import RunState


@dataclass(frozen=True)
class Standing:
    """How a run stands after its last closed epoch.

    Attributes
    ----------
    run_id, study, created, note : str
        As in `Run`.
    state : RunState
        As in `Run`.
    seconds_spent : float
        As in `Run` [s].
    epochs, tried, feasible : int
        Epochs closed, designs tried, and how many of them keep every limit.
    growth : float or None
        Hypervolume of the front over that of the first one; None before it.
    missed : dict of str to int
        How many designs miss each limit, the most missed first.
    """

    run_id: str
    study: str
    created: str
    note: str
    state: RunState
    seconds_spent: float
    epochs: int
    tried: int
    feasible: int
    growth: float | None
    missed: dict[str, int]


@dataclass(frozen=True)
class Growth:
    """How far a run had come at the end of an epoch.

    Attributes
    ----------
    epoch : int
        Which, from 0.
    tried, feasible : int
        Designs tried by then, and how many of them keep every limit.
    hypervolume : float
        What the front dominated.
    growth : float or None
        The same over that of the first front.
    missed : tuple of int
        How many designs missed each limit, in the order of the study.
    """

    epoch: int
    tried: int
    feasible: int
    hypervolume: float
    growth: float | None
    missed: tuple[int, ...]


def newest(database: Database, most: int, after: str | None = None) -> list[Standing]:
    """
    Read how runs stand, the newest first.

    Parameters
    ----------
    database : Database
        Where runs are kept.
    most : int
        How many.
    after : str, optional
        Name of a run; only those that are older are read.

    Returns
    -------
    list of Standing
        None of them twice, whatever is started between two pages.

    Raises
    ------
    NotFoundError
        When there is no run of that name.
    """
    query = _standings()
    run = tables.run.c
    if after is not None:
        created = _created(database, after)
        older = or_(run.created < created, and_(run.created == created, run.id < after))
        query = query.where(older)
    query = query.order_by(run.created.desc(), run.id.desc()).limit(most)
    rows = database.read(lambda connection: connection.execute(query).all())
    return [_standing(row) for row in rows]


def standing(database: Database, run_id: str) -> Standing:
    """Read how one run stands."""
    query = _standings().where(tables.run.c.id == run_id)
    row = database.read(lambda connection: connection.execute(query).one_or_none())
    if row is None:
        raise NotFoundError(f"run: got {run_id!r}, want the name of a run in this database")
    return _standing(row)


def _created(database: Database, run_id: str) -> str:
    query = select(tables.run.c.created).where(tables.run.c.id == run_id)
    found = database.read(lambda connection: connection.execute(query).scalar())
    if found is None:
        raise NotFoundError(f"cursor: got {run_id!r}, want one that this list has given")
    return str(found)


def _standings() -> Select[Any]:
    run, epoch, turn = tables.run.c, tables.epoch.c, tables.turn.c
    of_run = tables.epoch.alias().c
    last = select(func.max(of_run.epoch)).where(of_run.run_id == run.id).scalar_subquery()
    columns = (
        run.id,
        run.study,
        run.created,
        run.note,
        run.state,
        turn.seconds_spent,
        run.outline,
        epoch.epoch,
        epoch.tried,
        epoch.feasible,
        epoch.hypervolume,
        epoch.first_hypervolume,
        epoch.missed,
    )
    of_last = and_(epoch.run_id == run.id, epoch.epoch == last)
    return (
        select(*columns)
        .join_from(tables.run, tables.turn, turn.run_id == run.id)
        .outerjoin(tables.epoch, of_last)
    )


def _standing(row: Row[Any]) -> Standing:
    names = [limit["name"] for limit in row.outline["limits"]]
    counts = row.missed or [0] * len(names)
    most_first = sorted(zip(names, counts, strict=True), key=lambda one: -one[1])
    return Standing(
        run_id=row.id,
        study=row.study,
        created=row.created,
        note=row.note,
        state=RunState(row.state),
        seconds_spent=row.seconds_spent,
        epochs=0 if row.epoch is None else row.epoch + 1,
        tried=row.tried or 0,
        feasible=row.feasible or 0,
        growth=_growth(row.hypervolume, row.first_hypervolume),
        missed=dict(most_first),
    )


def _growth(hypervolume: float | None, first: float | None) -> float | None:
    return None if hypervolume is None or not first else hypervolume / first


def growth(database: Database, run_id: str, after: int = -1) -> list[Growth]:
    """Read how a run has come along, an entry a closed epoch, from the one after a given one."""
    table = tables.epoch.c
    query = (
        select(
            table.epoch,
            table.tried,
            table.feasible,
            table.hypervolume,
            table.first_hypervolume,
            table.missed,
        )
        .where(table.run_id == run_id, table.epoch > after)
        .order_by(table.epoch)
    )
    rows = database.read(lambda connection: connection.execute(query).all())
    return [
        Growth(
            epoch=row.epoch,
            tried=row.tried,
            feasible=row.feasible,
            hypervolume=row.hypervolume,
            growth=_growth(row.hypervolume, row.first_hypervolume),
            missed=tuple(row.missed),
        )
        for row in rows
    ]
