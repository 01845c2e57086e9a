"""A recorded chain made ready to run: one call, or tile by tile with islands in between."""

import threading
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from tradeopt.arrays import AnyArray, Array, Codes
from tradeopt.kernel.island import Island
from tradeopt.kernel.levels import Levels
from tradeopt.kernel.machine import Machine, vector_functions
from tradeopt.kernel.memory import Bundle, at_line
from tradeopt.kernel.node import Node
from tradeopt.kernel.plan import accessed, in_order
from tradeopt.kernel.stretch import TILE, Stretch, Written


@dataclass(frozen=True, eq=False)
class _Part:
    """One stretch of machine code, and the islands that come after it.

    Attributes
    ----------
    stretch : Stretch
        What it does.
    machine : Machine
        Code.
    scratch : Array
        What a thread works in, as it is at first: constants in their places.
    islands : tuple of Island
        What is called then.
    """

    stretch: Stretch
    machine: Machine
    scratch: Array
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
        Those that are called between stretches of machine code.
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
        levels = Levels(wanted, _needed(wanted, islands))
        self.parts = tuple(self._made(levels, folder))
        self.islands = tuple(island for part in self.parts for island in part.islands)
        gave = [self.designs, *(bundle for part in self.parts for bundle in part.stretch.made)]
        gave += [bundle for island in self.islands for bundle in island.found.values()]
        homes = {node: (bundle, start) for bundle in gave for node, start in bundle.starts.items()}
        self._wanted = [_Reading.of(node, homes) for node in wanted]
        self._needs = {
            island: {name: _Reading.of(node, homes) for name, node in island.given.items()}
            for island in self.islands
        }
        # what is made on the way is there for a tile only
        there = (None, self.designs, self.parts[0].stretch.last)
        self._at_once = not self.islands and all(one.bundle in there for one in self._wanted)

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
        sought = self._wanted[:wanted]
        if self._at_once:
            return self._run(whole, sought)
        tiles = [
            self._run(whole[first : first + TILE], sought)
            for first in range(0, max(len(designs), 1), TILE)
        ]
        return [np.concatenate(arrays) for arrays in zip(*tiles, strict=True)]

    def _run(self, designs: Array, wanted: Sequence["_Reading"]) -> list[Array]:
        count = len(designs)
        known: dict[Bundle, Array] = {self.designs: designs}
        for part in self.parts:
            stretch, rooms = part.stretch, self._rooms(part)
            known.update(zip(stretch.made, rooms.made, strict=True))
            known[stretch.last] = np.empty((count, stretch.last.size))
            arrays = [known[one] for one in (*stretch.given, *stretch.made)]
            part.machine(count, arrays, rooms.scratch)
            for island in part.islands:
                needs = self._needs[island].items()
                found_here = island.call({name: one.read(known, count) for name, one in needs})
                known.update((island.found[name], array) for name, array in found_here.items())
        return [one.read(known, count)[:, 0].copy() for one in wanted]

    def _rooms(self, part: _Part) -> "_Rooms":
        """Return where a part works; made once a thread."""
        rooms: dict[_Part, _Rooms] | None = getattr(self._own, "rooms", None)
        if rooms is None:
            rooms = self._own.rooms = {}
        if part not in rooms:
            rooms[part] = _Rooms.of(part)
        return rooms[part]

    def _made(self, levels: Levels, folder: Path | None) -> Iterator[_Part]:
        given = [self.designs]
        own: list[tuple[Bundle, tuple[Written, ...]]] = []
        for level in range(levels.last + 1):
            gives = Bundle.of(levels.carried(level))
            before = Stretch(tuple(given), tuple(own))
            there = [*before.given, *before.made, gives]
            islands = [one for one, of in levels.of_island.items() if of == level]
            written = {one: Written.of(one, there) for one in islands}
            own.append((gives, tuple(one for one in written.values() if one is not None)))
            called = tuple(one for one in islands if written[one] is None)
            if called or level == levels.last:
                stretch = Stretch(tuple(given), tuple(own))
                text, scratch = stretch.written(vector_functions())
                yield _Part(stretch, Machine(text, folder), scratch, called)
                given += [
                    *stretch.made,
                    *(found for one in called for found in one.found.values()),
                ]
                own = []


@dataclass(frozen=True)
class _Rooms:
    """What a thread works in.

    Attributes
    ----------
    scratch : Array
        Working room of the machine code.
    made : list of Array
        What it writes, for the designs of a tile.
    """

    scratch: Array
    made: list[Array]

    @classmethod
    def of(cls, part: _Part) -> "_Rooms":
        """Make room for a part."""
        made = [at_line(np.zeros(TILE * one.size)).reshape(TILE, -1) for one in part.stretch.made]
        return cls(at_line(part.scratch), made)


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
            return np.broadcast_to(self.value, shape)
        return known[self.bundle][:count, self.places].reshape(shape)


def _needed(wanted: Sequence[Node], islands: Sequence[Island]) -> list[Island]:
    """Leave out islands that nothing wanted rests on."""
    kept: list[Island] = []
    sought = set(in_order(wanted))
    for island in reversed(islands):
        if any(node in sought for bundle in island.found.values() for node in bundle.starts):
            kept.append(island)
            sought.update(in_order(list(island.given.values())))
    return kept[::-1]
