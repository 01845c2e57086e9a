"""How a run stands, in numbers for a reader."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from tradeopt.search.epoch import Epoch
from tradeopt.search.stationary import Certificate
from tradeopt.services.sight import waits_for
from tradeopt.store import results
from tradeopt.store import runs as store
from tradeopt.store.database import Database
from tradeopt.store.runs import Run, RunState


@dataclass(frozen=True)
class Progress:
    """How a run stands after its last closed epoch.

    Attributes
    ----------
    run_id : str
        Which run.
    state : RunState
        How it stands.
    note : str
        What went wrong on the way; empty where nothing did.
    epochs : int
        Epochs closed; with the plan, they say how to repeat the result.
    tried, feasible : int
        Designs tried, and how many of them meet every limit.
    front_size : int
        Designs on the front.
    hypervolume : float
        What the front dominates.
    growth : float or None
        The same over that of the first epoch with a front; None before it.
    seconds_spent : float
        Time spent searching, in the whole run [s].
    seconds_left, designs_left : float or None, int or None
        What the budget leaves; None where it does not bound them.
    certified, stationary : int
        Designs of the front that were held against the first-order conditions, none before the
        run has ended; how many of them meet these.
    start_note : str
        Which designs of other searches the run began with.
    missed : mapping of str to int
        How many designs miss each limit, the most missed first.
    waiting : str
        What a run that is running waits for, in words; empty where it is worked on.
    """

    run_id: str
    state: RunState
    note: str
    epochs: int
    tried: int
    feasible: int
    front_size: int
    hypervolume: float
    growth: float | None
    seconds_spent: float
    seconds_left: float | None
    designs_left: int | None
    certified: int
    stationary: int
    start_note: str
    missed: Mapping[str, int]
    waiting: str = ""

    @property
    def feasible_share(self) -> float:
        """Share of the designs tried that meet every limit; 0 before the first one."""
        return self.feasible / self.tried if self.tried else 0.0

    @property
    def tightest_limit(self) -> str | None:
        """The limit that most designs miss; None where every design meets every limit."""
        return next((name for name, count in self.missed.items() if count), None)


def status(database: Database, run_id: str) -> Progress:
    """
    Tell how a run stands.

    Parameters
    ----------
    database : Database
        Where runs are kept.
    run_id : str
        Which run.

    Returns
    -------
    Progress
        After its last closed epoch.
    """
    run = store.get(database, run_id)
    last = results.last_epoch(database, run)
    certificate = results.certificate(database, run, last.number)
    found = _progress(run, last, _notes(database, run), certificate)
    return replace(found, waiting=waits_for(database, run))


def _notes(database: Database, run: Run) -> list[str]:
    """Tell what there is to know of how its slices were done."""
    faults, processors = results.faults(database, run), results.processors(database, run)
    found = [
        f"slice {epoch}/{island} was set aside: {why}" for (epoch, island), why in faults.items()
    ]
    if len(processors) > 1:
        kinds = f"{len(processors)} kinds of processor ({', '.join(processors)})"
        found.append(f"worked out on {kinds}: a repeat may differ in the last digits")
    return found


def _progress(run: Run, last: Epoch, notes: Sequence[str], certificate: Certificate) -> Progress:
    order = np.argsort(-last.missed, kind="stable")
    budget = run.budget
    return Progress(
        run_id=run.id,
        state=run.state,
        note="\n".join(filter(None, [run.note, *notes])),
        epochs=last.number + 1,
        tried=last.tried,
        feasible=last.feasible,
        front_size=len(last.front),
        hypervolume=last.hypervolume,
        growth=last.hypervolume / last.first_hypervolume if last.first_hypervolume else None,
        seconds_spent=run.seconds_spent,
        seconds_left=_left(budget.seconds, run.seconds_spent),
        designs_left=None if budget.designs is None else max(0, budget.designs - last.tried),
        certified=len(certificate.numbers),
        stationary=int(certificate.stationary.sum()),
        start_note=run.start_note,
        missed={run.limits[place].name: int(last.missed[place]) for place in order},
    )


def _left(budget: float | None, spent: float) -> float | None:
    return None if budget is None else max(0.0, budget - spent)
