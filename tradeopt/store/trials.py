"""Designs of a run as trials of a study that any tool made for the sampler library can open."""

from collections.abc import Iterable, Iterator
from contextlib import contextmanager

import numpy as np
import optuna
from optuna.storages import RDBStorage
from optuna.trial import FrozenTrial, TrialState, create_trial

from tradeopt.arrays import Array
from tradeopt.search import space
from tradeopt.search.designs import Designs
from tradeopt.search.samplers import quiet
from tradeopt.store.database import Database
from tradeopt.store.runs import Run


def promote(database: Database, run: Run, designs: Designs, origins: Iterable[str]) -> int:
    """
    Write designs as trials, but for those that are there already.

    Parameters
    ----------
    database : Database
        The trials go into the same one, in the library's own tables; the study there is named as
        the run.
    run : Run
        Which run.
    designs : Designs
        Which designs. One outside the bounds of its variables, such as a baseline may be, is left
        out, for a trial must lie in its space.
    origins : iterable of str
        Where each comes from, such as ``front`` or ``baseline``.

    Returns
    -------
    int
        How many were written.
    """
    with quiet(), _study(database, run) as study:
        known = {trial.user_attrs["design"] for trial in study.get_trials(deepcopy=False)}
        new = [
            _trial(run, designs.take(np.array([row])), origin)
            for row, origin in enumerate(origins)
            if int(designs.numbers[row]) not in known
            and space.inside(designs.values[row : row + 1], run.variables)[0]
        ]
        study.add_trials(new)
        return len(new)


@contextmanager
def _study(database: Database, run: Run) -> Iterator[optuna.Study]:
    storage = RDBStorage(database.url, engine_kwargs={"pool_pre_ping": True})
    try:
        yield _opened(storage, run)
    finally:
        storage.remove_session()
        storage.engine.dispose()


def _opened(storage: RDBStorage, run: Run) -> optuna.Study:
    study = optuna.create_study(
        study_name=run.id,
        storage=storage,
        directions=["maximize" if o.highest else "minimize" for o in run.objectives],
        load_if_exists=True,
    )
    for name, value in (
        ("objectives", [objective.name for objective in run.objectives]),
        ("study_digest", run.digest),
        ("seed", run.plan.seed),
        ("version", run.version),
    ):
        study.set_user_attr(name, value)
    return study


def _trial(run: Run, design: Designs, origin: str) -> FrozenTrial:
    objectives: Array = design.objectives[0]
    defined = bool(np.all(np.isfinite(objectives)))
    names = [limit.name for limit in run.limits]
    return create_trial(
        state=TrialState.COMPLETE if defined else TrialState.FAIL,
        params=space.parameters(design.values[0], run.variables),
        distributions=space.distributions(run.variables),
        values=objectives.tolist() if defined else None,
        constraints=dict(zip(names, design.violations[0].tolist(), strict=True)),
        user_attrs={"design": int(design.numbers[0]), "origin": origin},
    )
