"""A study file on its way in: what it says, where its values may stand, and what is wrong."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from tradeopt.chain.kind import Entry, Parameter, Row, Word
from tradeopt.errors import Problem, UnitError, near
from tradeopt.quantities import Quantity
from tradeopt.study.fields import expected, spoken
from tradeopt.study.layout import Layout, table_at
from tradeopt.study.place import MOST_PROBLEMS, ValuePath
from tradeopt.study.staging import stages_of
from tradeopt.study.text import Document


@dataclass
class Reading:
    """One study file on its way in, with the problems found so far.

    Attributes
    ----------
    document : Document
        What the file says, and where.
    layout : Layout
        Its places and kinds.
    rows : mapping of str to tuple of str
        What there is to pick from: row labels by table of parts, and names by axis.
    problems : list of Problem
        Added to by every check, up to what anybody reads.
    """

    document: Document
    layout: Layout
    rows: Mapping[str, tuple[str, ...]]
    problems: list[Problem] = field(default_factory=list)

    def report(
        self,
        path: ValuePath,
        got: str,
        want: str,
        *,
        nearest: str | None = None,
        key: bool = False,
    ) -> None:
        """Note a problem at a place of the file, at its name with `key`."""
        if len(self.problems) < MOST_PROBLEMS:
            self.problems.append(self.document.problem(path, got, want, nearest, key=key))

    def report_unit(self, path: ValuePath, error: UnitError) -> None:
        """Note a value that is not the number it should be."""
        self.report(path, error.got, error.want, nearest=error.near)

    def report_word(
        self, path: ValuePath, word: object, known: Iterable[str], *, want: str, got: str = ""
    ) -> None:
        """Note a word that is none of those known, with the nearest of them, at its value."""
        if len(self.problems) < MOST_PROBLEMS:  # a hostile file asks for the nearest 10,000 times
            nearest = near(word, known) if isinstance(word, str) else None
            self.report(path, got or spoken(word), want, nearest=nearest)

    def report_name(self, path: ValuePath, known: Iterable[str], *, why: str, want: str) -> None:
        """Note a name of the file that is none of those known, with the nearest of them."""
        if len(self.problems) < MOST_PROBLEMS:
            name = str(path[-1])
            got = f"{spoken(name)}, {why}"
            self.report(path, got, want, nearest=near(name, known), key=True)

    def section(self, name: str) -> Mapping[str, Any]:
        """Return a top-level table, or an empty one where it is none (the model reports that)."""
        return table_at(self.document.data, name)

    def labels(self, parameter: Parameter) -> tuple[str, ...] | None:
        """Return what a parameter picks from; None where it does not, or where that is unknown."""
        match parameter:
            case Word():
                return parameter.words
            case Row():
                return self.rows.get(parameter.table)
            case Entry():
                return self.rows.get(parameter.axis) or None
            case _:
                return None

    def expected(self, parameter: Parameter) -> str:
        """Say in words what a value of this study asks for."""
        return expected(parameter, self.labels(parameter))

    @cached_property
    def quantities(self) -> dict[str, Quantity]:
        """Everything that some stage of this study gives."""
        stages = stages_of(self.layout)
        return {quantity.name: quantity for stage in stages for quantity in stage.gives}
