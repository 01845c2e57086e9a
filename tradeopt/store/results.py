"""What slices and epochs found: written once; the first stands, and a second is the same."""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from optuna.trial import FrozenTrial
from sqlalchemy import Connection, Row, Select, Table, delete, func, select, update

from tradeopt.errors import NotFoundError
from tradeopt.search import designs as designs_tables
from tradeopt.search.designs import Designs
from tradeopt.search.epoch import Epoch, beginning
from tradeopt.search.slices import Found, Seeds
from tradeopt.search.stationary import Certificate
from tradeopt.store import tables, trials
from tradeopt.store.claims import Seal, unsealed
from tradeopt.store.database import Database, insert_new
from tradeopt.store.packing import pack, pack_designs, unpack, unpack_designs
from tradeopt.store.runs import Run

_KEPT = 2
"""Epochs that keep their designs: the last one, and the one that a late worker may still read."""

_DESIGNS = ("seeds", "milestone", "promoted", "population", "front")


def save_slice(
    database: Database,
    run: Run,
    place: tuple[int, int],
    found: Found,
    *,
    seconds: float,
    worker: str = "",
    processor: str = "",
    fault: str = "",
    seal: Seal = unsealed,
) -> bool:
    """
    Write what a slice found, unless it is there.

    Parameters
    ----------
    database : Database
        Where runs are kept.
    run : Run
        Which run.
    place : tuple of int
        Epoch and island of the slice.
    found : Found
        What it found; nothing for a slice that is set aside.
    seconds : float
        How long it took.
    worker : str
        Who did it.
    processor : str
        What it was worked out on; empty for a slice that was set aside.
    fault : str
        Why it was set aside; empty for a slice that was done.
    seal : callable
        Goes first, and lets only one of those who did it write.

    Returns
    -------
    bool
        Whether it was written.
    """
    row = {
        "run_id": run.id,
        "epoch": place[0],
        "island": place[1],
        "rows": pack_designs(found.designs),
        "seeds": found.seeds,
        "tried": found.tried,
        "feasible": found.feasible,
        "missed": found.missed.tolist(),
        "gains": pack(found.gains),
        "seconds": seconds,
        "worker": worker,
        "processor": processor,
        "fault": fault,
    }
    return database.write(lambda connection: _insert(connection, tables.slice_, row, seal))


def _insert(connection: Connection, table: Table, row: Mapping[str, object], seal: Seal) -> bool:
    seal(connection)
    return insert_new(connection, table, row)


def islands_done(database: Database, run: Run, epoch: int) -> set[int]:
    """Tell which slices of an epoch are there."""
    table = tables.slice_.c
    query = select(table.island).where(table.run_id == run.id, table.epoch == epoch)
    return set(database.read(lambda connection: connection.execute(query).scalars().all()))


def slices(database: Database, run: Run, epoch: int) -> list[Found]:
    """Read what the slices of an epoch found, in island order."""
    table = tables.slice_.c
    query = (
        select(tables.slice_)
        .where(table.run_id == run.id, table.epoch == epoch)
        .order_by(table.island)
    )
    return [
        Found(
            designs=unpack_designs(row.rows, run),
            seeds=row.seeds,
            tried=row.tried,
            feasible=row.feasible,
            missed=np.array(row.missed, dtype=np.int64),
            gains=unpack(row.gains),
        )
        for row in _rows(database, query)
    ]


def faults(database: Database, run: Run) -> dict[tuple[int, int], str]:
    """Tell which slices of a run were set aside, by epoch and island, and why."""
    table = tables.slice_.c
    query = (
        select(table.epoch, table.island, table.fault)
        # worked out nowhere: these few are found at once
        .where(table.run_id == run.id, table.processor == "", table.fault != "")
        .order_by(table.epoch, table.island)
    )
    return {(row.epoch, row.island): row.fault for row in _rows(database, query)}


def processors(database: Database, run: Run) -> list[str]:
    """Tell on which kinds of processor the slices of a run were worked out."""
    table = tables.slice_.c
    query = select(table.processor).where(table.run_id == run.id, table.processor != "").distinct()
    return sorted(row.processor for row in _rows(database, query))


def forget_faults(database: Database, run: Run, epoch: int) -> None:
    """Let slices that were set aside be tried again, as long as their epoch is open."""
    table = tables.slice_.c
    query = delete(tables.slice_).where(
        table.run_id == run.id, table.epoch == epoch, table.fault != ""
    )
    database.write(lambda connection: connection.execute(query))


def save_epoch(
    database: Database,
    run: Run,
    epoch: Epoch,
    new_trials: Sequence[FrozenTrial] = (),
    *,
    seal: Seal = unsealed,
) -> bool:
    """
    Write where a run stands after an epoch, unless it is there.

    Parameters
    ----------
    database : Database
        Where runs are kept.
    run : Run
        Which run.
    epoch : Epoch
        Where it stands.
    new_trials : sequence of FrozenTrial
        What becomes trials with it, all or none of both.
    seal : callable
        Goes first, and lets only one of those who closed it write.

    Returns
    -------
    bool
        Whether it was written.

    Notes
    -----
    The epoch before the last one loses its designs: nobody breeds from it any more, and a night
    has thousands of them.
    """

    def write(connection: Connection) -> bool:
        if not _insert(connection, tables.epoch, _epoch_row(run, epoch), seal):
            return False
        table = tables.epoch.c
        connection.execute(
            update(tables.epoch)
            .where(table.run_id == run.id, table.epoch == epoch.number - _KEPT)
            .values(dict.fromkeys(_DESIGNS, b""))
        )
        trials.insert(connection, run.id, new_trials)
        return True

    return database.write(write)


def _epoch_row(run: Run, epoch: Epoch) -> dict[str, object]:
    return {
        "run_id": run.id,
        "epoch": epoch.number,
        "population": pack_designs(epoch.population),
        "front": pack_designs(epoch.front),
        "promoted": pack_designs(epoch.promoted),
        "seeds": pack(epoch.seeds.values),
        "seed_origins": list(epoch.seeds.origins),
        "milestone": pack(epoch.milestone),
        "milestone_number": epoch.milestone_number,
        "gains": pack(epoch.gains),
        "reference": pack(epoch.reference),
        "hypervolume": epoch.hypervolume,
        "first_hypervolume": epoch.first_hypervolume,
        "tried": epoch.tried,
        "feasible": epoch.feasible,
        "missed": epoch.missed.tolist(),
    }


def epoch(database: Database, run: Run, number: int) -> Epoch:
    """Read where a run stood after an epoch; -1 for before the first."""
    if number == -1:
        return beginning(run, run.start)
    table = tables.epoch.c
    rows = _rows(
        database, select(tables.epoch).where(table.run_id == run.id, table.epoch == number)
    )
    if not rows:
        raise NotFoundError(f"epoch of {run.id}: got {number}, want one that is closed")
    if not rows[0].front:
        raise NotFoundError(f"epoch of {run.id}: got {number}, want one of the last {_KEPT}")
    return _epoch(rows[0], run)


def last_number(database: Database, run_id: str) -> int:
    """Tell which epoch of a run was closed last; -1 before the first."""
    table = tables.epoch.c
    query = select(func.max(table.epoch)).where(table.run_id == run_id)
    number = database.read(lambda connection: connection.execute(query).scalar())
    return -1 if number is None else int(number)


def last_epoch(database: Database, run: Run) -> Epoch:
    """Read where a run stands."""
    table = tables.epoch.c
    query = (
        select(tables.epoch).where(table.run_id == run.id).order_by(table.epoch.desc()).limit(1)
    )
    rows = _rows(database, query)
    return _epoch(rows[0], run) if rows else beginning(run, run.start)


def _epoch(row: Row[Any], run: Run) -> Epoch:
    return Epoch(
        number=row.epoch,
        population=unpack_designs(row.population, run),
        front=unpack_designs(row.front, run),
        reference=unpack(row.reference),
        hypervolume=row.hypervolume,
        first_hypervolume=row.first_hypervolume,
        tried=row.tried,
        feasible=row.feasible,
        missed=np.array(row.missed, dtype=np.int64),
        seeds=Seeds(unpack(row.seeds), tuple(row.seed_origins)),
        gains=unpack(row.gains),
        promoted=unpack_designs(row.promoted, run),
        milestone=unpack(row.milestone),
        milestone_number=row.milestone_number,
    )


def save_certificate(
    database: Database,
    run: Run,
    place: tuple[int, int],
    found: Certificate,
    *,
    fault: str = "",
    seal: Seal = unsealed,
) -> bool:
    """Write the certificate of a part of the front after an epoch, unless it is there."""
    columns = [found.numbers, found.residual, found.weights, found.prices]
    row = {
        "run_id": run.id,
        "epoch": place[0],
        "part": place[1],
        "fault": fault,
        "rows": pack(np.column_stack(columns)),
    }
    return database.write(lambda connection: _insert(connection, tables.certificate, row, seal))


def certified_parts(database: Database, run: Run, epoch: int) -> set[int]:
    """Tell which parts of the front after an epoch have a certificate."""
    table = tables.certificate.c
    query = select(table.part).where(table.run_id == run.id, table.epoch == epoch)
    return set(database.read(lambda connection: connection.execute(query).scalars().all()))


def certificate(database: Database, run: Run, epoch: int) -> Certificate:
    """Read the certificates of the front after an epoch; without rows where there are none."""
    table = tables.certificate.c
    query = (
        select(table.rows).where(table.run_id == run.id, table.epoch == epoch).order_by(table.part)
    )
    width = 2 + len(run.objectives)
    nothing = np.empty((0, width + len(run.limits)))
    found = np.concatenate([nothing, *(unpack(row.rows) for row in _rows(database, query))])
    numbers, residual, weights, prices = np.split(found, [1, 2, width], axis=1)
    return Certificate(numbers[:, 0].astype(np.int64), residual[:, 0], weights, prices)


def designs(database: Database, run: Run) -> Designs:
    """Read all designs that a run has kept, in order of their numbers."""
    table = tables.slice_.c
    query = select(table.rows).where(table.run_id == run.id).order_by(table.epoch, table.island)
    found = [unpack_designs(row.rows, run) for row in _rows(database, query)]
    return designs_tables.join([designs_tables.no_designs(run), *found])


def design(database: Database, run: Run, number: int) -> Designs:
    """Read one design, as a table of one row."""
    found = designs_in(database, run, [number])
    if len(found) == 0:
        raise NotFoundError(f"design of {run.id}: got {number}, want the number of one it tried")
    return found


def designs_in(database: Database, run: Run, numbers: Sequence[int]) -> Designs:
    """Read the designs of these numbers, in that order; those that were not tried are left out."""
    found = [designs_tables.no_designs(run)]
    table = tables.slice_.c
    for number in numbers:
        epoch_number, island = run.plan.place(number)
        query = select(table.rows).where(
            table.run_id == run.id, table.epoch == epoch_number, table.island == island
        )
        for row in _rows(database, query):
            tried = unpack_designs(row.rows, run)
            found.append(tried.take(tried.numbers == number))
    return designs_tables.join(found)


def _rows(database: Database, query: Select[Any]) -> Sequence[Row[Any]]:
    return database.read(lambda connection: connection.execute(query).all())
