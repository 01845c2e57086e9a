"""What the page shows of a run, laid out for a reader."""

from collections.abc import Sequence

import numpy as np

from tradeopt.report.along_front import along_front
from tradeopt.report.design_columns import design_columns, packed
from tradeopt.report.drawn import drawn_curves
from tradeopt.report.laid_out import laid_out, laid_out_sheet
from tradeopt.report.progress import remarks
from tradeopt.report.question import question_sections
from tradeopt.report.section import Plain
from tradeopt.report.sheet import design_sheet, evaluate_design
from tradeopt.report.view import View
from tradeopt.services.handover import review
from tradeopt.services.lookup import find
from tradeopt.store.database import Database
from tradeopt.study.read import load

EXAMPLE = "levee_rounds"
"""Name of the study that a new reader begins with."""


def asked(database: Database, run_id: str) -> Plain:
    """
    Lay out what the study of a run asks.

    Parameters
    ----------
    database : Database
        Where runs are kept.
    run_id : str
        Which run.

    Returns
    -------
    dict
        The study's note, and its tables.
    """
    found = find(database, run_id)
    baseline = found.baseline().designs.objectives[0]
    return {
        "note": found.study.note or "",
        "sections": [laid_out(one) for one in question_sections(found.study, baseline)],
    }


def table(database: Database, run_id: str) -> Plain:
    """
    Lay out all designs that a run has kept.

    Parameters
    ----------
    database : Database
        Where runs are kept.
    run_id : str
        Which run.

    Returns
    -------
    dict
        Columns, see `design_columns`; packed beside them which designs meet every limit and which
        are on the front.
    """
    found = find(database, run_id)
    tried, front = found.tried(), found.front()
    on_front = np.isin(tried.designs.numbers, front.designs.numbers)
    return {
        "size": len(tried.designs),
        "feasible": packed(tried.designs.feasible.astype(float)),
        "front": packed(on_front.astype(float)),
        "columns": design_columns(tried),
    }


def sheet(database: Database, run_id: str, number: int) -> Plain:
    """
    Lay out all there is to say of one design.

    Parameters
    ----------
    database : Database
        Where runs are kept.
    run_id : str
        Which run.
    number : int
        Which design.

    Returns
    -------
    dict
        See `laid_out_sheet`, and under `curves` what `drawn_curves` gives.
    """
    found = find(database, run_id)
    design = found.design(number)
    evaluation = evaluate_design(found.study, design)
    told = laid_out_sheet(design_sheet(found.study, evaluation, design[np.newaxis]))
    return told | {"curves": drawn_curves(View(evaluation, 0), found.study.problem.limits)}


def drivers(database: Database, run_id: str) -> Plain:
    """
    Lay out what holds the front of a run back, and what changes along it.

    Parameters
    ----------
    database : Database
        Where runs are kept.
    run_id : str
        Which run.

    Returns
    -------
    dict
        Tables, remarks on how sure that is, and what to relax where no design meets every limit.
    """
    found = find(database, run_id)
    standing = found.standing
    sections = along_front(found.front(), standing.tried, dict(standing.missed))
    return {
        "sections": [laid_out(one) for one in sections],
        "remarks": remarks(standing),
        "way_out": found.way_out() if standing.tried and not standing.front_size else "",
    }


def example() -> Plain:
    """Give the example study, with the files that it names, to begin with."""
    study = load(EXAMPLE)
    return {"study": study.text, "files": dict(study.files)}


def insight(database: Database, run_id: str, picks: Sequence[int]) -> Plain:
    """
    Work out what drives the first of the picks.

    Parameters
    ----------
    database : Database
        Where runs are kept.
    run_id : str
        Which run.
    picks : sequence of int
        As for the review deck.

    Returns
    -------
    dict
        Which design, how the objectives trade there, and tables: limits with their prices, spreads
        one at a time and all at once, what would change the recommendation, worth of mechanisms.
    """
    told = review(find(database, run_id), picks)
    known = told.insights
    tables = (
        known.tight,
        known.tornado,
        known.robust,
        known.variance,
        known.flips,
        known.worth,
        known.found,
    )
    return {
        "design": told.picks[0].number,
        "role": told.picks[0].role,
        "exchange": known.exchange,
        "sections": [laid_out(one) for one in tables if one.rows],
    }
