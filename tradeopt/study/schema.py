"""The JSON Schema of study files, for editors and for readers of the format."""

from typing import Any

from tradeopt.stages.registry import known_kinds
from tradeopt.study.layout import whole_layout
from tradeopt.study.model import schema_model
from tradeopt.study.read import part_tables


def json_schema() -> dict[str, Any]:
    """
    Return the JSON Schema (draft 2020-12) of a study file, with every known kind.

    Returns
    -------
    dict
        The schema; numbers with units are texts, with their display unit in the description.

    Examples
    --------
    >>> json_schema()["title"]
    'study'
    """
    kinds = known_kinds()
    rows = {name: table.labels for name, table in part_tables(kinds).items()}
    layout = whole_layout(kinds)
    schema = schema_model(layout, kinds, rows | dict(layout.entries)).model_json_schema(
        by_alias=True
    )
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}
