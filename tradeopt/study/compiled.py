"""A study made ready to run: its chain, and the arrays that the chain is given for a batch."""

from collections.abc import Iterator, Mapping, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from tradeopt.arrays import Array
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
from tradeopt.study.given import Given, Value
from tradeopt.study.layout import Layout
from tradeopt.study.problem import Limit, Objective, Pieces, Scores, Variable
from tradeopt.study.staging import stages_of
from tradeopt.study.table import Table

UNKNOWN = 1e6
"""Violation of a limit whose quantity has no value; finite, so that a search can go on."""

TILE = 64
"""Designs that go through the chain together, few enough for their arrays to stay in the cache."""


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
        with _silent():
            values = self._run(designs, self._moving)
        return Evaluation(values, self.chain.quantities, self.layout.entries)

    def score(self, designs: Array) -> Scores:
        """Score a batch of designs, shape (design, variable)."""
        scores = [self.scores_of(values) for values in self._judged(designs)]
        return _joined(scores)

    def score_pieces(self, designs: Array) -> tuple[Scores, Pieces]:
        """Score a batch of designs, and tell the part of each joint, gait, ... in its limits."""
        scores, tiles = [], []
        for values in self._judged(designs):
            parts = [violation(limit, pieces(limit, values)) for limit in self.limits]
            scores.append(self.scores_of(values))
            tiles.append(np.concatenate([np.empty((len(parts[0]), 0)), *parts], axis=1))
        owners = np.repeat(np.arange(len(parts)), [part.shape[1] for part in parts])
        return _joined(scores), Pieces(np.concatenate(tiles), owners.astype(np.int64))

    def _judged(self, designs: Array) -> Iterator[dict[str, Array]]:
        """Yield what objectives and limits are about, tile by tile."""
        with _silent():
            for first in range(0, max(len(designs), 1), TILE):
                yield self._run(designs[first : first + TILE], self.judging)

    def scores_of(self, values: Mapping[str, Array]) -> Scores:
        """Judge designs by what the chain says of them."""
        objectives = [values[one.name] for one in self.objectives]
        violations = [violation(limit, worst(limit, values)) for limit in self.limits]
        return Scores(np.stack(objectives, axis=1), np.stack(violations, axis=1))

    def _sizes(self, designs: int) -> dict[str, int]:
        named = {axis: len(names) for axis, names in self.layout.entries.items()}
        fixed = {"phase": PHASES, "place": PLACES, "inertial": INERTIAL_PARAMETERS, "axis": 3}
        return {"design": designs, **named, **fixed, "length": len(FRAME_LENGTHS)}

    @cached_property
    def given(self) -> Given:
        """What its values and variables turn into."""
        return Given(self.layout, self.values, self.tables, self.contents, self.variables)

    @cached_property
    def _references(self) -> dict[str, Array]:
        """Masses and lengths of the baseline, which the gaits are made for."""
        part = self.chain.up_to(INERTIA.name, *(one.name for one in FRAME_LENGTHS))
        known = {**self.given.fixed, **self.given.varied(self.baseline[None]), **self._nothing}
        found = part.run(known, self._sizes(1))
        lengths = np.array([found[one.name][0] for one in FRAME_LENGTHS])
        return {REFERENCE_INERTIA.name: found[INERTIA.name][0], REFERENCE_FRAME.name: lengths}

    @cached_property
    def _nothing(self) -> dict[str, Array]:
        sizes = self._sizes(1)
        return {
            one.name: np.empty([sizes[axis] for axis in one.axes]) for one in self.layout.nothing
        }

    @cached_property
    def _parts(self) -> tuple[Chain, Chain]:
        """What no variable touches, and the rest of the chain."""
        return self.chain.split(self.given.varied(self.baseline[None]))

    @cached_property
    def _moving(self) -> Chain:
        return self._parts[1]

    @cached_property
    def judging(self) -> Chain:
        """What objectives and limits rest on, of the part that variables touch."""
        names = [*(one.name for one in self.objectives), *(one.name for one in self.limits)]
        return self._moving.up_to(*(name.partition(".")[0] for name in names))

    @cached_property
    def fixed(self) -> dict[str, Array]:
        """Everything that is the same for every design, shape (1, ...)."""
        references = {name: array[None] for name, array in self._references.items()}
        given = {**self.given.fixed, **self._nothing, **references}
        return self._parts[0].run(given, self._sizes(1))

    @cached_property
    def _tiled(self) -> dict[str, Array]:
        """The same for a tile of designs."""
        return {name: _spread(array, TILE) for name, array in self.fixed.items()}

    def _run(self, designs: Array, chain: Chain) -> dict[str, Array]:
        """Run a part of the chain; what variables do not touch is there already."""
        count = len(designs)
        if count <= TILE:
            fixed = {name: array[:count] for name, array in self._tiled.items()}
        else:
            fixed = {name: _spread(array, count) for name, array in self.fixed.items()}
        return fixed | chain.run(fixed | self.given.varied(designs), self._sizes(count))


def _spread(array: Array, count: int) -> Array:
    return np.broadcast_to(array, (count, *array.shape[1:]))


def _silent() -> AbstractContextManager[None]:
    """Keep still: a bad design is a negative margin or NaN, not a warning."""
    return np.errstate(all="ignore")


def _joined(scores: Sequence[Scores]) -> Scores:
    return Scores(
        np.concatenate([one.objectives for one in scores]),
        np.concatenate([one.violations for one in scores]),
    )


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
