"""What a run needs next, told from the database alone."""

from dataclasses import dataclass
from enum import StrEnum

from tradeopt.search.epoch import Epoch
from tradeopt.search.plan import SearchPlan
from tradeopt.services.budgets import SETTLED, is_over, is_spent
from tradeopt.store import results
from tradeopt.store.database import Database
from tradeopt.store.runs import Run, RunState


class Step(StrEnum):
    """What a run needs next."""

    SLICES = "slices"
    CLOSE = "close"
    END = "end"


@dataclass(frozen=True)
class Work:
    """What a run needs next.

    Attributes
    ----------
    step : Step
        Slices to be done, an epoch to be closed, or the end.
    epoch : int
        The epoch that is open.
    islands : tuple of int
        Its slices that are not done.
    state : RunState
        How the run stands; at the end, how it should stand.
    note : str
        Why it failed; empty otherwise.
    """

    step: Step
    epoch: int
    islands: tuple[int, ...]
    state: RunState
    note: str = ""


def work_of(database: Database, run: Run, last: Epoch) -> Work:
    """
    Say what a run needs next.

    Parameters
    ----------
    database : Database
        Where runs are kept.
    run : Run
        Which run.
    last : Epoch
        Where it stands after the epoch that was closed last.

    Returns
    -------
    Work
        Told from the database alone, so that it does not matter who worked on the run before.
    """
    if run.state is not RunState.RUNNING:
        return Work(Step.END, last.number + 1, (), run.state)
    if is_over(run, last, run.budget):
        return _last_work(database, run, last)
    return _open_work(database, run, last.number + 1)


def claimable(work: Work, plan: SearchPlan) -> tuple[int, ...]:
    """Return the places of what can be claimed now: islands, or what stands in their place."""
    match work.step:
        case Step.SLICES:
            return work.islands
        case Step.CLOSE:
            return (plan.islands,)
        case Step.END:
            return (plan.islands + 1,)


def _last_work(database: Database, run: Run, last: Epoch) -> Work:
    """Certify the front, part by part, before the run ends."""
    parts = range(run.plan.islands if len(last.front) else 0)
    certified = results.certified_parts(database, run, last.number)
    left = tuple(certifying(part) for part in parts if part not in certified)
    if left:
        return Work(Step.SLICES, last.number, left, run.state)
    early = not is_spent(run, last, run.budget)
    note = SETTLED if early else ""
    return Work(Step.END, last.number + 1, (), RunState.FINISHED, note)


def certifying(part: int) -> int:
    """Return what stands in the place of an island for certifying a part of a front, and back."""
    return -1 - part


def _open_work(database: Database, run: Run, number: int) -> Work:
    done = results.islands_done(database, run, number)
    left = tuple(island for island in range(run.plan.islands) if island not in done)
    if left:
        return Work(Step.SLICES, number, left, run.state)
    faults = [
        fault for place, fault in results.faults(database, run).items() if place[0] == number
    ]
    if len(faults) == run.plan.islands:
        return Work(Step.END, number, (), RunState.FAILED, faults[0])
    return Work(Step.CLOSE, number, (), run.state)
