"""What a service tells, as something that shows itself."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from html import escape
from typing import Any

from tradeopt.report.amount import Amount, Cell
from tradeopt.report.html import sheet_html
from tradeopt.report.section import Section, Sheet
from tradeopt.report.terminal import Look, sheet_text


@dataclass(frozen=True)
class RunStatus:
    """How a run stands; ``status["feasible"]`` is any of the numbers that the service tells.

    Attributes
    ----------
    data : mapping
        All that the service tells.
    """

    data: Mapping[str, Any] = field(repr=False)

    def __getitem__(self, name: str) -> Any:  # noqa: ANN401 - whatever JSON holds
        return self.data[name]

    @property
    def id(self) -> str:
        """Name of the run."""
        return str(self.data["id"])

    @property
    def state(self) -> str:
        """`running`, `stopped`, `finished` or `failed`."""
        return str(self.data["state"])

    def __str__(self) -> str:
        said = self.data.get("sentence") or f"{self.id}: {self.data['designs']:,} designs tried"
        return f"{said} ({self.state})"

    def __repr__(self) -> str:
        return f"<{self}>"

    def _repr_html_(self) -> str:
        return f"<p>{escape(str(self))}</p>"


@dataclass(frozen=True)
class SheetTold:
    """All there is to say of one design.

    Attributes
    ----------
    data : mapping
        All that the service tells: under `sections` numbers in SI.
    """

    data: Mapping[str, Any] = field(repr=False)

    @property
    def sections(self) -> Mapping[str, list[dict[str, Any]]]:
        """Its tables by name, a row a mapping; numbers with their SI unit."""
        found: Mapping[str, list[dict[str, Any]]] = self.data["sections"]
        return found

    @property
    def verdict(self) -> str:
        """Whether every limit is met, and which decide."""
        return str(self.data["verdict"])

    @property
    def feasible(self) -> bool:
        """Whether every limit is met."""
        return bool(self.data["feasible"])

    @cached_property
    def _sheet(self) -> Sheet:
        return Sheet(
            study=self.data["study"],
            digest=self.data["study_sha256"],
            verdict=self.verdict,
            feasible=self.feasible,
            sections=tuple(_section(one) for one in self.data["tables"]),
            notes=tuple(self.data["notes"]),
        )

    @property
    def title(self) -> str:
        """What to call it."""
        if "run" in self.data:
            return f"{self.data['run']}, design {self.data['design']}"
        return str(self.data["study"])

    def __str__(self) -> str:
        return sheet_text(self._sheet, self.title, Look())

    def __repr__(self) -> str:
        return f"<{self.title}: {self.verdict}>"

    def _repr_html_(self) -> str:
        return sheet_html(self._sheet, self.title)


def _section(told: Mapping[str, Any]) -> Section:
    return Section(
        name=told["name"],
        title=told["title"],
        heads=tuple(told["heads"]),
        rows=tuple(tuple(_cell(cell) for cell in row) for row in told["rows"]),
        remark=told["remark"],
        labels=told["labels"],
        aside=tuple(told["aside"]),
    )


def _cell(told: str | Mapping[str, Any]) -> Cell:
    if isinstance(told, str):
        return told
    value = math.nan if told["value"] is None else float(told["value"])
    return Amount(value, told["unit"], told["shown_in"])
