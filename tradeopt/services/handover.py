"""Handing a run over: review deck and report."""

from collections.abc import Sequence
from importlib.util import find_spec

import numpy as np

from tradeopt.arrays import Array
from tradeopt.errors import NotFoundError
from tradeopt.insight.picks import best_in_each, knee
from tradeopt.report.amount import amount_of
from tradeopt.report.deck.slides import deck_of
from tradeopt.report.front import FrontView
from tradeopt.report.page import report_of
from tradeopt.report.review import BASELINE, Candidate, Review, plain_review
from tradeopt.report.section import Plain
from tradeopt.report.sheet import design_sheet, evaluate_design
from tradeopt.report.view import View, spoken
from tradeopt.search import front as fronts
from tradeopt.services.insights import Subject, insights_of
from tradeopt.services.lookup import FoundRun, find
from tradeopt.services.pictures import review_pictures
from tradeopt.services.views import provenance
from tradeopt.store.database import Database

MOST_PICKS = 6
"""Designs beside the baseline that a review can hold."""


def deck(database: Database, run_id: str, picks: Sequence[int] = ()) -> bytes:
    """
    Make the review deck of a run.

    Parameters
    ----------
    database : Database
        Where runs are kept.
    run_id : str
        Which run, or `last`.
    picks : sequence of int
        Numbers of designs to show, the recommended one first; chosen from the front where none is
        given.

    Returns
    -------
    bytes
        A slide file (.pptx); the same run, picks and versions give the same bytes.

    Raises
    ------
    NotFoundError
        When the run or a design is not there, or nothing has been tried yet.
    """
    return deck_of(review(find(database, run_id), picks))


def report_page(database: Database, run_id: str, picks: Sequence[int] = ()) -> str:
    """
    Write the review of a run as one HTML file that needs nothing beside it.

    Parameters
    ----------
    database : Database
        Where runs are kept.
    run_id : str
        Which run, or `last`.
    picks : sequence of int
        As for `deck`.

    Returns
    -------
    str
        The page; with pictures where the extra `plots` is there.
    """
    told = review(find(database, run_id), picks)
    return report_of(told, review_pictures(told) if find_spec("matplotlib") else {})


def review_view(database: Database, run_id: str, picks: Sequence[int] = ()) -> Plain:
    """
    Tell the review of a run in words and plain numbers, ready for JSON.

    Parameters
    ----------
    database : Database
        Where runs are kept.
    run_id : str
        Which run, or `last`.
    picks : sequence of int
        As for `deck`.

    Returns
    -------
    dict
        See `plain_review`.
    """
    return plain_review(review(find(database, run_id), picks))


def review(found: FoundRun, picks: Sequence[int] = ()) -> Review:
    """
    Gather all that a review looks at.

    Parameters
    ----------
    found : FoundRun
        The run.
    picks : sequence of int
        As for `deck`.

    Returns
    -------
    Review
        As plain data.
    """
    standing = found.standing
    if not standing.tried:
        raise NotFoundError(f"run: got {found.run.id}, which has tried no design yet")
    shown = found.front() if standing.front_size else found.nearest()
    candidates = [_candidate(found, *one) for one in _chosen(found, shown, picks)]
    baseline = _candidate(found, BASELINE, "the study file's own design")
    tried = found.tried()
    others = [*candidates[1:], baseline]
    rivals = [one for one in others if one.number != candidates[0].number]
    subject = Subject(
        problem=found.study.problem,
        front=shown,
        tried=tried,
        certificate=found.certificate(),
        number=candidates[0].number,
        design=_values(found, candidates[0].number),
        rivals=tuple(_values(found, one.number) for one in rivals),
        rival_names=tuple(one.name for one in rivals),
    )
    return Review(
        study=found.study,
        standing=standing,
        created=found.run.created,
        provenance=provenance(found.run),
        front=shown,
        tried=tried,
        baseline_view=found.baseline(),
        way_out="" if standing.front_size else found.way_out(),
        baseline=baseline,
        picks=tuple(candidates),
        insights=insights_of(subject, found.run.plan.seed),
    )


def _chosen(found: FoundRun, shown: FrontView, picks: Sequence[int]) -> list[tuple[int, str]]:
    """Return the numbers and the roles of the designs to show."""
    if picks:
        if len(picks) > MOST_PICKS:
            raise NotFoundError(f"picks: got {len(picks)} designs, want {MOST_PICKS} or fewer")
        others = ["picked"] * (len(picks) - 1)
        return list(zip(dict.fromkeys(picks), ["recommended by hand", *others], strict=False))
    if not found.standing.front_size:
        return [(int(number), "nearest to the limits") for number in shown.designs.numbers[:3]]
    costs = fronts.minimised(shown.designs.objectives, shown.outline.objectives)
    several = len(shown.outline.objectives) > 1
    roles = {int(shown.designs.numbers[knee(costs)]): "knee of the front"} if several else {}
    for row, one in zip(best_in_each(costs), shown.outline.objectives, strict=True):
        number = int(shown.designs.numbers[row])
        words = f"{'most' if one.highest else 'least'} {spoken(one.name)}"
        roles[number] = f"{roles[number]}, {words}" if number in roles else words
    return list(roles.items())[:MOST_PICKS]


def _values(found: FoundRun, number: int) -> Array:
    return found.study.problem.baseline if number == BASELINE else found.design(number)


def _candidate(found: FoundRun, number: int, role: str) -> Candidate:
    values = _values(found, number)
    evaluation = evaluate_design(found.study, values)
    reached = [evaluation.values[one.name] for one in found.study.problem.objectives]
    quantities = found.study.problem.chain.quantities
    return Candidate(
        number,
        role,
        tuple(
            amount_of(quantities[one.name], float(value[0]))
            for one, value in zip(found.study.problem.objectives, reached, strict=True)
        ),
        View(evaluation, 0),
        design_sheet(found.study, evaluation, values[np.newaxis]),
    )
