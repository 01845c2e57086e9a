"""Designs of a run as trials of a study that any tool made for the sampler library can open.

The library writes a trial in a transaction of its own, some 20 to 40 a second. Here they are
written in bulk with the rest of an epoch, into tables as the database has them; where these are
not the ones known here, the library writes them.
"""

import json
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime

import optuna
from optuna.distributions import distribution_to_json
from optuna.storages import RDBStorage
from optuna.trial import FrozenTrial
from sqlalchemy import Connection, MetaData, Table, func, inspect, select
from sqlalchemy.exc import IntegrityError, OperationalError, ProgrammingError

from tradeopt.search import records, space
from tradeopt.search.designs import Designs
from tradeopt.search.samplers import quiet
from tradeopt.store.database import Database
from tradeopt.store.runs import Run

COLUMNS: Mapping[str, frozenset[str]] = {
    "studies": frozenset({"study_id", "study_name"}),
    "trials": frozenset(
        {"trial_id", "number", "study_id", "state", "datetime_start", "datetime_complete"}
    ),
    "trial_params": frozenset(
        {"param_id", "trial_id", "param_name", "param_value", "distribution_json"}
    ),
    "trial_values": frozenset({"trial_value_id", "trial_id", "objective", "value", "value_type"}),
    "trial_system_attributes": frozenset(
        {"trial_system_attribute_id", "trial_id", "key", "value_json"}
    ),
    "trial_user_attributes": frozenset(
        {"trial_user_attribute_id", "trial_id", "key", "value_json"}
    ),
}
"""The tables of the library that trials are written into, with all their columns."""

REFLECTED = "tables of trials"
"""What the tables of the library are kept under with a connection."""

MAKING = 20
"""How often the library's tables are tried to be made while others make them too."""

THERE = ("already exists", "UNIQUE constraint", "duplicate key")
"""What databases say of what somebody else has made meanwhile."""

DESIGN = "design"
"""Attribute of a trial: the number of its design in the run."""

Row = dict[str, object]


def prepare(database: Database, run: Run) -> None:
    """
    Make the study that the trials of a run go into, unless it is there.

    Parameters
    ----------
    database : Database
        The study goes into the same one, in the library's own tables, under the name of the run.
    run : Run
        Which run.
    """
    with quiet(), _study(database, run) as study:
        for name, value in (
            ("objectives", [objective.name for objective in run.objectives]),
            ("study_digest", run.digest),
            ("seed", run.plan.seed),
            ("version", run.version),
        ):
            study.set_user_attr(name, value)


def promoted(run: Run, designs: Designs, origins: Sequence[str]) -> list[FrozenTrial]:
    """
    Make trials of designs.

    Parameters
    ----------
    run : Run
        Which run.
    designs : Designs
        Which designs. One outside the bounds of its variables, such as a baseline may be, is left
        out, for a trial must lie in its space.
    origins : sequence of str
        Where each comes from, such as ``front`` or ``baseline``.

    Returns
    -------
    list of FrozenTrial
        Not in any study yet.
    """
    inside = space.inside(designs.values, run.variables)
    told = []
    for number, origin in zip(designs.numbers.tolist(), origins, strict=True):
        epoch, island = run.plan.place(number)
        told.append({DESIGN: number, "origin": origin, "epoch": epoch, "island": island})
    kept = [one for one, is_inside in zip(told, inside, strict=True) if is_inside]
    return records.trials(run, designs.take(inside), kept)


def add(database: Database, run: Run, new: Sequence[FrozenTrial]) -> int:
    """
    Write trials, but for those whose design is there already.

    Parameters
    ----------
    database : Database
        Where runs are kept.
    run : Run
        Which run; see `prepare`.
    new : sequence of FrozenTrial
        See `promoted`.

    Returns
    -------
    int
        How many were written.
    """

    def write(connection: Connection) -> tuple[list[FrozenTrial], bool]:
        tables = _tables(connection)
        if tables is not None and new:
            _study_id(connection, tables, run.id)  # before we look what is there
        known = _known_designs(connection, run.id, [trial.user_attrs[DESIGN] for trial in new])
        missing = [trial for trial in new if trial.user_attrs[DESIGN] not in known]
        return missing, insert(connection, run.id, missing)

    missing, written = database.write(write)
    if missing and not written:
        with quiet(), _study(database, run) as study:
            study.add_trials(missing)
    return len(missing)


def insert(connection: Connection, name: str, new: Sequence[FrozenTrial]) -> bool:
    """
    Write trials in bulk, in a transaction that is under way.

    Parameters
    ----------
    connection : Connection
        It writes.
    name : str
        Name of the study, which must be there.
    new : sequence of FrozenTrial
        Not in the study yet.

    Returns
    -------
    bool
        Whether they were written: not where the tables are not those that are known here.
    """
    tables = _tables(connection)
    if tables is None:
        return False
    if new:
        _insert(connection, tables, _study_id(connection, tables, name), new)
    return True


def _tables(connection: Connection) -> Mapping[str, Table] | None:
    """Return the tables of the library if they are those known here."""
    if REFLECTED not in connection.info:
        present = set(inspect(connection).get_table_names())
        if not present.issuperset(COLUMNS):
            return None
        metadata = MetaData()
        metadata.reflect(connection, only=list(COLUMNS))
        # kept with the connection, for reading them anew takes as long as writing an epoch
        connection.info[REFLECTED] = metadata.tables
    tables: Mapping[str, Table] = connection.info[REFLECTED]
    same = all(set(tables[name].c.keys()) == COLUMNS[name] for name in COLUMNS)
    return tables if same else None


def _study_id(connection: Connection, tables: Mapping[str, Table], name: str) -> int:
    table = tables["studies"].c
    # whoever else adds trials to this study waits until these are written
    query = select(table.study_id).where(table.study_name == name).with_for_update()
    return int(connection.execute(query).scalar_one())


def _insert(
    connection: Connection,
    tables: Mapping[str, Table],
    study_id: int,
    new: Sequence[FrozenTrial],
) -> None:
    table = tables["trials"]
    count = select(func.count()).select_from(table).where(table.c.study_id == study_id)
    first = int(connection.execute(count).scalar_one())
    now = datetime.now(UTC).replace(tzinfo=None)
    rows = [
        {
            "number": first + place,
            "study_id": study_id,
            "state": trial.state.name,
            "datetime_start": now,
            "datetime_complete": now,
        }
        for place, trial in enumerate(new)
    ]
    returning = table.insert().returning(table.c.trial_id, sort_by_parameter_order=True)
    ids = connection.execute(returning, rows).scalars().all()
    kinds = {path: distribution_to_json(kind) for path, kind in new[0].distributions.items()}
    for name, part in (
        ("trial_params", _params),
        ("trial_values", _values),
        ("trial_system_attributes", _system_attributes),
        ("trial_user_attributes", _user_attributes),
    ):
        below = [
            {"trial_id": trial_id, **row}
            for trial_id, trial in zip(ids, new, strict=True)
            for row in part(trial, kinds)
        ]
        if below:
            connection.execute(tables[name].insert(), below)


def _params(trial: FrozenTrial, kinds: Mapping[str, str]) -> list[Row]:
    return [
        {
            "param_name": path,
            "param_value": trial.distributions[path].to_internal_repr(value),
            "distribution_json": kinds[path],
        }
        for path, value in trial.params.items()
    ]


def _values(trial: FrozenTrial, _kinds: Mapping[str, str]) -> list[Row]:
    return [
        {"objective": place, "value": value, "value_type": "FINITE"}
        for place, value in enumerate(trial.values or ())
    ]


def _system_attributes(trial: FrozenTrial, _kinds: Mapping[str, str]) -> list[Row]:
    return _attributes(trial.system_attrs)


def _user_attributes(trial: FrozenTrial, _kinds: Mapping[str, str]) -> list[Row]:
    return _attributes(trial.user_attrs)


def _attributes(told: Mapping[str, object]) -> list[Row]:
    return [{"key": key, "value_json": json.dumps(value)} for key, value in told.items()]


def _known_designs(connection: Connection, name: str, numbers: Sequence[int]) -> set[int]:
    """Tell which of these designs are trials already; a long run has far more of them."""
    tables = _tables(connection)
    if tables is None:
        return set()
    told, trials, studies = (
        tables[one].c for one in ("trial_user_attributes", "trials", "studies")
    )
    query = (
        select(told.value_json)
        .join_from(tables["trial_user_attributes"], tables["trials"])
        .join(tables["studies"], trials.study_id == studies.study_id)
        .where(
            studies.study_name == name,
            told.key == DESIGN,
            told.value_json.in_([json.dumps(number) for number in numbers]),
        )
    )
    return {int(json.loads(text)) for text in connection.execute(query).scalars()}


@contextmanager
def _study(database: Database, run: Run) -> Iterator[optuna.Study]:
    with opened_storage(database.url) as storage:
        yield optuna.create_study(
            study_name=run.id,
            storage=storage,
            directions=records.directions(run),
            load_if_exists=True,
        )


@contextmanager
def opened_storage(url: str) -> Iterator[RDBStorage]:
    """Open the library's storage at an address, and close it again."""
    # of a file database: as long as ours, for many workers write to it
    waits = {"connect_args": {"timeout": 30}} if url.startswith("sqlite") else {}
    storage = _made(url, {"pool_pre_ping": True, **waits})
    try:
        yield storage
    finally:
        storage.remove_session()
        storage.engine.dispose()


def _made(url: str, engine: Mapping[str, object]) -> RDBStorage:
    # each makes what tables are not there: of two at once, one finds the other's
    tries = 0
    while True:
        tries += 1
        try:
            return RDBStorage(url, engine_kwargs=dict(engine))
        except (OperationalError, ProgrammingError, IntegrityError) as error:
            if tries == MAKING or not any(words in str(error.orig) for words in THERE):
                raise
        time.sleep(0.05)
