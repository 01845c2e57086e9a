"""Runs: what was asked, and how far it has come."""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from enum import StrEnum
from typing import Any

from sqlalchemy import Connection, Row, func, select, update

from tradeopt.errors import NotFoundError, near
from tradeopt.search.plan import SearchPlan
from tradeopt.search.slices import Seeds
from tradeopt.store import claims, tables, turns
from tradeopt.store.claims import Seal, unsealed
from tradeopt.store.database import Database
from tradeopt.store.packing import pack, unpack
from tradeopt.store.turns import Wish
from tradeopt.study.problem import Limit, Objective, Variable

_LISTS = ("choices", "sizes")
"""What JSON turns from a tuple into a list."""

_WITH_TURN = select(tables.run, tables.turn.c.seconds_spent, tables.turn.c.priority).join_from(
    tables.run, tables.turn, tables.run.c.id == tables.turn.c.run_id
)
"""Runs with the time that was spent on each."""


class RunState(StrEnum):
    """How a run stands."""

    RUNNING = "running"
    STOPPED = "stopped"
    FINISHED = "finished"
    FAILED = "failed"


@dataclass(frozen=True)
class Budget:
    """How much a run may take, over all its sessions; what is None does not bound it.

    Attributes
    ----------
    seconds : float or None
        Time spent searching.
    designs : int or None
        Designs tried; rounded up to whole epochs.
    early : bool
        Stop before, once the front has stopped growing.
    """

    seconds: float | None
    designs: int | None
    early: bool = True


@dataclass(frozen=True)
class Question:
    """What a run searches; equal questions are one and the same run.

    Attributes
    ----------
    study : str
        Name of the study.
    text : str
        The study file.
    files : mapping of str to str
        Files that it refers to, by name.
    digest : str
        SHA-256 of the study with its files.
    plan : SearchPlan
        How it searches.
    version : str
        Version of this software.
    variables, objectives, limits : tuple
        What may be chosen, what is wanted, what must hold.
    start : Seeds
        What is tried first: the baseline, designs picked by hand, and those of other searches.
    """

    study: str
    text: str
    files: Mapping[str, str]
    digest: str
    plan: SearchPlan
    version: str
    variables: tuple[Variable, ...]
    objectives: tuple[Objective, ...]
    limits: tuple[Limit, ...]
    start: Seeds


@dataclass(frozen=True)
class Run(Question):
    """One search of a study, as the database has it.

    Attributes
    ----------
    id : str
        Its name: that of the study and a counter.
    state : RunState
        How it stands.
    note : str
        Why it failed; empty where it did not.
    seconds_spent : float
        Time that workers spent on it, stops left out [s]; what several spend at once counts
        once.
    budget : Budget
        What it may take.
    created : str
        When it was first asked for, UTC.
    start_note : str
        Which designs of other searches it began with; empty where there are none.
    priority : float
        Its share of the workers against that of other runs.
    """

    id: str
    state: RunState
    note: str
    seconds_spent: float
    budget: Budget
    created: str
    start_note: str
    priority: float


def find_or_create(
    database: Database, question: Question, created: str, start_note: str = ""
) -> str:
    """
    Find the run that asks this question, or write it down.

    Parameters
    ----------
    database : Database
        Where runs are kept.
    question : Question
        What is asked.
    created : str
        When, UTC.
    start_note : str
        Which designs of other searches it begins with.

    Returns
    -------
    str
        Name of the run, such as ``levee-rounds-1``.
    """
    told = {"created": created, "start_note": start_note}
    return database.write(lambda connection: _find_or_create(connection, question, told))


def _find_or_create(connection: Connection, question: Question, told: Mapping[str, str]) -> str:
    plan = json.dumps(asdict(question.plan), sort_keys=True)
    table = tables.run.c
    found = connection.execute(
        select(table.id).where(
            table.study == question.study,
            table.digest == question.digest,
            table.plan == plan,
            table.version == question.version,
            table.start_digest == _start_digest(question.start),
        )
    ).scalar()
    if found is not None:
        return str(found)
    last = select(func.coalesce(func.max(table.counter), 0)).where(table.study == question.study)
    counter = int(connection.execute(last).scalar_one()) + 1
    row = _new_row(question, counter) | {"plan": plan, **told}
    connection.execute(tables.run.insert().values(**row))
    turns.create(connection, str(row["id"]))
    return str(row["id"])


def _start_digest(start: Seeds) -> str:
    return hashlib.sha256(pack(start.values) + "\n".join(start.origins).encode()).hexdigest()


def _new_row(question: Question, counter: int) -> dict[str, Any]:
    outline = {
        name: [asdict(one) for one in getattr(question, name)]
        for name in ("variables", "objectives", "limits")
    }
    return {
        "id": f"{question.study}-{counter}",
        "study": question.study,
        "counter": counter,
        "text": question.text,
        "files": dict(question.files),
        "digest": question.digest,
        "version": question.version,
        "outline": outline,
        "state": RunState.STOPPED,
        "note": "",
        "stops_early": True,
        "start_digest": _start_digest(question.start),
        "start_origins": list(question.start.origins),
        "start": pack(question.start.values),
    }


def get(database: Database, run_id: str) -> Run:
    """Read a run."""
    rows = database.read(
        lambda connection: connection.execute(_WITH_TURN.where(tables.run.c.id == run_id)).all()
    )
    if not rows:
        known = near(run_id, [run.id for run in every(database)])
        hint = f" (near: {known!r})" if known else ""
        raise NotFoundError(f"run: got {run_id!r}, want the name of a run in this database{hint}")
    return _from_row(rows[0])


def state(database: Database, run_id: str) -> RunState:
    """Tell whether a run is running."""
    query = select(tables.run.c.state).where(tables.run.c.id == run_id)
    return RunState(database.read(lambda connection: connection.execute(query).scalar_one()))


def every(database: Database) -> list[Run]:
    """Read all runs, the oldest first."""
    query = _WITH_TURN.order_by(tables.run.c.created, tables.run.c.id)
    rows = database.read(lambda connection: connection.execute(query).all())
    return [_from_row(row) for row in rows]


def _from_row(row: Row[Any]) -> Run:
    outline = row.outline
    return Run(
        study=row.study,
        text=row.text,
        files=row.files,
        digest=row.digest,
        plan=SearchPlan(**json.loads(row.plan)),
        version=row.version,
        variables=tuple(
            Variable(**{**variable, **{name: tuple(variable[name]) for name in _LISTS}})
            for variable in outline["variables"]
        ),
        objectives=tuple(Objective(**objective) for objective in outline["objectives"]),
        limits=tuple(Limit(**limit) for limit in outline["limits"]),
        id=row.id,
        state=RunState(row.state),
        note=row.note,
        seconds_spent=row.seconds_spent,
        budget=Budget(row.seconds_budget, row.designs_budget, row.stops_early),
        start=Seeds(unpack(row.start), tuple(row.start_origins)),
        start_note=row.start_note,
        created=row.created,
        priority=row.priority,
    )


def begin(database: Database, run_id: str, budget: Budget, wish: Wish | None = None) -> None:
    """Let a run go on within a budget, with its old share of the workers unless one is given."""
    table = tables.run.c

    def write(connection: Connection) -> None:
        waits = table.id == run_id, table.state != RunState.RUNNING
        if connection.execute(select(table.id).where(*waits)).scalar() is not None:
            turns.queue_up(connection, run_id)
            claims.free_all(connection, run_id)
        if wish is not None:
            turns.grant(connection, run_id, wish)
        connection.execute(
            update(tables.run)
            .where(table.id == run_id)
            .values(
                state=RunState.RUNNING,
                note="",
                seconds_budget=budget.seconds,
                designs_budget=budget.designs,
                stops_early=budget.early,
            )
        )

    database.write(write)


def end(
    database: Database, run_id: str, state: RunState, note: str, *, seal: Seal = unsealed
) -> None:
    """Say how a run stands now that nobody works on it."""

    def write(connection: Connection) -> None:
        seal(connection)
        connection.execute(
            update(tables.run).where(tables.run.c.id == run_id).values(state=state, note=note)
        )
        claims.free_all(connection, run_id)

    database.write(write)


def stop(database: Database, run_id: str) -> None:
    """Stop a run that is running; what its workers have in hand is no longer theirs."""
    table = tables.run.c

    def write(connection: Connection) -> None:
        connection.execute(
            update(tables.run)
            .where(table.id == run_id, table.state == RunState.RUNNING)
            .values(state=RunState.STOPPED)
        )
        claims.free_all(connection, run_id)

    database.write(write)
