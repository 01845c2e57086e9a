"""How a run stands, in words."""

from collections.abc import Mapping
from typing import Protocol

from tradeopt.report.front import rejections
from tradeopt.report.section import Plain
from tradeopt.search.stationary import STATIONARY

_MINUTE = 60.0
_HOUR = 3600.0


class RunStanding(Protocol):
    """How a run stands, in numbers."""

    @property
    def run_id(self) -> str:
        """Which run."""

    @property
    def state(self) -> str:
        """Running, stopped, finished or failed."""

    @property
    def note(self) -> str:
        """What went wrong on the way."""

    @property
    def epochs(self) -> int:
        """Epochs closed."""

    @property
    def tried(self) -> int:
        """Designs tried."""

    @property
    def feasible(self) -> int:
        """Designs that meet every limit."""

    @property
    def front_size(self) -> int:
        """Designs on the front."""

    @property
    def hypervolume(self) -> float:
        """What the front dominates."""

    @property
    def growth(self) -> float | None:
        """The same over that of the first front."""

    @property
    def seconds_spent(self) -> float:
        """Time spent searching [s]."""

    @property
    def seconds_left(self) -> float | None:
        """What the budget leaves of it [s]."""

    @property
    def designs_left(self) -> int | None:
        """Designs that the budget leaves."""

    @property
    def certified(self) -> int:
        """Designs of the front of which gradients were taken at the end."""

    @property
    def stationary(self) -> int:
        """How many of these no small change improves, as far as gradients tell."""

    @property
    def start_note(self) -> str:
        """Which designs of other searches it began with."""

    @property
    def missed(self) -> Mapping[str, int]:
        """How many designs miss each limit, the most missed first."""

    @property
    def waiting(self) -> str:
        """What it waits for, in words."""


def progress_words(run: RunStanding) -> str:
    """Say on one line how a run comes along."""
    if run.tried == 0:
        parts = ["the first designs are under way"]
    else:
        parts = [f"{run.tried:,} designs tried", f"{_share(run)} meet every limit"]
    if run.growth is not None:
        parts.append(f"front {run.front_size}, {run.growth:.3g} times the first")
    if rejected := rejections(run.missed, max(run.tried, 1), most=1):
        parts.append(f"most miss {rejected}")
    if run.seconds_left is not None:
        parts.append(f"{time_words(run.seconds_left)} left")
    elif run.designs_left is not None:
        parts.append(f"{run.designs_left:,} designs left")
    if run.waiting:
        parts.append(run.waiting)
    return " - ".join(parts)


def share_done(run: RunStanding) -> float:
    """Return how much of its budget a run has spent, from 0 to 1."""
    if run.seconds_left is not None:
        return _part(run.seconds_spent, run.seconds_left)
    return _part(run.tried, run.designs_left or 0)


def _part(done: float, left: float) -> float:
    return done / (done + left) if done + left > 0.0 else 0.0


def summary_words(run: RunStanding) -> str:
    """Say in one sentence what a run came to."""
    if run.tried == 0:
        return f"{run.run_id}: no designs tried yet"
    if run.feasible == 0:
        stop = rejections(run.missed, run.tried)
        return (
            f"{run.run_id}: none of {run.tried:,} designs tried meets every limit; "
            f"missed most: {stop or 'none, but an objective has no value'}"
        )
    name, missed = next(iter(run.missed.items()), ("", 0))
    share = f"missed most: {name}, by {100.0 * missed / run.tried:.3g} % of them"
    return (
        f"{run.run_id}: {run.feasible:,} of {run.tried:,} designs tried meet every limit; "
        f"{share if missed else 'none misses a limit'}"
    )


def remarks(run: RunStanding) -> list[str]:
    """Say what else there is to know of a run: how it began, why it ended, what is certain."""
    found = [line for line in (*run.start_note.split("\n"), *run.note.split("\n")) if line]
    if run.certified:
        found.append(certified_words(run))
    return found


def certified_words(run: RunStanding) -> str:
    """Say how many designs of a front could still be improved a little."""
    which = f"of {run.certified} designs of the front, spread out,"
    if run.certified == run.front_size:
        which = f"of the {run.certified} designs of the front"
    left = run.certified - run.stationary
    return f"gradients tell that {which} small changes can still improve {left or 'none'}"


def residual_words(residual: float) -> str:
    """Say what is left of the gradients of a design."""
    said = "hardly improve it" if residual <= STATIONARY else "still improve it"
    return (
        f"small changes can {said}: along its gradients, the whole range of a variable would win "
        f"{residual:.2%} of the spread of the front"
    )


def plain_run(run: RunStanding) -> Plain:
    """Turn how a run stands into what JSON can hold."""
    return {
        "run": run.run_id,
        "state": str(run.state),
        "note": run.note,
        "designs": run.tried,
        "feasible": run.feasible,
        "front": run.front_size,
        "seconds": run.seconds_spent,
        "epochs": run.epochs,
        "hypervolume": run.hypervolume,
        "growth": run.growth,
        "certified": run.certified,
        "stationary": run.stationary,
        "began_with": run.start_note,
        "missed": dict(run.missed),
    }


def _share(run: RunStanding) -> str:
    return f"{100.0 * run.feasible / run.tried:.3g} %"


def time_words(seconds: float) -> str:
    """
    Say a time in the unit that fits it.

    Parameters
    ----------
    seconds : float
        Time [s].

    Returns
    -------
    str
        Such as ``45 s`` or ``2 h 05 min``.

    Examples
    --------
    >>> time_words(45.2), time_words(605.0), time_words(7500.0)
    ('45 s', '10 min 05 s', '2 h 05 min')
    """
    if seconds < _MINUTE:
        return f"{seconds:.0f} s"
    if seconds < _HOUR:
        return f"{int(seconds // _MINUTE)} min {int(seconds % _MINUTE):02d} s"
    return f"{int(seconds // _HOUR)} h {int(seconds % _HOUR // _MINUTE):02d} min"
