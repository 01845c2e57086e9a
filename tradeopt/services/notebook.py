"""The face for Python: load a study, evaluate designs of it, search it."""

import os
from collections.abc import Iterator, Mapping, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

import numpy as np

from tradeopt.arrays import Array
from tradeopt.errors import NotFoundError, SearchError, near
from tradeopt.report.front import FrontView, front_columns, front_section, nearest_section
from tradeopt.report.html import section_html, sheet_html
from tradeopt.report.limits import standings
from tradeopt.report.progress import summary_words
from tradeopt.report.section import Section, Sheet
from tradeopt.report.sheet import design_sheet, evaluate_design
from tradeopt.report.terminal import Look, section_text, sheet_text
from tradeopt.report.view import View
from tradeopt.services import pool, runs
from tradeopt.services.evaluate import changed
from tradeopt.services.lookup import find, opened
from tradeopt.services.progress import Progress
from tradeopt.services.starts import from_baseline, picked_by_hand, plan_of, reusing
from tradeopt.store.runs import Budget, RunState
from tradeopt.study.compiled import Evaluation
from tradeopt.study.read import load as read_study
from tradeopt.study.study import Study

if TYPE_CHECKING:
    import pandas as pd

_MINUTE = 60.0
_DATABASE = "tradeopt.db"


@dataclass(frozen=True)
class Design:
    """One design of a study, evaluated when something of it is asked for.

    ``design["range"]`` is a quantity in SI: a number, or an array over joints, gaits and phases.

    Attributes
    ----------
    study : Study
        The study.
    values : Array
        Shape (variable,): what was chosen, SI; a choice is its place in the list.
    number : int or None
        Its number in a run; None outside of one.
    """

    study: Study
    values: Array
    number: int | None = None

    @cached_property
    def evaluation(self) -> Evaluation:
        """Everything the chain says of it."""
        return evaluate_design(self.study, self.values)

    def __getitem__(self, name: str) -> float | Array:
        values = self.evaluation.values
        if name not in values:
            hint = near(name, values)
            raise NotFoundError(
                f"quantity: got {name!r}, want one that a stage gives"
                + (f" (near: {hint!r})" if hint else "")
            )
        value = values[name][0]
        return float(value) if np.ndim(value) == 0 else value

    @property
    def variables(self) -> dict[str, float | int | str]:
        """What was chosen, by path: numbers in SI, choices as words."""
        return {
            one.path: one.label(float(value))
            for one, value in zip(self.study.problem.variables, self.values, strict=True)
        }

    @property
    def margins(self) -> dict[str, float]:
        """What is left to each limit as a share of its scale, the tightest first."""
        found = standings(View(self.evaluation, 0), self.study.problem.limits)
        return {one.limit.name: -one.missed for one in found}

    @property
    def feasible(self) -> bool:
        """Whether it meets every limit."""
        return self.sheet().feasible

    def sheet(self) -> Sheet:
        """Put together all there is to say of it."""
        return design_sheet(self.study, self.evaluation, self.values[None])

    def _title(self) -> str:
        name = "" if self.number is None else f", design {self.number}"
        return f"{self.study.name}{name}"

    def __str__(self) -> str:
        return sheet_text(self.sheet(), self._title(), Look())

    def __repr__(self) -> str:
        return f"<{self._title()}: {self.sheet().verdict}>"

    def _repr_html_(self) -> str:
        return sheet_html(self.sheet(), self._title())


@dataclass(frozen=True)
class Front:
    """What a search has found: designs that meet every limit and that no other one beats.

    It has a length and can be iterated, the best of the first objective first.

    Attributes
    ----------
    study : Study
        The study.
    standing : Progress
        How the run stands: designs tried, seconds, what missed the limits.
    view : FrontView
        The front.
    nearest : FrontView
        The designs that come nearest to the limits.
    """

    study: Study
    standing: Progress
    view: FrontView
    nearest: FrontView

    def __len__(self) -> int:
        return len(self.view.designs)

    def __iter__(self) -> Iterator[Design]:
        return (self._at(row) for row in self.view.sorted_rows().tolist())

    def design(self, number: int) -> Design:
        """Return the design of this number, as in the tables."""
        rows = np.flatnonzero(self.view.designs.numbers == number)
        if not rows.size:
            raise NotFoundError(f"design: got {number}, want the number of one on the front")
        return self._at(int(rows[0]))

    def _at(self, row: int) -> Design:
        designs = self.view.designs
        return Design(self.study, designs.values[row], int(designs.numbers[row]))

    def to_pandas(self) -> "pd.DataFrame":
        """Return the front as a table, the unit in the name of each column (extra: pandas)."""
        import pandas as pd  # noqa: PLC0415 - an extra, and slow to import

        return pd.DataFrame(front_columns(self.view)).set_index("design")

    def _section(self) -> Section:
        return front_section(self.view) if len(self) else nearest_section(self.nearest)

    def __str__(self) -> str:
        return f"{summary_words(self.standing)}\n{section_text(self._section(), Look())}"

    def __repr__(self) -> str:
        return f"<{summary_words(self.standing)}>"

    def _repr_html_(self) -> str:
        return f"<p>{summary_words(self.standing)}</p>{section_html(self._section())}"


def load(source: str | Path) -> Study:
    """
    Read a study.

    Parameters
    ----------
    source : str or Path
        A study file, or the name of an example.

    Returns
    -------
    Study
        Ready to evaluate and search.

    Raises
    ------
    StudyError
        With every problem of the file.

    Examples
    --------
    >>> load("levee_rounds").name
    'levee-rounds'
    """
    return read_study(source)


def evaluate(study: Study, changes: Mapping[str, str] | None = None) -> Design:
    """
    Evaluate the study's own design, or that with some values said otherwise.

    Parameters
    ----------
    study : Study
        The study.
    changes : mapping of str to str, optional
        New values with their units, as the study file would say them, by path.

    Returns
    -------
    Design
        The design.

    Raises
    ------
    StudyError
        With every value that cannot be used.

    Examples
    --------
    >>> design = evaluate(load("levee_rounds"), {"robot.battery.parallel": "14"})
    >>> design.variables["robot.battery.parallel"]
    14
    """
    return Design(*changed(study, changes or {}))


def search(
    study: Study,
    *,
    minutes: float | None = None,
    designs: int | None = None,
    workers: int | None = None,
    seed: int | None = None,
    folder: str | Path | None = None,
    picked: Sequence[Mapping[str, str]] = (),
    reuse: str | None = None,
) -> Front:
    """
    Search a study on this machine.

    Parameters
    ----------
    study : Study
        The study.
    minutes : float, optional
        Time to search [min].
    designs : int, optional
        Designs to try, rounded up to whole epochs; with neither, the study's own budget holds.
    workers : int, optional
        Processes; one a core unless given. The result does not depend on it.
    seed : int, optional
        Start of all chance; that of the study unless given.
    folder : str or Path, optional
        Where to keep the run, so that a later call can go on with it; nowhere unless given.
    picked : sequence of mapping
        Designs to try and keep: values of variables that differ from the baseline.
    reuse : str, optional
        Name of a run in the same folder, whose designs are scored again and begun with.

    Returns
    -------
    Front
        What it found; after Ctrl-C, what it had found by then.

    Raises
    ------
    SearchError
        When the search failed.
    """
    seconds = None if minutes is None else minutes * _MINUTE
    budget = None if seconds is None and designs is None else Budget(seconds, designs)
    with ExitStack() as closing:
        home = closing.enter_context(TemporaryDirectory()) if folder is None else folder
        url = f"sqlite:///{Path(home).absolute() / _DATABASE}"
        database = closing.enter_context(opened(url, there=False))
        plan = plan_of(study, seed=seed)
        start = from_baseline(study.problem, [picked_by_hand(study, one) for one in picked])
        if reuse is not None:
            start = reusing(database, study.problem, start, find(database, reuse).run.id)
        run = runs.start_or_resume(database, study, plan=plan, budget=budget, start=start)
        cores = len(os.sched_getaffinity(0))
        standing = pool.run_local(
            url, run.id, workers=workers or cores, on_progress=lambda _progress: None
        ).progress
        if standing.state is RunState.FAILED:
            raise SearchError(f"search: {standing.note.strip()}")
        found = find(database, run.id)
        return Front(study, standing, found.front(), found.nearest())
