"""Which strides the designs of a batch need: their own, or nodes of a lattice to mix."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import product
from typing import Any, TypeAlias

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array, Codes, Flags
from tradeopt.chain.kind import Number
from tradeopt.chain.stage import Values
from tradeopt.physics.walking import lattice
from tradeopt.physics.walking.frame import Frame
from tradeopt.physics.walking.gait import (
    OneFootPose,
    SideStepGait,
    StairGait,
    StandingPose,
    WalkingGait,
)
from tradeopt.physics.walking.stride import Stride

Gait: TypeAlias = WalkingGait | StairGait | SideStepGait | StandingPose | OneFootPose

FIXED = frozenset({"double_support", "toe_off_angle"})
"""Numbers that move the borders between the spells of a foot; a stride of another value is made
for itself."""


@dataclass(frozen=True, eq=False)
class Recipe:
    """How a kind of gait is made from its numbers.

    Attributes
    ----------
    gait : type
        What is made of the numbers, in their order, and gravity.
    make : callable
        Lays out the stride for a frame and a reference robot, at a number of phases.
    numbers : tuple of Number
        The numbers of the gait.
    phases : int
        Phases that differ; the stride is held at each for its share of the time.
    """

    gait: type[Gait]
    make: Callable[[Frame, Any, Array, int], Stride]
    numbers: tuple[Number, ...]
    phases: int = q.PHASES


@dataclass(frozen=True)
class Space:
    """Coordinates of each row: the frame's lengths, then the numbers of the gait, then gravity.

    Attributes
    ----------
    recipe : Recipe
        How the gait is made.
    given, usual : Array
        Each row's own and its baseline's, shape (row, coordinate).
    step : Array
        Distance of the lattice's nodes, shape (row, coordinate); 0 for what is not mixed.
    """

    recipe: Recipe
    given: Array
    usual: Array
    step: Array

    @classmethod
    def of(cls, values: Values, recipe: Recipe) -> "Space":
        """Take the coordinates from what a kind sees."""
        gravity = values[q.GRAVITY.name]
        lengths = [values[one.name] for one in q.FRAME_LENGTHS]
        numbers = [values[one.name] for one in recipe.numbers]
        usual_lengths = np.moveaxis(values[q.REFERENCE_FRAME.name], -1, 0)
        usual_numbers = [values[one.baseline] for one in recipe.numbers]
        given = np.stack((*lengths, *numbers, gravity), axis=1)
        usual = np.stack((*usual_lengths, *usual_numbers, gravity), axis=1)
        told: tuple[q.Quantity | Number, ...] = (*q.FRAME_LENGTHS, *recipe.numbers)
        angle = np.array([one.unit == "rad" for one in told])
        step = np.where(angle, lattice.ANGLE_STEP, lattice.RELATIVE_STEP * np.abs(usual[:, :-1]))
        # where the spells of the feet move, phases do not match and nothing can be mixed
        fixed = [one.name in FIXED for one in told]
        step[:, fixed] = 0.0
        return cls(recipe, given, usual, np.column_stack((step, np.zeros(len(given)))))

    def part(self, rows: Codes) -> "Space":
        """Return some of the rows."""
        return Space(self.recipe, self.given[rows], self.usual[rows], self.step[rows])

    @property
    def changed(self) -> Flags:
        """Which coordinates are not the baseline's."""
        return np.asarray(self.given != self.usual)

    def made_at(self, place: Array) -> tuple[Frame, Gait]:
        """Return the frame and the gait at a place."""
        lengths, numbers = np.split(place, [len(q.FRAME_LENGTHS)])
        return Frame(*lengths.tolist()), self.recipe.gait(*numbers.tolist())

    @property
    def on_lattice(self) -> Flags:
        """Which rows are near enough to the baseline to mix nodes."""
        changed = self.changed
        movable = ~changed | (self.step > 0.0)
        few = changed.sum(axis=1) <= lattice.MOST_DIMENSIONS
        return np.asarray(movable.all(axis=1) & few)

    @property
    def cell(self) -> Array:
        """Node in the middle of each row's cell."""
        return np.where(self.changed, lattice.lattice_cell(self.given, self.usual, self.step), 0.0)


def groups(space: Space, reference: Array) -> Iterator[Codes]:
    """Yield the rows of each cell of the lattice, and of each place off it."""
    mixed = space.on_lattice[:, np.newaxis]
    place = np.where(mixed, space.usual, space.given)
    keys = np.column_stack(
        (place, mixed * space.cell, mixed & space.changed, reference.reshape(len(place), -1))
    )
    found: dict[bytes, list[int]] = {}
    for row, key in enumerate(keys):
        found.setdefault(key.tobytes(), []).append(row)
    for rows in found.values():
        yield np.array(rows)


def corners(part: Space) -> tuple[list[Array], Array]:
    """Return the nodes of the cell that all rows lie in, and their weights, shape (row, node)."""
    weights = np.ones((len(part.given), 1))
    if not part.on_lattice[0]:
        return [part.given[0]], weights
    dimensions = np.flatnonzero(part.changed[0])
    origin, step, cell = part.usual[0], part.step[0], part.cell[0]
    places = []
    for sides in product((-1, 0, 1), repeat=len(dimensions)):
        place = origin.copy()
        place[dimensions] += step[dimensions] * (cell[dimensions] + sides)
        places.append(place)
    for one in dimensions:
        own = lattice.lattice_weights(part.given[:, one], origin[one], step[one])
        weights = (weights[:, :, np.newaxis] * own[:, np.newaxis]).reshape(len(own), -1)
    return places, weights


def allowed(recipe: Recipe, place: Array) -> bool:
    """Whether a node has lengths and numbers that mean something."""
    lengths, numbers = np.split(place[:-1], [len(q.FRAME_LENGTHS)])
    kept = (
        (one.above is None or value > one.above)
        and (one.at_least is None or value >= one.at_least)
        and (one.at_most is None or value <= one.at_most)
        for one, value in zip(recipe.numbers, numbers, strict=True)
    )
    return bool((lengths > 0.0).all()) and all(kept)
