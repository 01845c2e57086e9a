"""Designs that end or hang whoever scores them: only their slices are set aside."""

from collections.abc import Callable
from dataclasses import replace

from tests.faults import scene
from tests.faults.pace import BRISK
from tests.faults.servers import wait_until
from tests.services.stores import database
from tests.services.toy import ToyStudy
from tradeopt.services import runs
from tradeopt.services.progress import status
from tradeopt.store import results
from tradeopt.store import runs as store
from tradeopt.store.database import Database
from tradeopt.store.runs import Budget, RunState

__all__ = ["database"]

HASTY = replace(BRISK, hang=3.0)
"""A batch that hangs does so three times until it is set aside."""


def test_only_the_slices_of_such_designs_are_set_aside(database: Database) -> None:
    """The baseline is such a one, in the first slice; what else there is goes on meanwhile."""
    budget = Budget(None, scene.PLAN.epoch_size, early=False)
    faults = {"deadly": "its process ended", "endless": f"did not end within {HASTY.hang:g} s"}
    poisoned = {
        text: runs.start_or_resume(
            database, ToyStudy(text, name=text), plan=scene.PLAN, budget=budget
        ).id
        for text in faults
    }
    sound = scene.start(database, epochs=1, name="sound")
    with scene.station(database.url, rhythm=HASTY):
        for run_id in (sound, *poisoned.values()):
            wait_until(ended(database, run_id), 150.0)
    assert scene.tally(database, sound, epochs=1) == scene.CALM
    size = scene.PLAN.evaluations
    for text, run_id in poisoned.items():
        found = results.designs(database, store.get(database, run_id))
        assert set(found.numbers.tolist()) == set(range(size, 4 * size))
        note = status(database, run_id).note
        assert "slice 0/0 was set aside" in note
        assert note.count("was set aside") == 1
        assert faults[text] in note


def ended(database: Database, run_id: str) -> Callable[[], bool]:
    return lambda: store.state(database, run_id) is not RunState.RUNNING
