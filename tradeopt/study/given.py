"""What a study gives its chain: the arrays that its values and its variables turn into."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from tradeopt.arrays import AnyArray, Array, Codes
from tradeopt.chain.fit import KIND
from tradeopt.chain.kind import Entry, File, Label, Number, Parameter, Row, Word
from tradeopt.study.layout import Layout
from tradeopt.study.problem import Variable
from tradeopt.study.table import Table

Value = float | str
"""A value of the study: a number in SI units or a word."""


@dataclass(frozen=True)
class Given:
    """Arrays by the path of what they say, `design` first.

    Attributes
    ----------
    layout : Layout
        Places and kinds.
    values : mapping of str to Value
        The baseline, by path.
    tables : mapping of str to Table
        Tables of parts by name.
    contents : mapping of str to mapping of str to Array
        What each file turned into, by the path that names the file.
    variables : tuple of Variable
        What may be chosen, in the order of the columns of a design.
    """

    layout: Layout
    values: Mapping[str, Value]
    tables: Mapping[str, Table]
    contents: Mapping[str, Mapping[str, Array]]
    variables: tuple[Variable, ...]

    @cached_property
    def _leaves(self) -> dict[str, tuple[str, Parameter]]:
        """The place and parameter of every path; the kind at a place is a word where it varies."""
        found: dict[str, tuple[str, Parameter]] = {}
        for place in self.layout.places.values():
            if len(place.kinds) > 1:
                names = tuple(kind.name for kind in place.kinds)
                found[f"{place.path}.{KIND}"] = (place.path, Word(KIND, names, "what fills it"))
            for kind in place.kinds:
                for parameter in kind.parameters:
                    found[f"{place.path}.{parameter.name}"] = (place.path, parameter)
        return found

    @cached_property
    def fixed(self) -> dict[str, Array]:
        """What is the same for every design, each of shape (1, ...)."""
        chosen = {one.path for one in self.variables}
        found: dict[str, Array] = {}
        for path, (place, parameter) in self._leaves.items():
            if isinstance(parameter, Number) and parameter.compared:
                found[f"{place}.{parameter.baseline}"] = self._number(path)
            if path not in chosen:
                found |= self._baseline(path, parameter)
        return found

    def varied(self, designs: Array) -> dict[str, Array]:
        """Return what the variables choose, for designs of shape (design, variable)."""
        found: dict[str, Array] = {}
        for variable, column in zip(self.variables, np.transpose(designs), strict=True):
            _, parameter = self._leaves[variable.path]
            if isinstance(parameter, Number):
                found[variable.path] = column
            else:
                words = self._words(parameter)
                places = np.array([words.index(choice) for choice in variable.choices])
                picked = _read(places, np.rint(column).astype(np.int64))
                found |= self._picked(variable.path, parameter, picked)
        return found

    def _baseline(self, path: str, parameter: Parameter) -> dict[str, Array]:
        match parameter:
            case Number():
                return {path: self._number(path)}
            case File():
                content = self.contents[path]
                return {f"{path}.{one.name}": content[one.name][None] for one in parameter.columns}
            case Label():  # used up in reading the file it belongs to
                return {}
            case _:
                code = self._words(parameter).index(str(self.values[path]))
                return self._picked(path, parameter, np.array([code]))

    def _number(self, path: str) -> Array:
        return np.array([float(self.values[path])])

    def _words(self, parameter: Parameter) -> tuple[str, ...]:
        """Return what a parameter may be, in the order of its codes."""
        match parameter:
            case Word():
                return parameter.words
            case Entry():
                return self.layout.entries[parameter.axis]
            case Row():
                return self.tables[parameter.table].labels
            case _:
                return ()

    def _picked(self, path: str, parameter: Parameter, codes: Codes) -> dict[str, Array]:
        """Return the arrays of one of a few words, each design's own."""
        if not isinstance(parameter, Row):
            return {path: codes.astype(np.float64)}
        numbers = self.tables[parameter.table].numbers
        return {f"{path}.{one.name}": _read(numbers[one.name], codes) for one in parameter.columns}


def _read(table: AnyArray, codes: Codes) -> AnyArray:
    # a call, and no index in brackets, so that it can be recorded
    return np.take_along_axis(table, codes, axis=0)
