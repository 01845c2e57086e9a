"""Runs and designs in words and plain numbers, ready for JSON."""

from dataclasses import asdict

import numpy as np

from tradeopt.search.designs import Designs
from tradeopt.services.progress import Progress, status
from tradeopt.store import results
from tradeopt.store import runs as store
from tradeopt.store.database import Database
from tradeopt.store.runs import Run

View = dict[str, object]
"""What JSON can hold."""


def run_view(database: Database, run_id: str) -> View:
    """Tell how a run stands; see `Progress` for the meaning of each field."""
    return _told(status(database, run_id))


def run_views(database: Database) -> list[View]:
    """Tell how every run stands, the oldest first."""
    return [run_view(database, run.id) for run in store.every(database)]


def _told(progress: Progress) -> View:
    return asdict(progress) | {
        "feasible_share": progress.feasible_share,
        "tightest_limit": progress.tightest_limit,
    }


def front_view(database: Database, run_id: str) -> list[View]:
    """Tell the front of a run after its last closed epoch; see `described`."""
    run = store.get(database, run_id)
    return described(run, results.last_epoch(database, run).front)


def design_view(database: Database, run_id: str, number: int) -> View:
    """Tell one design of a run; see `described`."""
    run = store.get(database, run_id)
    return described(run, results.design(database, run, number))[0]


def described(run: Run, designs: Designs) -> list[View]:
    """
    Say designs in words and plain numbers, ready for JSON.

    Parameters
    ----------
    run : Run
        Which run they are of.
    designs : Designs
        The designs.

    Returns
    -------
    list of dict
        One a design: its number, whether it keeps every limit, its variables as the study file
        would say them, its objectives (None where one has no value) and its violations; SI.
    """
    return [
        {
            "number": int(designs.numbers[row]),
            "feasible": bool(designs.feasible[row]),
            "variables": {
                variable.path: variable.label(float(value))
                for variable, value in zip(run.variables, designs.values[row], strict=True)
            },
            "objectives": {
                objective.name: float(value) if np.isfinite(value) else None
                for objective, value in zip(run.objectives, designs.objectives[row], strict=True)
            },
            "violations": {
                limit.name: float(value)
                for limit, value in zip(run.limits, designs.violations[row], strict=True)
            },
        }
        for row in range(len(designs))
    ]
