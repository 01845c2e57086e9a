"""Designs that end or hang whoever scores them: only their slices are set aside."""

import pytest

from tests.faults import scene
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


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("deadly", "its process ended"),
        ("endless", "did not end within 6 s"),
    ],
)
def test_only_the_slice_of_such_a_design_is_set_aside(
    database: Database, text: str, fault: str
) -> None:
    """The baseline is such a one, in the first slice; what else there is goes on meanwhile."""
    study = ToyStudy(text, name="poisoned")
    budget = Budget(None, scene.PLAN.epoch_size, early=False)
    poisoned = runs.start_or_resume(database, study, plan=scene.PLAN, budget=budget).id
    sound = scene.start(database, epochs=1, name="sound")
    with scene.station(database.url):
        wait_until(lambda: store.state(database, sound) is not RunState.RUNNING, 60.0)
        wait_until(lambda: store.state(database, poisoned) is not RunState.RUNNING, 90.0)
    assert scene.tally(database, sound, epochs=1) == scene.CALM
    found = results.designs(database, store.get(database, poisoned))
    slice_size = scene.PLAN.evaluations
    assert set(found.numbers.tolist()) == set(range(slice_size, 4 * slice_size))
    note = status(database, poisoned).note
    assert "slice 0/0 was set aside" in note
    assert note.count("was set aside") == 1
    assert fault in note
