"""A study made ready to run: its chain, and the arrays that the chain is given for a batch."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from tradeopt.arrays import Array
from tradeopt.chain.fit import KIND
from tradeopt.chain.kind import Entry, File, Label, Number, Parameter, Row, Word
from tradeopt.chain.run import Chain
from tradeopt.quantities import (
    FRAME_LENGTHS,
    INERTIA,
    INERTIAL_PARAMETERS,
    JOINTS,
    PHASES,
    PLACES,
    REFERENCE_FRAME,
    REFERENCE_INERTIA,
    REFERENCES,
    Quantity,
)
from tradeopt.study.layout import Layout
from tradeopt.study.problem import Limit, Objective, Pieces, Scores, Variable
from tradeopt.study.staging import stages_of
from tradeopt.study.table import Table

UNKNOWN = 1e6
"""Violation of a limit whose quantity has no value; finite, so that a search can go on."""

Value = float | str
"""A value of the study: a number in SI units or a word."""


@dataclass(frozen=True)
class Evaluation:
    """Everything the chain says of a batch of designs.

    Attributes
    ----------
    values : mapping of str to Array
        By quantity, `design` first.
    quantities : mapping of str to Quantity
        What each name means, with its unit and axes.
    entries : mapping of str to tuple of str
        Names along the axes that have some.
    """

    values: Mapping[str, Array]
    quantities: Mapping[str, Quantity]
    entries: Mapping[str, tuple[str, ...]]

    @property
    def gaits(self) -> tuple[str, ...]:
        """Names along the `gait` axis."""
        return self.entries["gait"]


@dataclass(frozen=True)
class CompiledStudy:
    """What a search and a design sheet need of a study.

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
    variables, objectives, limits : tuple
        What may be chosen, what is wanted, what must hold.
    """

    layout: Layout
    values: Mapping[str, Value]
    tables: Mapping[str, Table]
    contents: Mapping[str, Mapping[str, Array]]
    variables: tuple[Variable, ...]
    objectives: tuple[Objective, ...]
    limits: tuple[Limit, ...]

    @cached_property
    def chain(self) -> Chain:
        """The stages in order; raises `ChainError` where they do not fit together."""
        inputs = [given for place in self.layout.places.values() for given in place.inputs]
        return Chain.of(stages_of(self.layout), [*inputs, *self.layout.nothing, *REFERENCES])

    @cached_property
    def baseline(self) -> Array:
        """Shape (variable,): the design that the study file itself describes."""
        row = []
        for variable in self.variables:
            value = self.values[variable.path]
            row.append(float(variable.choices.index(str(value)) if variable.choices else value))
        baseline = np.array(row)
        baseline.setflags(write=False)
        return baseline

    def evaluate(self, designs: Array) -> Evaluation:
        """
        Run the chain for a batch of designs.

        Parameters
        ----------
        designs : Array
            Shape (design, variable).

        Returns
        -------
        Evaluation
            Everything the stages gave.
        """
        count = len(designs)
        with np.errstate(all="ignore"):  # a bad design is a negative margin or NaN, not a warning
            given = self._inputs(designs)
            given |= {
                name: np.broadcast_to(value, (count, *value.shape))
                for name, value in self._references.items()
            }
            values = self.chain.run(given, self._sizes(count))
        return Evaluation(values, self.chain.quantities, self.layout.entries)

    def score(self, designs: Array) -> Scores:
        """Score a batch of designs, shape (design, variable)."""
        return self._scores(self.evaluate(designs).values)

    def score_pieces(self, designs: Array) -> tuple[Scores, Pieces]:
        """Score a batch of designs, and tell the part of each joint, gait, ... in its limits."""
        values = self.evaluate(designs).values
        parts = [violation(limit, pieces(limit, values)) for limit in self.limits]
        owners = np.repeat(np.arange(len(parts)), [part.shape[1] for part in parts])
        every = np.concatenate([np.empty((len(designs), 0)), *parts], axis=1)
        return self._scores(values), Pieces(every, owners.astype(np.int64))

    def _scores(self, values: Mapping[str, Array]) -> Scores:
        objectives = [values[one.name] for one in self.objectives]
        violations = [violation(limit, worst(limit, values)) for limit in self.limits]
        return Scores(np.stack(objectives, axis=1), np.stack(violations, axis=1))

    def _sizes(self, designs: int) -> dict[str, int]:
        named = {axis: len(names) for axis, names in self.layout.entries.items()}
        fixed = {"phase": PHASES, "place": PLACES, "inertial": INERTIAL_PARAMETERS, "axis": 3}
        return {"design": designs, **named, **fixed, "length": len(FRAME_LENGTHS)}

    @cached_property
    def _references(self) -> dict[str, Array]:
        """Masses and lengths of the baseline, which the gaits are made for."""
        part = self.chain.up_to(INERTIA.name, *(one.name for one in FRAME_LENGTHS))
        found = part.run(self._inputs(self.baseline[None]), self._sizes(1))
        lengths = np.array([found[one.name][0] for one in FRAME_LENGTHS])
        return {REFERENCE_INERTIA.name: found[INERTIA.name][0], REFERENCE_FRAME.name: lengths}

    def _inputs(self, designs: Array) -> dict[str, Array]:
        chosen = {
            variable.path: (variable, designs[:, column])
            for column, variable in enumerate(self.variables)
        }
        sizes = self._sizes(len(designs))
        found = {
            one.name: np.empty([sizes[axis] for axis in one.axes]) for one in self.layout.nothing
        }
        for place in self.layout.places.values():
            if len(place.kinds) > 1:
                names = tuple(kind.name for kind in place.kinds)
                path = f"{place.path}.{KIND}"
                found[path] = self._codes(path, names, chosen, len(designs))
            for kind in place.kinds:
                for parameter in kind.parameters:
                    path = f"{place.path}.{parameter.name}"
                    found.update(self._arrays(path, parameter, chosen, len(designs)))
        return found

    def _arrays(
        self,
        path: str,
        parameter: Parameter,
        chosen: Mapping[str, tuple[Variable, Array]],
        count: int,
    ) -> dict[str, Array]:
        match parameter:
            case Number():
                value = self.values[path]
                fixed = np.broadcast_to(np.float64(value), count)
                own = {path: chosen[path][1] if path in chosen else fixed}
                beside = path.removesuffix(parameter.name) + parameter.baseline
                return own | {beside: fixed} if parameter.compared else own
            case Word() | Entry():
                words = (
                    parameter.words
                    if isinstance(parameter, Word)
                    else self.layout.entries[parameter.axis]
                )
                return {path: self._codes(path, words, chosen, count)}
            case Row():
                table = self.tables[parameter.table]
                rows = self._codes(path, table.labels, chosen, count).astype(np.int64)
                return {
                    f"{path}.{column.name}": table.numbers[column.name][rows]
                    for column in parameter.columns
                }
            case File() | Label():
                # a label has been used up in reading the file it belongs to
                columns = parameter.columns if isinstance(parameter, File) else ()
                found = {one.name: self.contents[path][one.name] for one in columns}
                return {
                    f"{path}.{name}": np.broadcast_to(array, (count, *array.shape))
                    for name, array in found.items()
                }

    def _codes(
        self,
        path: str,
        words: tuple[str, ...],
        chosen: Mapping[str, tuple[Variable, Array]],
        count: int,
    ) -> Array:
        """Return places in `words`: of the value the study gives, or of each design's choice."""
        if path not in chosen:
            return np.broadcast_to(np.float64(words.index(str(self.values[path]))), count)
        variable, column = chosen[path]
        places = np.array([words.index(choice) for choice in variable.choices], dtype=np.float64)
        return places[np.rint(column).astype(np.int64)]


def worst(limit: Limit, values: Mapping[str, Array]) -> Array:
    """
    Reduce a quantity to the one number a design that its limit is about.

    Parameters
    ----------
    limit : Limit
        A name alone takes the worst over all axes but `design`; `name.joint` looks at one joint.
    values : mapping of str to Array
        What the chain gave.

    Returns
    -------
    Array
        Shape (design,), SI; NaN where any part of it is NaN.
    """
    parts = pieces(limit, values)
    result: Array = parts.max(axis=1) if limit.at_most else parts.min(axis=1)
    return result


def pieces(limit: Limit, values: Mapping[str, Array]) -> Array:
    """Return the numbers that a limit is about, shape (design, piece), SI; see `worst`."""
    name, _, joint = limit.name.partition(".")
    array = values[name][:, JOINTS.index(joint)] if joint else values[name]
    return array.reshape(len(array), -1)


def violation(limit: Limit, value: Array) -> Array:
    """Return how far a limit is missed as a share of its scale; 0 or less keeps it."""
    missed = (value - limit.value if limit.at_most else limit.value - value) / limit.scale
    return np.clip(np.where(np.isnan(missed), UNKNOWN, missed), -UNKNOWN, UNKNOWN)
