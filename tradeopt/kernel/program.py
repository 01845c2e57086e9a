"""A recorded chain made ready to run: machine code, numpy islands in between, tile by tile."""

import threading
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import numpy as np

from tradeopt.arrays import AnyArray, Array, Codes
from tradeopt.kernel.emit import Emitter
from tradeopt.kernel.island import Island
from tradeopt.kernel.levels import Levels
from tradeopt.kernel.machine import Machine, vector_functions
from tradeopt.kernel.memory import Bundle, at_line
from tradeopt.kernel.node import Node
from tradeopt.kernel.plan import accessed, in_order

TILE = 64
"""Designs that go from part to part together, few enough for their arrays to stay in the cache."""


@dataclass(frozen=True, eq=False)
class _Part:
    """One stretch of machine code, and the islands that come after it.

    Attributes
    ----------
    machine : Machine
        Code.
    scratch : Array
        What a thread works in, as it is at first: constants in their places.
    given : tuple of Bundle
        What it reads.
    gives : Bundle
        What it writes.
    islands : tuple of Island
        What is called then.
    """

    machine: Machine
    scratch: Array
    given: tuple[Bundle, ...]
    gives: Bundle
    islands: tuple[Island, ...]


class Program:
    """Works out wanted arrays from designs.

    Parameters
    ----------
    designs : Node
        The input that a design is, shape (1, variable).
    wanted : sequence of Node
        What is asked for.
    islands : sequence of Island
        Every island that was recorded, in the order they run.
    folder : Path, optional
        Where machine code is kept for other processes.

    Attributes
    ----------
    islands : tuple of Island
        Those that it needs.
    """

    def __init__(
        self,
        designs: Node,
        wanted: Sequence[Node],
        islands: Sequence[Island],
        folder: Path | None,
    ) -> None:
        self._own = threading.local()
        self.designs = Bundle.of([designs])
        self.islands = tuple(_needed(wanted, islands))
        levels = Levels(wanted, self.islands)
        self.parts = tuple(self._made(levels, folder))
        gave = [self.designs, *(part.gives for part in self.parts)]
        gave += [bundle for island in self.islands for bundle in island.found.values()]
        homes = {node: (bundle, start) for bundle in gave for node, start in bundle.starts.items()}
        self._wanted = [_Reading.of(node, homes) for node in wanted]
        self._needs = {
            island: {name: _Reading.of(node, homes) for name, node in island.given.items()}
            for island in self.islands
        }

    def run(self, designs: Array, wanted: int | None = None) -> list[Array]:
        """
        Work through designs.

        Parameters
        ----------
        designs : Array
            Shape (design, variable).
        wanted : int, optional
            How many of the wanted arrays are looked at; all of them unless said.

        Returns
        -------
        list of Array
            The first of them, the design first.
        """
        whole = np.ascontiguousarray(designs, dtype=np.float64)
        tiles = [
            self._run(whole[first : first + TILE], self._wanted[:wanted])
            for first in range(0, max(len(designs), 1), TILE)
        ]
        return [np.concatenate(arrays) for arrays in zip(*tiles, strict=True)]

    def _run(self, designs: Array, wanted: Sequence["_Reading"]) -> list[Array]:
        count = len(designs)
        known: dict[Bundle, Array] = {self.designs: designs}
        for part in self.parts:
            scratch, found = (array[:count] for array in self._rooms(part))
            arrays = [*(known[one] for one in part.given), found]
            part.machine(count, arrays, scratch)
            known[part.gives] = found
            for island in part.islands:
                needs = self._needs[island].items()
                found_here = island.call({name: one.read(known, count) for name, one in needs})
                known.update((island.found[name], array) for name, array in found_here.items())
        return [one.read(known, count)[:, 0].copy() for one in wanted]

    def _rooms(self, part: _Part) -> tuple[Array, Array]:
        """Return where a part works, and where it writes; made once a thread."""
        rooms: dict[_Part, tuple[Array, Array]] | None = getattr(self._own, "rooms", None)
        if rooms is None:
            rooms = self._own.rooms = {}
        if part not in rooms:
            rooms[part] = at_line(part.scratch)[np.newaxis], np.empty((TILE, part.gives.size))
        return rooms[part]

    def _made(self, levels: Levels, folder: Path | None) -> Iterator[_Part]:
        sources = [self.designs]
        for level in range(levels.last + 1):
            gives = Bundle.of(levels.carried(level))
            emitter = Emitter(sources, gives, vector_functions())
            machine = Machine(emitter.text(), folder)
            islands = tuple(one for one in self.islands if levels.of_island[one] == level)
            scratch = emitter.memory.working_room()
            yield _Part(machine, scratch, tuple(sources), gives, islands)
            sources += [gives, *(found for one in islands for found in one.found.values())]


@dataclass(frozen=True)
class _Reading:
    """How an array is read from what has been worked out.

    Attributes
    ----------
    bundle : Bundle, optional
        Where it is; None for a constant.
    places : slice or Codes
        Which elements of a row.
    value : AnyArray
        Its value for the sample design.
    """

    bundle: Bundle | None
    places: slice | Codes
    value: AnyArray

    @cached_property
    def spread(self) -> AnyArray:
        """A constant for a tile of designs."""
        return np.broadcast_to(self.value, (TILE, *self.value.shape))

    @classmethod
    def of(cls, node: Node, homes: Mapping[Node, tuple[Bundle, int]]) -> "_Reading":
        """Find out where a node is."""
        access = accessed(node)
        if access.base.op == "const":
            return cls(None, slice(0), node.value)
        bundle, start = homes[access.base]
        places = access.index + start
        if access.is_whole:
            return cls(bundle, slice(start, start + places.size), node.value)
        return cls(bundle, places, node.value)

    def read(self, known: Mapping[Bundle, Array], count: int) -> Array:
        """Return it for so many designs, the design first."""
        shape = (count, *self.value.shape)
        if self.bundle is None:
            return self.spread[:count]
        return known[self.bundle][:, self.places].reshape(shape)


def _needed(wanted: Sequence[Node], islands: Sequence[Island]) -> list[Island]:
    """Leave out islands that nothing wanted rests on."""
    kept: list[Island] = []
    sought = set(in_order(wanted))
    for island in reversed(islands):
        if any(node in sought for bundle in island.found.values() for node in bundle.starts):
            kept.append(island)
            sought.update(in_order(list(island.given.values())))
    return kept[::-1]
