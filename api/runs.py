"""Routes of runs: ask for one, look at it, stop it, let it go on."""

from typing import Annotated

from fastapi import APIRouter, Body, Depends, Header, Query, Request, Response, status
from fastapi.exceptions import RequestValidationError
from pydantic import ValidationError

from api.caching import send_once
from api.models import (
    RUN_NAME,
    BudgetGiven,
    RunInFull,
    RunPage,
    RunTold,
    StudyTold,
    SubmissionGiven,
)
from api.shared import STUDY, RunId, Store
from tradeopt.report.section import Plain
from tradeopt.services import asked, runs, submission, views

YAML = {"application/yaml", "application/x-yaml", "text/yaml"}

ASKED = {
    "requestBody": {
        "required": True,
        "content": {
            "application/json": {"schema": SubmissionGiven.model_json_schema()},
            "application/yaml": {"schema": {"type": "string"}},
        },
    }
}

RETRY_AFTER = "2"
"""Seconds after which a look at a run may tell something new."""

Key = Annotated[str | None, Header(alias="Idempotency-Key", min_length=1, max_length=200)]

router = APIRouter(prefix="/v1/runs", tags=["runs"])


async def submitted(request: Request) -> SubmissionGiven:
    """Read what is to be searched: JSON with the files, or a study file alone."""
    body = await request.body()
    kind = request.headers.get("Content-Type", "").partition(";")[0].strip().lower()
    try:
        if kind in YAML:
            given = SubmissionGiven(study=body.decode("utf-8-sig"))
        else:
            given = SubmissionGiven.model_validate_json(body)
    except UnicodeDecodeError as error:
        refusal = {"loc": ("body", STUDY), "msg": f"no UTF-8 text: {error.reason}"}
        raise RequestValidationError([refusal]) from error
    except ValidationError as error:
        told = [{**one, "loc": ("body", *one["loc"])} for one in error.errors()]
        raise RequestValidationError(told) from error
    setattr(request.state, STUDY, given.study)
    return given


@router.post("", status_code=status.HTTP_202_ACCEPTED, response_model=RunTold, openapi_extra=ASKED)
def submit(
    database: Store,
    given: Annotated[SubmissionGiven, Depends(submitted)],
    answer: Response,
    key: Key = None,
) -> Plain:
    """Search a study; the same study with the same seed is the same run."""
    run = submission.submit(database, given.asked(), key)
    return _accepted(views.run_view(database, run.id), answer)


def _accepted(run: Plain, answer: Response) -> Plain:
    answer.headers["Location"] = f"/v1/runs/{run['id']}"
    answer.headers["Retry-After"] = RETRY_AFTER
    return run


@router.get("", response_model=RunPage)
def listed(
    request: Request,
    database: Store,
    answer: Response,
    limit: Annotated[int, Query(ge=1, le=200)] = 50,
    cursor: Annotated[str | None, Query(max_length=200, pattern=RUN_NAME)] = None,
) -> Plain:
    """List runs, the newest first."""
    items, after = views.page_view(database, limit, cursor)
    if after is not None:
        rest = request.url.include_query_params(limit=limit, cursor=after)
        answer.headers["Link"] = f'<{rest.path}?{rest.query}>; rel="next"'
    return {"items": items, "next": after}


@router.get("/{run_id}", response_model=RunInFull)
def one_run(database: Store, run_id: RunId) -> Plain:
    """Tell how a run stands, and how its front has grown."""
    growth = {"growth_by_epoch": views.growth_view(database, run_id)}
    return views.run_view(database, run_id) | growth


@router.post("/{run_id}/stop", status_code=status.HTTP_202_ACCEPTED, response_model=RunTold)
def stop(database: Store, run_id: RunId, answer: Response) -> Plain:
    """Ask a run to stop; what it has found stays, and it can go on later."""
    runs.stop(database, run_id)
    return _accepted(views.run_view(database, run_id), answer)


@router.post("/{run_id}/resume", status_code=status.HTTP_202_ACCEPTED, response_model=RunTold)
def resume(
    database: Store,
    run_id: RunId,
    answer: Response,
    given: Annotated[BudgetGiven | None, Body()] = None,
) -> Plain:
    """Go on with a run; its budget is that of the whole run, and what was spent stays spent."""
    submission.resume(database, run_id, (given or BudgetGiven()).budget())
    return _accepted(views.run_view(database, run_id), answer)


@router.get("/{run_id}/study", response_model=StudyTold, dependencies=[Depends(send_once)])
def study(database: Store, run_id: RunId) -> Plain:
    """Give back the study of a run, with the files that it names."""
    return asked.asked_by(database, run_id)
