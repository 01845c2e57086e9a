"""Running a batch of designs through ordered stages."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from tradeopt.arrays import Array
from tradeopt.chain.order import in_order
from tradeopt.chain.stage import Stage, Values
from tradeopt.errors import ChainError, Problem
from tradeopt.quantities import Quantity


@dataclass(frozen=True)
class Chain:
    """Stages in the order they run, and what the study must give them.

    Attributes
    ----------
    stages : tuple of Stage
        Ordered by need.
    inputs : tuple of Quantity
        What `run` wants to be given.
    """

    stages: tuple[Stage, ...]
    inputs: tuple[Quantity, ...]

    @classmethod
    def of(cls, stages: Sequence[Stage], inputs: Iterable[Quantity]) -> "Chain":
        """Order the stages; raises `ChainError` where they do not fit together."""
        given = tuple(inputs)
        return cls(in_order(stages, given), given)

    @property
    def quantities(self) -> Mapping[str, Quantity]:
        """Everything that is known after a run, by name."""
        known = {quantity.name: quantity for quantity in self.inputs}
        return known | {given.name: given for stage in self.stages for given in stage.gives}

    def up_to(self, *names: str) -> "Chain":
        """Return the part of the chain that is enough for the named quantities."""
        wanted = set(names)
        kept: list[Stage] = []
        for stage in reversed(self.stages):
            if wanted & {quantity.name for quantity in stage.gives}:
                kept.append(stage)
                wanted |= {need.name for need in stage.needs}
        inputs = tuple(quantity for quantity in self.inputs if quantity.name in wanted)
        return Chain(tuple(reversed(kept)), inputs)

    def split(self, names: Iterable[str]) -> tuple["Chain", "Chain"]:
        """Return the part that rests on none of the named inputs, and the part that does."""
        named = set(names)
        touched = set(named)
        still: list[Stage] = []
        moving: list[Stage] = []
        for stage in self.stages:
            if touched.isdisjoint(need.name for need in stage.needs):
                still.append(stage)
            else:
                moving.append(stage)
                touched.update(given.name for given in stage.gives)
        settled = tuple(one for one in self.inputs if one.name not in named)
        given = (*self.inputs, *(one for stage in still for one in stage.gives))
        needed = {need.name for stage in moving for need in stage.needs}
        wanted = tuple(one for one in given if one.name in needed)
        return Chain(tuple(still), settled), Chain(tuple(moving), wanted)

    def run(self, inputs: Values, sizes: Mapping[str, int]) -> dict[str, Array]:
        """
        Run one batch.

        Parameters
        ----------
        inputs : Values
            What the study gives, by name, each with its declared axes.
        sizes : mapping of str to int
            Length of every axis.

        Returns
        -------
        dict of str to Array
            The inputs and everything the stages gave.

        Raises
        ------
        ChainError
            Where an array does not have the shape its axes say; a fault of a stage, never of a
            design.
        """
        known = {quantity.name: inputs[quantity.name] for quantity in self.inputs}
        _check_shapes("the study", self.inputs, known, sizes)
        for stage in self.stages:
            given = stage.compute({need.name: known[need.name] for need in stage.needs})
            _check_shapes(stage.name, stage.gives, given, sizes)
            known.update(given)
        return known


def _check_shapes(
    giver: str, quantities: Sequence[Quantity], given: Values, sizes: Mapping[str, int]
) -> None:
    promised = {quantity.name for quantity in quantities}
    problems = [
        Problem(where=f"{giver} gives {name}", got="something it did not declare", want="nothing")
        for name in sorted(set(given) - promised)
    ]
    for quantity in quantities:
        want = tuple(sizes[axis] for axis in quantity.axes)
        got = given[quantity.name].shape if quantity.name in given else None
        if got != want:
            problems.append(
                Problem(
                    where=f"{giver} gives {quantity.name}",
                    got="nothing" if got is None else f"shape {got}",
                    want=f"shape {want}, by ({', '.join(quantity.axes)})",
                )
            )
    if problems:
        raise ChainError(tuple(problems))
