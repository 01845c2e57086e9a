"""Who works on what, and why a run does not come along: for people to look at."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from tradeopt.settings import read_settings
from tradeopt.store import claims, workers
from tradeopt.store.claims import Held
from tradeopt.store.database import Database
from tradeopt.store.runs import Run, RunState
from tradeopt.store.workers import WorkerRow


@dataclass(frozen=True)
class SeenWorker:
    """A worker as it looks from here.

    Attributes
    ----------
    name : str
        Its name, with the machine in front.
    process : int
        Its number there.
    silent : float
        Seconds since it was last heard of, by the clocks of the two machines.
    in_hand : str
        The step that it does; empty where it has none.
    step_age : float or None
        Seconds since it took that step.
    lives : bool
        Whether it was heard of within a lease.
    """

    name: str
    process: int
    silent: float
    in_hand: str
    step_age: float | None
    lives: bool


def seen_workers(database: Database) -> list[SeenWorker]:
    """Read which workers there are, the longest there first."""
    lease = read_settings().lease
    steps = {one.worker: one for one in claims.held(database)}
    return [_seen(row, steps.get(row.name), lease) for row in workers.every(database)]


def _seen(row: WorkerRow, step: Held | None, lease: float) -> SeenWorker:
    silent = _age(row.seen)
    return SeenWorker(
        name=row.name,
        process=row.process,
        silent=silent,
        in_hand=_step_words(step) if step else "",
        step_age=_age(step.taken) if step else None,
        lives=silent <= lease,
    )


def _age(moment: str) -> float:
    return max(0.0, (datetime.now(UTC) - datetime.fromisoformat(moment)).total_seconds())


def _step_words(step: Held) -> str:
    return f"{step.at.run_id} {step.at.epoch}/{step.at.place}"


def waits_for(database: Database, run: Run) -> str:
    """
    Say what a run waits for.

    Parameters
    ----------
    database : Database
        Where runs are kept.
    run : Run
        Which run.

    Returns
    -------
    str
        In words; empty where it is worked on or is not running.
    """
    if run.state is not RunState.RUNNING:
        return ""
    there = seen_workers(database)
    alive = {one.name for one in there if one.lives}
    if not alive:
        return _nobody(there)
    busy = {one.worker: one.at.run_id for one in claims.held(database) if one.worker in alive}
    if run.id in busy.values() or alive - set(busy):
        return ""
    return "waiting its turn: every worker is busy with other runs"


def _nobody(there: Sequence[SeenWorker]) -> str:
    if not there:
        return "waiting for a worker: none is there"
    silent = min(one.silent for one in there)
    return f"waiting for a worker: none has been seen for {silent:.0f} s"
