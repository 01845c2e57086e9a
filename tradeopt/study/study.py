"""A study that has been read: what it asks, and everything needed to answer it."""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import astuple, dataclass
from functools import cached_property

from tradeopt.study.compiled import CompiledStudy
from tradeopt.study.search_table import Search


@dataclass(frozen=True)
class Study:
    """One study file with all that it refers to.

    Attributes
    ----------
    name : str
        Short name.
    note : str or None
        A word to the reader.
    text : str
        The file as it was read.
    files : mapping of str to str
        Content of the files it names, tables of parts included, by the name it gives them.
    search : Search
        How long and how to search.
    problem : CompiledStudy
        The chain, ready to run.
    """

    name: str
    note: str | None
    text: str
    files: Mapping[str, str]
    search: Search
    problem: CompiledStudy

    @cached_property
    def digest(self) -> str:
        """Hash of what is asked, in SI units, whatever the remarks, units and time to search.

        Parts that the tables hold belong to the question, so a changed table is another one.
        """
        asked = self.problem
        tables = {
            name: (table.labels, {key: column.tolist() for key, column in table.numbers.items()})
            for name, table in asked.tables.items()
        }
        question = [
            self.name,
            asked.layout.gaits,
            list(asked.values.items()),
            [astuple(variable) for variable in asked.variables],
            [astuple(objective) for objective in asked.objectives],
            [astuple(limit) for limit in asked.limits],
            sorted(self.files.items()),
            tables,
        ]
        return hashlib.sha256(json.dumps(question).encode("ascii")).hexdigest()
