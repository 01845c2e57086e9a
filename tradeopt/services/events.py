"""What happens to a run, as events that are numbered by the database itself."""

from collections.abc import Iterator
from dataclasses import asdict, dataclass

from tradeopt.report.section import Plain
from tradeopt.services.views import run_view
from tradeopt.store import listing
from tradeopt.store.database import Database
from tradeopt.store.runs import RunState

EPOCH, STATUS, END = "epoch", "status", "end"


@dataclass(frozen=True)
class Event:
    """Something that happened to a run.

    Attributes
    ----------
    kind : str
        `epoch` (one was closed), `status` (it stands otherwise), or `end` (nobody works on it).
    data : dict
        What there is to tell.
    number : int or None
        Epochs closed by then; None for what is not told again to those who come back.
    """

    kind: str
    data: Plain
    number: int | None = None


class Watch:
    """One watcher of a run, who is told each thing once.

    Parameters
    ----------
    run_id : str
        Which run.
    after : int
        Number of the last event that the watcher knows; 0 for none.
    """

    def __init__(self, run_id: str, after: int = 0) -> None:
        self.run_id = run_id
        self._after = after
        self._status: Plain | None = None
        self.ended = False

    def news(self, database: Database) -> list[Event]:
        """Return what has happened since the last call; after an `end` nothing will."""
        return list(self._news(database))

    def _news(self, database: Database) -> Iterator[Event]:
        # read first, so that no epoch that was closed meanwhile is left out before the end
        status = run_view(database, self.run_id)
        for one in listing.growth(database, self.run_id, self._after - 1):
            self._after = one.epoch + 1
            yield Event(EPOCH, asdict(one), self._after)
        if status != self._status:
            self._status = status
            yield Event(STATUS, status)
        if status["state"] != RunState.RUNNING:
            self.ended = True
            yield Event(END, {"state": status["state"], "note": status["note"]}, self._after)
