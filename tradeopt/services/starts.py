"""What a run tries first: the baseline, designs picked by hand, and those of other searches."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from importlib.metadata import version

import numpy as np
import optuna
from optuna.trial import TrialState

from tradeopt.arrays import Array
from tradeopt.errors import NotFoundError, StudyError, near
from tradeopt.errors import Problem as StudyProblem
from tradeopt.search import designs as tables
from tradeopt.search.designs import Outline
from tradeopt.search.plan import SIZES, SearchPlan
from tradeopt.search.reuse import Carried, Said, carried, said
from tradeopt.search.samplers import quiet
from tradeopt.search.slices import Seeds
from tradeopt.search.space import by_size
from tradeopt.services.evaluate import changed
from tradeopt.services.studies import StudyLike
from tradeopt.store import results
from tradeopt.store import runs as store
from tradeopt.store.database import Database
from tradeopt.store.runs import Budget, Question
from tradeopt.store.trials import opened_storage
from tradeopt.study.problem import Problem
from tradeopt.study.study import Study

WHEN_SETTLED = "settled"
"""Word of a study that lets its runs stop early."""


@dataclass(frozen=True)
class Start:
    """What a run tries first, and where that comes from.

    Attributes
    ----------
    seeds : Seeds
        The designs; the baseline is the first one.
    note : str
        What was brought in from other searches, and what of it had to be changed.
    """

    seeds: Seeds
    note: str = ""

    def then(self, values: Array, origin: str, note: str = "") -> "Start":
        """Return the same with more designs behind."""
        more = Seeds(
            np.concatenate([self.seeds.values, values]),
            (*self.seeds.origins, *[origin] * len(values)),
        )
        return Start(more, "\n".join(filter(None, [self.note, note])))


def plan_of(study: StudyLike, *, seed: int | None = None) -> SearchPlan:
    """Plan a search as the study wants it, with another seed if one is given."""
    wish = study.search
    population, evaluations = SIZES[wish.method]
    return SearchPlan(
        seed=wish.seed if seed is None else seed,
        method=wish.method,
        sampler=wish.sampler,
        islands=wish.islands,
        population=population,
        evaluations=evaluations,
    )


def budget_of(study: StudyLike) -> Budget:
    """Return what the study lets a run take."""
    wish = study.search
    return Budget(wish.time, wish.designs, early=wish.stop == WHEN_SETTLED)


def question_of(study: StudyLike, plan: SearchPlan, start: Seeds) -> Question:
    """Put together what a run is asked, which tells it from every other one."""
    problem = study.problem
    return Question(
        study=study.name,
        text=study.text,
        files=study.files,
        digest=study.digest,
        plan=plan,
        version=version("tradeopt"),
        variables=problem.variables,
        objectives=problem.objectives,
        limits=problem.limits,
        start=start,
    )


def from_baseline(problem: Problem, picked: Sequence[Array] = ()) -> Start:
    """
    Start with the baseline and designs picked by hand, which are always tried and kept.

    Parameters
    ----------
    problem : Problem
        The study.
    picked : sequence of Array
        Shape (variable,) each.

    Returns
    -------
    Start
        The baseline first.
    """
    start = Start(Seeds(problem.baseline[None].copy(), ("baseline",)))
    return start.then(np.array(picked).reshape(-1, len(problem.variables)), "picked")


def picked_by_hand(study: Study, changes: Mapping[str, str]) -> Array:
    """
    Return a design of a study that somebody wants to be tried.

    Parameters
    ----------
    study : Study
        The study.
    changes : mapping of str to str
        Values of variables that differ from the baseline, as the study file would say them.

    Returns
    -------
    Array
        Shape (variable,).

    Raises
    ------
    StudyError
        With every value that cannot be used.
    """
    known = [one.path for one in study.problem.variables]
    strange = [path for path in changes if path not in known]
    if strange:
        raise StudyError(
            tuple(
                StudyProblem(
                    path,
                    "a path that no variable has",
                    "the path of a variable",
                    near(path, known),
                )
                for path in strange
            )
        )
    return changed(study, changes)[1]


def reusing(database: Database, problem: Problem, start: Start, run_id: str) -> Start:
    """
    Bring in the best designs of another run, to be scored again by this study.

    Parameters
    ----------
    database : Database
        Where that run is kept.
    problem : Problem
        The study, which may have other variables, objectives, limits, or tables of parts.
    start : Start
        What else is tried first.
    run_id : str
        The other run.

    Returns
    -------
    Start
        With its front, the designs that it would have bred from, and those promoted last.
    """
    run = store.get(database, run_id)
    last = results.last_epoch(database, run)
    everyone = tables.join([last.front, last.population, last.promoted])
    _, once = np.unique(everyone.numbers, return_index=True)
    brought = carried(problem, said(run, everyone.take(np.sort(once))))
    return start.then(brought.values, "reused", _note(f"run {run_id}", brought))


def from_elsewhere(problem: Problem, start: Start, storage_url: str, name: str) -> Start:
    """
    Bring in the trials of a study of the sampler library that was made elsewhere.

    Parameters
    ----------
    problem : Problem
        The study.
    start : Start
        What else is tried first.
    storage_url : str
        Where that study is kept.
    name : str
        Its name; its parameters are named by the paths of the variables.

    Returns
    -------
    Start
        With the designs of its finished trials.

    Raises
    ------
    NotFoundError
        When there is no such study, or none of its parameters is a variable of this one.
    """
    try:
        with quiet(), opened_storage(storage_url) as storage:
            other = optuna.load_study(study_name=name, storage=storage)
            finished = other.get_trials(deepcopy=False, states=(TrialState.COMPLETE,))
    except KeyError as error:
        raise NotFoundError(f"study: got {name!r}, want the name of one that is there") from error
    designs = [_in_words(problem, trial.params) for trial in finished]
    paths = {one.path for one in problem.variables}
    if designs and not any(paths & set(design) for design in designs):
        raise NotFoundError(f"study {name}: none of its parameters is a variable of this study")
    brought = carried(problem, designs)
    return start.then(brought.values, "elsewhere", _note(f"study {name}", brought))


def _in_words(outline: Outline, params: Said) -> Said:
    """Say the rank of a choice that is searched by its size as a word."""
    design = dict(params)
    for one in outline.variables:
        rank = design.get(one.path)
        if one.sizes and isinstance(rank, int) and 0 <= rank < len(one.choices):
            design[one.path] = one.choices[by_size(one)[rank]]
    return design


def _note(source: str, brought: Carried) -> str:
    count = len(brought.values)
    designs = "design" if count == 1 else "designs"
    return "; ".join([f"{count} {designs} of {source} scored again", *brought.notes])
