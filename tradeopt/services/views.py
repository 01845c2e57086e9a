"""Runs and designs in words and plain numbers, ready for JSON."""

import hashlib
import json
from dataclasses import asdict

import numpy as np

from tradeopt.report.progress import (
    plain_run,
    progress_words,
    remarks,
    share_done,
    summary_words,
)
from tradeopt.report.provenance import made_by
from tradeopt.report.section import Plain
from tradeopt.search.designs import Designs
from tradeopt.services.progress import status
from tradeopt.store import listing, results
from tradeopt.store import runs as store
from tradeopt.store.database import Database
from tradeopt.store.listing import Standing
from tradeopt.store.runs import Run, RunState

MOST_STEPS = 200
"""Most steps that tell how a front has grown."""


def run_view(database: Database, run_id: str) -> Plain:
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
    dict
        In words and numbers; see `Progress` for the meaning of most of them.
    """
    run = store.get(database, run_id)
    standing = status(database, run_id)
    numbers = plain_run(standing)
    del numbers["run"]
    return {
        "id": run.id,
        "sentence": summary_words(standing),
        "progress": progress_words(standing),
        "remarks": remarks(standing),
        "created": run.created,
        "waiting": standing.waiting,
        "feasible_share": standing.feasible_share,
        "tightest_limit": standing.tightest_limit,
        "seconds_left": standing.seconds_left,
        "designs_left": standing.designs_left,
        "share_done": share_done(standing),
        "budget": asdict(run.budget),
        **numbers,
        **provenance(run),
    }


def growth_view(database: Database, run_id: str) -> list[Plain]:
    """Tell how the front of a run has grown: at most `MOST_STEPS` epochs, the last included."""
    steps = listing.growth(database, store.get(database, run_id).id)
    shown = np.linspace(0, len(steps) - 1, min(len(steps), MOST_STEPS)).round().astype(int)
    return [asdict(steps[place]) for place in shown.tolist()]


def page_view(database: Database, most: int, after: str | None) -> tuple[list[Plain], str | None]:
    """
    Tell how runs stand, the newest first.

    Parameters
    ----------
    database : Database
        Where runs are kept.
    most : int
        How many.
    after : str, optional
        Where the last page ended.

    Returns
    -------
    tuple of list and str or None
        The runs, and where this page ends; None on the last one.
    """
    found = listing.newest(database, most + 1, after)
    ended = found[most - 1].run_id if len(found) > most else None
    return [_listed(one) for one in found[:most]], ended


def _listed(standing: Standing) -> Plain:
    return {
        "id": standing.run_id,
        "study": standing.study,
        "state": standing.state,
        "note": standing.note,
        "created": standing.created,
        "seconds": standing.seconds_spent,
        "epochs": standing.epochs,
        "designs": standing.tried,
        "feasible": standing.feasible,
        "feasible_share": standing.feasible / standing.tried if standing.tried else 0.0,
        "growth": standing.growth,
        "tightest_limit": next((name for name, count in standing.missed.items() if count), None),
    }


def tag(database: Database, run_id: str) -> str | None:
    """
    Return what tells one result of a run from every other; None as long as it may change.

    Parameters
    ----------
    database : Database
        Where runs are kept.
    run_id : str
        Which run.

    Returns
    -------
    str or None
        The same for as long as the run is not gone on with and no other software tells of it.
    """
    standing = listing.standing(database, run_id)
    if standing.state is not RunState.FINISHED:
        return None
    said = [run_id, standing.created, standing.epochs, standing.seconds_spent, made_by()]
    return hashlib.sha256(json.dumps(said).encode("ascii")).hexdigest()


def provenance(run: Run) -> Plain:
    """Say what the numbers of a run were made from."""
    return {
        "run": run.id,
        "study": run.study,
        "study_sha256": run.digest,
        "seed": run.plan.seed,
        "method": run.plan.method,
        "sampler": run.plan.sampler,
        "searched_by": run.version,
        "told_by": made_by(),
    }


def run_provenance(database: Database, run_id: str) -> Plain:
    """Say what the numbers of a run were made from; see `provenance`."""
    return provenance(store.get(database, run_id))


def design_view(database: Database, run_id: str, number: int) -> Plain:
    """Tell one design of a run; see `described`."""
    run = store.get(database, run_id)
    return described(run, results.design(database, run, number))[0]


def described(run: Run, designs: Designs) -> list[Plain]:
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
        One a design: its number, whether it meets every limit, its variables as the study file
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
