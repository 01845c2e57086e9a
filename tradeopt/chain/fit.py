"""Fitting the chosen kinds into a slot, so that the chain sees one stage whatever fills it."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from tradeopt.arrays import AnyArray, Array, Codes
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
    computes them all at once. Where the kind itself is chosen by the search, each kind computes
    the rows that chose it.

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
        """Let each kind compute its own rows, and put them together."""
        designs = next(iter(values.values())).shape[0]
        chosen = self._chosen(values, designs)
        kinds = self._kinds
        if len(kinds) == 1:
            found = self._computed(kinds[0], values, None, designs)
            return {one.name: self._unfolded(one, found[one.name], designs) for one in self.gives}
        whole: dict[str, Array] = {}
        for code, kind in enumerate(kinds):
            rows = np.flatnonzero(chosen == code)
            if rows.size:
                found = self._computed(kind, values, rows, designs)
                for one in self.gives:
                    part = found[one.name]
                    if one.name not in whole:
                        whole[one.name] = np.empty((chosen.size, *part.shape[1:]))
                    whole[one.name][rows] = part
        return {one.name: self._unfolded(one, whole[one.name], designs) for one in self.gives}

    def _computed(self, kind: Kind, values: Values, rows: AnyArray | None, designs: int) -> Values:
        """Let a kind compute its rows, and hold it to what the slot promises."""
        seen = self._seen(kind, values, rows, designs)
        found = kind.steps[self.step].compute(seen)
        wanted = designs * len(self.places) if rows is None else len(rows)
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
        return found

    def _rest(self, one: Quantity) -> tuple[str, ...]:
        """Return the axes that a kind itself gives: all but the folded ones."""
        return tuple(axis for axis in one.axes if axis not in ("design", self.slot.axis))

    @cached_property
    def _kinds(self) -> tuple[Kind, ...]:
        return tuple(dict.fromkeys(kind for place in self.places for kind in place.kinds))

    def _chosen(self, values: Values, designs: int) -> Codes:
        """Return which kind each (design, place) has, as places in `_kinds`."""
        kinds = self._kinds
        codes = np.empty((designs, len(self.places)), dtype=np.int64)
        for column, place in enumerate(self.places):
            known = np.array([kinds.index(kind) for kind in place.kinds])
            own = values[f"{place.path}.{KIND}"].astype(np.int64) if len(known) > 1 else 0
            codes[:, column] = known[own]
        return codes.reshape(-1)

    def _seen(
        self, kind: Kind, values: Values, rows: AnyArray | None, designs: int
    ) -> dict[str, Array]:
        """Show a kind its needs and parameters: rows folded, and none but its own rows."""
        seen = {
            need.name: self._folded(need, values[need.name])
            for need in kind.steps[self.step].needs
        }
        seen.update(self._parameters(kind, values, designs))
        return seen if rows is None else {name: array[rows] for name, array in seen.items()}

    def _parameters(self, kind: Kind, values: Values, designs: int) -> Iterator[tuple[str, Array]]:
        for one in kind.inputs:
            # NaN where another kind stands: those rows are never shown to this one
            parts = [
                values[f"{place.path}.{one.name}"] if kind in place.kinds else None
                for place in self.places
            ]
            first = next(part for part in parts if part is not None)
            if len(parts) == 1:
                yield one.name, first
                continue
            shape = first.shape[1:]
            stacked = np.full((designs, len(parts), *shape), np.nan)
            for column, part in enumerate(parts):
                if part is not None:
                    stacked[:, column] = part
            yield one.name, stacked.reshape(designs * len(parts), *shape)

    def _folded(self, quantity: Quantity, array: Array) -> Array:
        if self.slot.axis is None:
            return array
        count = len(self.places)
        if self.slot.axis in quantity.axes:
            led = np.moveaxis(array, quantity.axes.index(self.slot.axis), 1)
        else:
            led = np.broadcast_to(array[:, None], (array.shape[0], count, *array.shape[1:]))
        return led.reshape(-1, *led.shape[2:])

    def _unfolded(self, quantity: Quantity, array: Array, designs: int) -> Array:
        if self.slot.axis is None:
            return array
        led = array.reshape(designs, len(self.places), *array.shape[1:])
        return np.moveaxis(led, 1, quantity.axes.index(self.slot.axis))


def fitted(slot: Slot, places: tuple[Place, ...]) -> tuple[FittedStage, ...]:
    """Return the stages of a slot, one a step."""
    return tuple(FittedStage(slot, step, places) for step in slot.steps)
