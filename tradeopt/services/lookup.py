"""Finding runs by name, and what they hold."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

from tradeopt.arrays import Array
from tradeopt.errors import NotFoundError
from tradeopt.report.curves import plain_curves
from tradeopt.report.front import FrontView
from tradeopt.report.progress import residual_words
from tradeopt.report.relaxing import relaxing_words
from tradeopt.report.section import Plain, Sheet
from tradeopt.report.sheet import design_sheet, evaluate_design
from tradeopt.report.view import View
from tradeopt.search.designs import Designs, score
from tradeopt.search.relaxing import way_out
from tradeopt.search.stationary import Certificate
from tradeopt.services import runs
from tradeopt.services.progress import Progress, status
from tradeopt.store import results
from tradeopt.store import runs as store
from tradeopt.store.database import Database
from tradeopt.store.runs import Run
from tradeopt.study.read import loads
from tradeopt.study.study import Study

LAST = "last"
"""Stands for the run that was started last."""

NEAREST = 5
"""Designs that are shown where none meets the limits."""

BASELINE = 0
"""Number of the baseline in every run, and its row where it stands alone."""

_START = "start one with: tradeopt run STUDY"


@dataclass(frozen=True)
class FoundRun:
    """A run with the study that it searches.

    Attributes
    ----------
    database : Database
        Where it is kept.
    run : Run
        The run.
    """

    database: Database
    run: Run

    @cached_property
    def study(self) -> Study:
        """The study, read again from what the run keeps."""
        return loads(self.run.text, self.run.files, file=self.run.study)

    @property
    def standing(self) -> Progress:
        """How it stands."""
        return status(self.database, self.run.id)

    def front(self) -> FrontView:
        """Return the designs that meet every limit and that no other one beats."""
        return self.view(runs.front(self.database, self.run.id))

    def nearest(self) -> FrontView:
        """Return the designs that come nearest to the limits, the best first."""
        return self.view(runs.nearest(self.database, self.run.id, NEAREST))

    def certificate(self) -> Certificate:
        """Return the first-order conditions of its front; without rows before it has ended."""
        return results.certificate(self.database, self.run, self.standing.epochs - 1)

    def residuals(self) -> dict[int, float]:
        """Return what is left of the gradients of each design of its front that is certified."""
        found = self.certificate()
        return dict(zip(found.numbers.tolist(), found.residual.tolist(), strict=True))

    def way_out(self) -> str:
        """Say which limits to relax where no design meets them all; empty where none has a value.

        It looks at the designs that come nearest.
        """
        population = results.last_epoch(self.database, self.run).population
        way = way_out(self.run, population)
        quantities = self.study.problem.chain.quantities
        return relaxing_words(self.run, quantities, way) if way else ""

    def tried(self) -> FrontView:
        """Return all designs that its front was picked from: those of closed epochs."""
        designs = results.designs(self.database, self.run)
        end = self.run.plan.first_number(self.standing.epochs, island=0)
        return self.view(designs.take(designs.numbers < end))

    def baseline(self) -> FrontView:
        """Return the design that the study file itself describes."""
        problem = self.study.problem
        return self.view(score(problem, problem.baseline[None], BASELINE))

    def view(self, designs: Designs) -> FrontView:
        """Tell what the numbers of designs mean."""
        return FrontView(self.run, self.study.problem.chain.quantities, designs)

    def design(self, number: int) -> Array:
        """Return one design, shape (variable,)."""
        values: Array = runs.design(self.database, self.run.id, number).values[0]
        return values

    def curves(self, number: int) -> Plain:
        """Return the curves of one design: torque over speed, ratio, temperatures."""
        view = View(evaluate_design(self.study, self.design(number)), 0)
        return plain_curves(view, self.study.problem.limits)

    def sheet(self, number: int) -> Sheet:
        """Return all there is to say of one design."""
        design = self.design(number)
        sheet = design_sheet(self.study, evaluate_design(self.study, design), design[None])
        residual = self.residuals().get(number)
        told = () if residual is None else (residual_words(residual),)
        return replace(sheet, notes=(*told, *sheet.notes))


@contextmanager
def opened(url: str, *, there: bool = True) -> Iterator[Database]:
    """
    Open a database and close it again.

    Parameters
    ----------
    url : str
        Where runs are kept.
    there : bool
        Refuse to make one where none is.

    Yields
    ------
    Database
        Open.

    Raises
    ------
    NotFoundError
        When it must be there and is not.
    """
    kind, _, path = url.partition(":///")
    if there and kind.startswith("sqlite") and not Path(path.partition("?")[0]).exists():
        raise NotFoundError(f"run: got no database at {path}, want one with runs; {_START}")
    database = Database(url)
    try:
        yield database
    finally:
        database.close()


def find(database: Database, name: str) -> FoundRun:
    """
    Find a run.

    Parameters
    ----------
    database : Database
        Where runs are kept.
    name : str
        Its name, or `last`.

    Returns
    -------
    FoundRun
        The run.

    Raises
    ------
    NotFoundError
        When there is none.
    """
    if name != LAST:
        return FoundRun(database, store.get(database, name))
    known = store.every(database)
    if not known:
        raise NotFoundError(f"run: got {LAST!r}, but this database has no runs; {_START}")
    return FoundRun(database, known[-1])


def every(database: Database) -> list[tuple[Run, Progress]]:
    """Return all runs and how they stand, the oldest first."""
    return [(run, status(database, run.id)) for run in store.every(database)]
