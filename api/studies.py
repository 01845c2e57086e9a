"""Routes of studies that are not searched: look through one, evaluate a design of it."""

from typing import Annotated

from fastapi import APIRouter, Depends, Request

from api.models import EvaluationGiven, SheetTold, StudyChecked, StudyGiven
from api.shared import STUDY
from tradeopt.report.section import Plain
from tradeopt.services import asked, sheets

router = APIRouter(prefix="/v1", tags=["studies"])


@router.post("/check", response_model=StudyChecked)
def check(given: StudyGiven) -> Plain:
    """Say what a study asks, or everything that is wrong with it, each at its place."""
    return asked.check(given.study, given.files)


def _kept(request: Request, given: EvaluationGiven) -> EvaluationGiven:
    setattr(request.state, STUDY, given.study)
    return given


@router.post("/evaluate", response_model=SheetTold)
def evaluate(given: Annotated[EvaluationGiven, Depends(_kept)]) -> Plain:
    """Evaluate the design of a study, with some values said otherwise."""
    return sheets.evaluated(given.study, given.files, given.set)
