"""Runs: start, work on, stop, look at. A step done twice changes nothing the second time."""

import time
from collections.abc import Callable

import numpy as np

from tradeopt import errors
from tradeopt.errors import StudyError
from tradeopt.kernel.machine import processor
from tradeopt.search import epoch as epochs
from tradeopt.search.designs import Designs
from tradeopt.search.epoch import Epoch
from tradeopt.search.plan import SearchPlan
from tradeopt.search.slices import nothing_found
from tradeopt.search.stationary import certify, looked_at, no_certificate
from tradeopt.services import steps
from tradeopt.services.budgets import BudgetError, is_over
from tradeopt.services.starts import Start, budget_of, from_baseline, plan_of, question_of
from tradeopt.services.studies import StudyLike
from tradeopt.store import results, trials
from tradeopt.store import runs as store
from tradeopt.store.claims import Seal, unsealed
from tradeopt.store.database import Database
from tradeopt.store.runs import Budget, Run, RunState
from tradeopt.store.turns import AS_BEFORE, Wish
from tradeopt.store.workers import now
from tradeopt.study.problem import Problem


def start_or_resume(
    database: Database,
    study: StudyLike,
    *,
    plan: SearchPlan | None = None,
    budget: Budget | None = None,
    start: Start | None = None,
    wish: Wish = AS_BEFORE,
) -> Run:
    """
    Start the run that asks this question, or go on with it.

    Parameters
    ----------
    database : Database
        Where runs are kept.
    study : StudyLike
        The study.
    plan : SearchPlan, optional
        How to search; as the study wants it unless given.
    budget : Budget, optional
        What the run may take over all its sessions; what the study says unless given.
    start : Start, optional
        What it tries first; the baseline unless given.
    wish : Wish
        Its share of the workers.

    Returns
    -------
    Run
        Running, or finished where it has spent that budget already.

    Raises
    ------
    BudgetError
        If neither time nor designs are bounded.
    StudyError
        If there is nothing to search.
    """
    wanted = budget or budget_of(study)
    run_id = prepare(database, study, wanted, plan=plan, start=start)
    return go_on(database, run_id, wanted, wish)


def prepare(
    database: Database,
    study: StudyLike,
    budget: Budget,
    *,
    plan: SearchPlan | None = None,
    start: Start | None = None,
) -> str:
    """Return the run that asks this question, made where there is none; see `start_or_resume`."""
    if not study.problem.variables:
        raise StudyError((errors.Problem("variables", "none", "at least one value to search"),))
    if budget.seconds is None and budget.designs is None:
        raise BudgetError("search: got neither a time nor a number of designs, want one of them")
    first = start or from_baseline(study.problem)
    question = question_of(study, plan or plan_of(study), first.seeds)
    run_id = store.find_or_create(database, question, now(), first.note)
    trials.prepare(database, store.get(database, run_id))
    return run_id


def go_on(database: Database, run_id: str, budget: Budget, wish: Wish = AS_BEFORE) -> Run:
    """Let a run go on within a budget over all its sessions; it ends where that is spent."""
    run = store.get(database, run_id)
    last = results.last_epoch(database, run)
    if is_over(run, last, budget):
        store.end(database, run_id, RunState.FINISHED, run.note)
    else:
        if run.state is not RunState.RUNNING:
            results.forget_faults(database, run, last.number + 1)
        store.begin(database, run_id, budget, wish)
    return store.get(database, run_id)


def do_slice(
    database: Database,
    run: Run,
    place: tuple[int, int],
    problem: Problem,
    *,
    worker: str = "",
    seal: Callable[[], Seal] = lambda: unsealed,
) -> None:
    """
    Do one slice of a run and write down what it found; a slice that is there is not done again.

    Parameters
    ----------
    database : Database
        Where runs are kept.
    run : Run
        Which run.
    place : tuple of int
        Epoch and island; the epoch before it must be closed. An island less than 0: which part of
        the front after that epoch is to be certified, see `certifying`.
    problem : Problem
        Scores its designs.
    worker : str
        Who does it.
    seal : callable
        Asked when it is done for what makes it count.
    """
    epoch, island = place
    if island < 0:
        _certify(database, run, (epoch, steps.certifying(island)), problem, seal)
        return
    if island in results.islands_done(database, run, epoch):
        return
    began = time.monotonic()
    before = results.epoch(database, run, epoch - 1)
    found = epochs.run_slice(problem, run.plan, epochs.task_of(run.plan, before, island))
    seconds = time.monotonic() - began
    results.save_slice(
        database,
        run,
        place,
        found,
        seconds=seconds,
        worker=worker,
        processor=processor(),
        seal=seal(),
    )


def _certify(
    database: Database,
    run: Run,
    place: tuple[int, int],
    problem: Problem,
    seal: Callable[[], Seal],
) -> None:
    epoch, part = place
    if part not in results.certified_parts(database, run, epoch):
        last = results.epoch(database, run, epoch)
        most = looked_at(run, last.tried)
        found = certify(problem, last.front, (part, run.plan.islands), most)
        results.save_certificate(database, run, place, found, seal=seal())


def set_aside(
    database: Database,
    run_id: str,
    epoch: int,
    island: int,
    fault: str,
    *,
    seal: Seal = unsealed,
) -> None:
    """Give up on a slice that ends its worker again and again; the run goes on without it."""
    run = store.get(database, run_id)
    if island < 0:
        place = (epoch, steps.certifying(island))
        results.save_certificate(database, run, place, no_certificate(run), fault=fault, seal=seal)
        return
    results.save_slice(
        database,
        run,
        (epoch, island),
        nothing_found(run),
        seconds=0.0,
        fault=fault,
        seal=seal,
    )


def close_epoch(
    database: Database, run_id: str, number: int, *, seal: Callable[[], Seal] = lambda: unsealed
) -> Epoch:
    """
    Put the slices of an epoch together, unless that was done.

    Parameters
    ----------
    database : Database
        Where runs are kept.
    run_id : str
        Which run.
    number : int
        Which epoch; all its slices must be there.
    seal : callable
        Asked when it is done for what makes it count.

    Returns
    -------
    Epoch
        Where the run stands after it.
    """
    run = store.get(database, run_id)
    last = results.last_epoch(database, run)
    if last.number >= number:
        return last
    found = results.slices(database, run, number)
    after, promotion = epochs.merge(run, run.plan, last, found)
    new = trials.promoted(run, promotion.designs, promotion.origins)
    if results.save_epoch(database, run, after, new, seal=seal()):
        trials.add(database, run, new)
    return after


def end(
    database: Database, run_id: str, state: RunState, note: str = "", *, seal: Seal = unsealed
) -> None:
    """Say how a run stands now that nobody works on it, and why it failed if it did."""
    store.end(database, run_id, state, note, seal=seal)


def promote(database: Database, run_id: str) -> int:
    """
    Make trials of the whole front of a run, for other tools to look at.

    Parameters
    ----------
    database : Database
        Where runs are kept; the trials go into the same one, under the name of the run.
    run_id : str
        Which run.

    Returns
    -------
    int
        How many were added; those that are there stay as they are.
    """
    run = store.get(database, run_id)
    last = results.last_epoch(database, run)
    origins = ["front"] * len(last.front)
    return trials.add(database, run, trials.promoted(run, last.front, origins))


def stop(database: Database, run_id: str) -> None:
    """Stop a run, wherever it is worked on; what its slices found so far is kept."""
    store.get(database, run_id)
    store.stop(database, run_id)
    promote(database, run_id)


def front(database: Database, run_id: str) -> Designs:
    """Read the front of a run, after its last closed epoch."""
    return results.last_epoch(database, store.get(database, run_id)).front


def nearest(database: Database, run_id: str, most: int) -> Designs:
    """Read the designs that come nearest to keeping every limit, the best first."""
    population = results.last_epoch(database, store.get(database, run_id)).population
    return population.take(np.arange(min(most, len(population))))


def design(database: Database, run_id: str, number: int) -> Designs:
    """Read one design of a run, as a table of one row."""
    return results.design(database, store.get(database, run_id), number)
