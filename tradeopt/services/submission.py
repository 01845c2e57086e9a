"""Studies that come in as text: looked through, started once, gone on with."""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field

from tradeopt import units
from tradeopt.errors import Problem, ProblemsError, UnitError
from tradeopt.services import runs
from tradeopt.services.starts import budget_of, from_baseline, picked_by_hand, plan_of, reusing
from tradeopt.services.wakeups import wakeups_of
from tradeopt.settings import read_settings
from tradeopt.store import runs as store
from tradeopt.store import submissions
from tradeopt.store.database import Database
from tradeopt.store.runs import Budget, Run
from tradeopt.store.submissions import Submission
from tradeopt.store.turns import Wish
from tradeopt.study.read import loads


class SubmissionError(ProblemsError):
    """What was asked cannot be done."""


@dataclass(frozen=True)
class BudgetAsked:
    """How long to search; what is None is left as the study, or the run, has it.

    Attributes
    ----------
    time : str or None
        Of the whole run, with its unit.
    designs : int or None
        Of the whole run.
    to_the_end : bool
        Do not stop early once the front has stopped growing.
    """

    time: str | None = None
    designs: int | None = None
    to_the_end: bool = False


@dataclass(frozen=True)
class Asked:
    """A study that somebody wants searched.

    Attributes
    ----------
    study : str
        The study file.
    files : mapping of str to str
        Files that it names, by name.
    budget : BudgetAsked
        How long to search.
    seed : int or None
        Start of all chance; that of the study where None.
    picks : tuple of mapping
        Designs to try and keep: values of variables that differ from the baseline.
    reuse : str or None
        Name of a run, whose designs are scored again and begun with.
    priority : float or None
        Its share of the workers against that of other runs; as before where None.
    """

    study: str
    files: Mapping[str, str] = field(default_factory=dict)
    budget: BudgetAsked = BudgetAsked()
    seed: int | None = None
    picks: tuple[Mapping[str, str], ...] = ()
    reuse: str | None = None
    priority: float | None = None

    @property
    def digest(self) -> str:
        """SHA-256 of all of it."""
        said = json.dumps(asdict(self), sort_keys=True)
        return hashlib.sha256(said.encode("ascii")).hexdigest()


def submit(database: Database, asked: Asked, key: str | None = None) -> Run:
    """
    Start the run that a study asks for, or go on with it.

    Parameters
    ----------
    database : Database
        Where runs are kept.
    asked : Asked
        The study.
    key : str, optional
        Chosen by whoever asks: the same study under the same key is looked up, not asked again,
        so that what went unanswered can be sent a second time.

    Returns
    -------
    Run
        The run; a worker goes on with it.

    Raises
    ------
    StudyError
        With every problem of the study, or of the designs that were picked.
    NotFoundError
        When there is no run to reuse.
    BudgetError
        When nothing says how long to search.
    SubmissionError
        When something else stands under that key, or the time cannot be read.
    """
    known = submissions.find(database, key) if key is not None else None
    if known is None:
        run = _started(database, asked)
        wakeups_of(read_settings()).send()
        if key is None:
            return run
        known = submissions.save(database, key, Submission(asked.digest, run.id))
    if known.digest != asked.digest:
        want = "a key that was not used before, or the study it was used for"
        raise SubmissionError((Problem("Idempotency-Key", f"one of {known.run_id}", want),))
    return store.get(database, known.run_id)


def _started(database: Database, asked: Asked) -> Run:
    study = loads(asked.study, asked.files)
    start = from_baseline(study.problem, [picked_by_hand(study, one) for one in asked.picks])
    if asked.reuse is not None:
        start = reusing(database, study.problem, start, asked.reuse)
    return runs.start_or_resume(
        database,
        study,
        plan=plan_of(study, seed=asked.seed),
        budget=_budget(asked.budget, budget_of(study)),
        start=start,
        wish=None if asked.priority is None else Wish(asked.priority),
    )


def resume(database: Database, run_id: str, budget: BudgetAsked) -> Run:
    """
    Go on with a run.

    Parameters
    ----------
    database : Database
        Where runs are kept.
    run_id : str
        Which run.
    budget : BudgetAsked
        How long to search, for the whole run; as before where it says nothing.

    Returns
    -------
    Run
        Running, or finished where it has spent that budget already.

    Raises
    ------
    SubmissionError
        When the time cannot be read.
    """
    run = runs.go_on(database, run_id, _budget(budget, store.get(database, run_id).budget))
    wakeups_of(read_settings()).send()
    return run


def _budget(said: BudgetAsked, usual: Budget) -> Budget:
    early = usual.early and not said.to_the_end
    if said.time is None and said.designs is None:
        return Budget(usual.seconds, usual.designs, early=early)
    seconds = None if said.time is None else _seconds(said.time)
    return Budget(seconds, said.designs, early=early)


def _seconds(text: str) -> float:
    try:
        seconds = units.to_si(text, "s")
    except UnitError as error:
        problem = Problem("time", error.got, error.want, error.near)
        raise SubmissionError((problem,)) from error
    if seconds <= 0.0:
        want = "a time above zero, such as '10 min'"
        raise SubmissionError((Problem("time", repr(text), want),))
    return seconds
