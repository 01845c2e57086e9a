"""Routes of designs: in bulk, and one in full."""

from typing import Annotated, Any, Literal
from urllib.parse import quote

from fastapi import APIRouter, Depends, Path, Query, Response
from pydantic import BaseModel, ConfigDict, Field

from api.caching import send_once
from api.models import DesignTold, NearestTold, SheetTold, TableTold
from api.shared import RunId, Store
from tradeopt.errors import Problem, near
from tradeopt.report.section import Plain
from tradeopt.report.table import table_csv, table_json, table_parquet
from tradeopt.services import sheets, tables, views
from tradeopt.services.exports import row_source
from tradeopt.services.tables import Picked, TableWish, WishError

MOST_ROWS = 20_000
AT_LEAST, AT_MOST = "min.", "max."

PARQUET = "application/vnd.apache.parquet"

BOUNDS = {
    "parameters": [
        {
            "name": "bounds",
            "in": "query",
            "description": "`min.NAME` and `max.NAME` bound a column; a bare number is SI.",
            "style": "form",
            "explode": True,
            "schema": {
                "type": "object",
                "additionalProperties": {"type": "string"},
                "example": {"min.range": "15 km", "max.total_mass": "60 kg"},
            },
        }
    ]
}

TABLE: dict[int | str, dict[str, Any]] = {
    200: {
        "model": TableTold,
        "content": {
            "text/csv": {"schema": {"type": "string"}},
            PARQUET: {"schema": {"type": "string", "format": "binary"}},
        },
    }
}

DesignNumber = Annotated[int, Path(ge=0, lt=2**53)]

router = APIRouter(prefix="/v1/runs/{run_id}", tags=["designs"], dependencies=[Depends(send_once)])


class TableAsked(BaseModel):
    """Which designs, what of them, and as what; `min.NAME` and `max.NAME` come beside these."""

    model_config = ConfigDict(extra="allow")

    format: Literal["json", "csv", "parquet"] = "json"
    feasible: bool | None = None
    columns: Annotated[str, Field(description="Names, joined by commas; all if empty.")] = ""
    limit: Annotated[int, Field(ge=1, le=MOST_ROWS)] = 1000
    offset: Annotated[int, Field(ge=0, le=10**9)] = 0
    sample: Annotated[
        int | None,
        Field(ge=1, le=MOST_ROWS, description="At most these, evenly spread over the search."),
    ] = None

    def bounds(self, side: str) -> dict[str, str]:
        """Return the bounds of one side, by column."""
        said = self.model_extra or {}
        return {key.removeprefix(side): str(said[key]) for key in said if key.startswith(side)}

    def wish(self) -> TableWish:
        """Say it as the service wants it; a mistyped bound is refused, for it bounds nothing."""
        known = [*type(self).model_fields]
        want = f"one of {', '.join(known)}, {AT_LEAST}NAME, {AT_MOST}NAME"
        unknown = [
            Problem(name, "a parameter that is not known", want, near(name, known))
            for name in self.model_extra or {}
            if not name.startswith((AT_LEAST, AT_MOST))
        ]
        if unknown:
            raise WishError(tuple(unknown))
        return TableWish(
            at_least=self.bounds(AT_LEAST),
            at_most=self.bounds(AT_MOST),
            feasible=self.feasible,
            columns=[name for name in self.columns.split(",") if name],
            most=self.limit,
            offset=self.offset,
            sample=self.sample,
        )


Asked = Annotated[TableAsked, Query()]


@router.get("/front", response_class=Response, responses=TABLE, openapi_extra=BOUNDS)
def front(database: Store, run_id: RunId, asked: Asked) -> Response:
    """Tell the front: designs that meet every limit and that no other one beats."""
    picked = tables.front_table(database, run_id, asked.wish())
    return _written(picked, asked.format, views.run_provenance(database, run_id), "front")


@router.get("/nearest", response_class=Response, responses={200: {"model": NearestTold}})
def nearest(database: Store, run_id: RunId) -> Response:
    """Tell the designs that come nearest to the limits, and which limits to relax for them."""
    picked, way_out = tables.nearest_table(database, run_id)
    return _json(picked, views.run_provenance(database, run_id) | {"way_out": way_out})


@router.get("/designs", response_class=Response, responses=TABLE, openapi_extra=BOUNDS)
def designs(database: Store, run_id: RunId, asked: Asked) -> Response:
    """Tell the designs that a run has kept."""
    picked = tables.tried_table(database, run_id, asked.wish())
    return _written(picked, asked.format, views.run_provenance(database, run_id), "designs")


def _written(picked: Picked, form: str, made_from: Plain, name: str) -> Response:
    if form == "json":
        return _json(picked, made_from)
    file = quote(f"{made_from['run']}-{name}.{form}")
    headers = {"Content-Disposition": f"attachment; filename*=UTF-8''{file}"}
    if form == "csv":
        content = table_csv(picked.table, row_source(made_from))
        return Response(content, headers=headers, media_type="text/csv")
    packed = table_parquet(picked.table, made_from)
    return Response(packed, headers=headers, media_type=PARQUET)


def _json(picked: Picked, more: Plain) -> Response:
    told = more | {"total": picked.total, "next": picked.next_offset}
    return Response(table_json(picked.table, told), media_type="application/json")


@router.get("/designs/{number}", response_model=DesignTold)
def design(database: Store, run_id: RunId, number: DesignNumber) -> Plain:
    """Tell one design."""
    return views.design_view(database, run_id, number)


@router.get("/designs/{number}/sheet", response_model=SheetTold)
def sheet(database: Store, run_id: RunId, number: DesignNumber) -> Plain:
    """Tell all there is to say of one design."""
    return sheets.sheet_of(database, run_id, number)
