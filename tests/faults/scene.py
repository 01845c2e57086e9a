"""A small run on real workers, and a count of what it lost or did twice."""

import os
import signal
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import optuna

from tests.faults.pace import BRISK
from tests.faults.servers import HERE, wait_until
from tests.services.toy import ToyStudy
from tests.services.workers import finish
from tradeopt.search.designs import Designs
from tradeopt.search.plan import SearchPlan
from tradeopt.search.samplers import quiet
from tradeopt.services import runs
from tradeopt.services.keeper import Rhythm
from tradeopt.store import claims, results, workers
from tradeopt.store import runs as store
from tradeopt.store.database import Database
from tradeopt.store.runs import Budget, RunState
from tradeopt.store.trials import opened_storage

ROOT = Path(__file__).parents[2]

PLAN = SearchPlan(seed=7, method="trials", population=8, islands=4, evaluations=64)
"""Epochs of four slices of eight batches."""

EPOCHS = 3

PAUSE = 0.05
"""Seconds that a batch takes: a slice has eight."""


@dataclass(frozen=True)
class Tally:
    """What became of the designs of a run: all counts should be 0."""

    lost: int
    doubled: int
    differing: int


CALM = Tally(lost=0, doubled=0, differing=0)


def start(
    database: Database, *, epochs: int = EPOCHS, pause: float = PAUSE, name: str = "toy"
) -> str:
    study = ToyStudy(f"pause {pause}", name=name)
    budget = Budget(None, epochs * PLAN.epoch_size, early=False)
    return runs.start_or_resume(database, study, plan=PLAN, budget=budget).id


@cache
def calm(epochs: int) -> Designs:
    """What the same run finds in one process that nobody disturbs."""
    with (
        TemporaryDirectory() as folder,
        closing(Database(f"sqlite:///{folder}/calm.db")) as database,
    ):
        run_id = start(database, epochs=epochs, pause=0.0)
        finish(database, run_id)
        return results.designs(database, store.get(database, run_id))


def tally(database: Database, run_id: str, *, epochs: int = EPOCHS) -> Tally:
    """Count designs that are missing, that stand twice, and that are not those of a calm run."""
    found = results.designs(database, store.get(database, run_id))
    wanted = calm(epochs)
    count = Counter(found.numbers.tolist())
    with quiet(), opened_storage(database.url) as storage:
        trials = optuna.load_study(study_name=run_id, storage=storage).trials
    told = Counter(trial.user_attrs["design"] for trial in trials)
    same = found.values.tobytes() == wanted.values.tobytes()
    same &= found.objectives.tobytes() == wanted.objectives.tobytes()
    return Tally(
        lost=len(set(wanted.numbers.tolist()) - set(count)),
        doubled=sum(number > 1 for number in (*count.values(), *told.values())),
        differing=0 if same else len(found),
    )


def is_running(database: Database, run_id: str) -> bool:
    return store.state(database, run_id) is RunState.RUNNING


def wait_for_end(database: Database, run_id: str, seconds: float = 120.0) -> float:
    took = wait_until(lambda: not is_running(database, run_id), seconds, pause=0.1)
    run = store.get(database, run_id)
    assert run.state is RunState.FINISHED, run.note
    return took


def slices_done(database: Database, run_id: str) -> int:
    run = store.get(database, run_id)
    closed = results.last_number(database, run_id) + 1
    return closed * PLAN.islands + len(results.islands_done(database, run, closed))


def wait_for_slices(database: Database, run_id: str, more: int = 1) -> float:
    """Wait until so many more slices are done."""
    wanted = min(slices_done(database, run_id) + more, EPOCHS * PLAN.islands)
    return wait_until(lambda: slices_done(database, run_id) >= wanted)


def wait_for_work(database: Database) -> list[int]:
    """Wait until somebody has a step in hand; return the processes that do."""
    found: list[int] = []

    def look() -> bool:
        found[:] = holders(database)
        return bool(found)

    wait_until(look)
    return found


def holders(database: Database) -> list[int]:
    """Return the processes that have a step in hand."""
    at_work = {one.worker for one in claims.held(database)}
    return [row.process for row in workers.every(database) if row.name in at_work]


def environment(**more: str) -> dict[str, str]:
    single = {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1", "MKL_NUM_THREADS": "1"}
    return {**os.environ, **single, "PYTHONPATH": str(ROOT), **more}


class Crew:
    """Processes that work on runs: a group of their own that can die and be started again."""

    def __init__(self, command: list[str], environment: dict[str, str]) -> None:
        self.command = command
        self.environment = environment
        self.start()

    def start(self) -> None:
        self.process = subprocess.Popen(
            self.command,
            cwd=ROOT,
            env=self.environment,
            start_new_session=True,
            stderr=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
        )

    def stand_up(self) -> bool:
        """Start it again if it has ended, as compose would; true once it is there."""
        if self.process.poll() is not None:
            self.start()
        return True

    def kill(self) -> None:
        """Let all of them die at once."""
        send(self.process, signal.SIGKILL)
        self.process.wait()


@contextmanager
def station(database_url: str, workers: int = 2, rhythm: Rhythm = BRISK) -> Iterator[Crew]:
    """A supervisor with workers."""
    command = [sys.executable, "-m", "tests.faults.station", database_url, str(workers)]
    crew = Crew([*command, str(rhythm.lease), str(rhythm.hang)], environment())
    try:
        yield crew
    finally:
        end(crew.process)


@contextmanager
def team(database_url: str, broker_port: int) -> Iterator[Crew]:
    """Two workers of Celery; compose would start them again when they end."""
    command = [sys.executable, "-m", "celery", "--app", "tests.faults.team", "worker"]
    command += ["--concurrency", "2", "--without-gossip", "--without-mingle"]
    settings = environment(
        TRADEOPT_DATABASE_URL=database_url,
        TRADEOPT_BROKER_URL=f"redis://{HERE}:{broker_port}/0",
        TRADEOPT_LEASE=str(BRISK.lease),
        TRADEOPT_HANG=str(BRISK.hang),
    )
    crew = Crew(command, settings)
    try:
        yield crew
    finally:
        end(crew.process)


def end(process: subprocess.Popen[bytes]) -> None:
    """End a group of processes, politely at first."""
    if process.poll() is None:
        send(process, signal.SIGCONT)
        process.terminate()
        give_up = time.monotonic() + 20.0
        while process.poll() is None and time.monotonic() < give_up:
            time.sleep(0.05)
    send(process, signal.SIGKILL)
    process.wait()


def send(process: subprocess.Popen[bytes], number: signal.Signals) -> None:
    """Send a signal to a group of processes, if any of it is left."""
    try:
        os.killpg(process.pid, number)
    except ProcessLookupError:
        return
