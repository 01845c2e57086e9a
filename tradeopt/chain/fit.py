"""Fitting the chosen kinds into a slot, so that the chain sees one stage whatever fills it."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from tradeopt.arrays import Array
from tradeopt.chain.kind import Input, Kind, Slot
from tradeopt.chain.stage import Values
from tradeopt.errors import ChainError, Problem
from tradeopt.quantities import Quantity

KIND = "kind"


@dataclass(frozen=True)
class Place:
    """One place in the study file, and the kinds that may stand there."""

    path: str
    kinds: tuple[Kind, ...]

    @cached_property
    def inputs(self) -> tuple[Quantity, ...]:
        """What the study gives for this place."""
        found = {one.name: one for kind in self.kinds for one in kind.inputs}
        given = [self.quantity(one) for one in found.values()]
        if len(self.kinds) > 1:
            given.append(self.quantity(Input(KIND, "1")))
        return tuple(given)

    def quantity(self, one: Input) -> Quantity:
        """Return an input of this place as a quantity of the chain."""
        axes = ("design", *one.axes)
        return Quantity(
            f"{self.path}.{one.name}", one.unit, axes, "given by the study", (0.0, 1.0)
        )


@dataclass(frozen=True)
class FittedStage:
    """One step of a slot with its kinds in place.

    The slot's axis is folded into the leading one: a kind sees (design and joint) as one axis and
    computes them all at once. Where the kind itself is chosen by the search, each kind that may
    stand at a place computes it, and what was chosen is picked.

    Attributes
    ----------
    slot : Slot
        What is filled.
    step : str
        Which step of it.
    places : tuple of Place
        In the order of the slot's axis.
    """

    slot: Slot
    step: str
    places: tuple[Place, ...]

    @property
    def name(self) -> str:
        """What error messages call it: slot, step and the kinds in it."""
        kinds = sorted({kind.name for kind in self._kinds})
        return f"{self.slot.name} {self.step} ({', '.join(kinds)})"

    @cached_property
    def needs(self) -> tuple[Quantity, ...]:
        """Needs of every kind in it, and what the study gives for its places."""
        needs = {need.name: need for kind in self._kinds for need in kind.steps[self.step].needs}
        return (*needs.values(), *(one for place in self.places for one in place.inputs))

    @property
    def gives(self) -> tuple[Quantity, ...]:
        """What the slot promises for this step."""
        return self.slot.steps[self.step]

    def compute(self, values: Values) -> Values:
        """Let each kind compute the places where it may stand, and pick what was chosen."""
        designs = next(iter(values.values())).shape[0]
        found = {kind: self._computed(kind, values, designs) for kind in self._kinds}
        if len(self._kinds) == 1:
            return found[self._kinds[0]]
        return {one.name: self._picked(one, found, values) for one in self.gives}

    def _computed(self, kind: Kind, values: Values, designs: int) -> dict[str, Array]:
        """Let a kind compute its places, and hold it to what the slot promises."""
        found = kind.steps[self.step].compute(self._seen(kind, values))
        wanted = designs * len(self._rows[kind])
        problems = [
            Problem(
                where=f"{self.slot.name} {self.step} ({kind.name}) gives {one.name}",
                got="nothing" if one.name not in found else f"shape {found[one.name].shape}",
                want=f"one entry a row, {wanted}, then by ({', '.join(self._rest(one))})",
            )
            for one in self.gives
            if one.name not in found
            or found[one.name].shape[:1] != (wanted,)
            or found[one.name].ndim != 1 + len(self._rest(one))
        ]
        if problems:
            raise ChainError(tuple(problems))
        return {one.name: self._unfolded(one, found[one.name], designs) for one in self.gives}

    def _picked(
        self, one: Quantity, found: Mapping[Kind, Mapping[str, Array]], values: Values
    ) -> Array:
        """Put together what each place gives: that of its only kind, or of the chosen one."""
        axis = one.axes.index(self.slot.axis) if self.slot.axis else 0
        columns = []
        for row, place in enumerate(self.places):
            own = [
                self._column(found[kind][one.name], axis, self._rows[kind].index(row))
                for kind in place.kinds
            ]
            chosen = own[0]
            for code, other in enumerate(own[1:], 1):
                picks = values[f"{place.path}.{KIND}"] == float(code)
                whole = picks.reshape(-1, *[1] * (other.ndim - 1))
                chosen = np.where(whole, other, chosen)
            columns.append(chosen)
        return np.stack(columns, axis=axis) if self.slot.axis else columns[0]

    def _column(self, array: Array, axis: int, row: int) -> Array:
        return array[(slice(None),) * axis + (row,)] if self.slot.axis else array

    def _rest(self, one: Quantity) -> tuple[str, ...]:
        """Return the axes that a kind itself gives: all but the folded ones."""
        return tuple(axis for axis in one.axes if axis not in ("design", self.slot.axis))

    @cached_property
    def _kinds(self) -> tuple[Kind, ...]:
        return tuple(dict.fromkeys(kind for place in self.places for kind in place.kinds))

    @cached_property
    def _rows(self) -> dict[Kind, list[int]]:
        """Where each kind may stand, as places along the slot's axis."""
        return {
            kind: [row for row, place in enumerate(self.places) if kind in place.kinds]
            for kind in self._kinds
        }

    def _seen(self, kind: Kind, values: Values) -> dict[str, Array]:
        """Show a kind its needs and parameters: places folded into the leading axis."""
        rows = self._rows[kind]
        seen = {
            need.name: self._folded(need, values[need.name], rows)
            for need in kind.steps[self.step].needs
        }
        for one in kind.inputs:
            parts = [values[f"{self.places[row].path}.{one.name}"] for row in rows]
            if len(parts) == 1:
                seen[one.name] = parts[0]
            else:
                seen[one.name] = np.stack(parts, axis=1).reshape(-1, *parts[0].shape[1:])
        return seen

    def _folded(self, quantity: Quantity, array: Array, rows: list[int]) -> Array:
        if self.slot.axis is None:
            return array
        if self.slot.axis in quantity.axes:
            led = np.moveaxis(array, quantity.axes.index(self.slot.axis), 1)
            led = led if len(rows) == len(self.places) else led[:, rows]
        else:
            count = len(rows)
            led = np.broadcast_to(array[:, None], (array.shape[0], count, *array.shape[1:]))
        return led.reshape(-1, *led.shape[2:])

    def _unfolded(self, quantity: Quantity, array: Array, designs: int) -> Array:
        if self.slot.axis is None:
            return array
        led = array.reshape(designs, -1, *array.shape[1:])
        return np.moveaxis(led, 1, quantity.axes.index(self.slot.axis))


def fitted(slot: Slot, places: tuple[Place, ...]) -> tuple[FittedStage, ...]:
    """Return the stages of a slot, one a step."""
    return tuple(FittedStage(slot, step, places) for step in slot.steps)
