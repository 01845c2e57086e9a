"""Where arrays are while a design is worked out."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

import numpy as np

from tradeopt.arrays import Array, Codes
from tradeopt.kernel.node import Node
from tradeopt.kernel.plan import accessed

LINE: Final = 8
"""Numbers in a line of the cache, at which arrays begin."""


@dataclass(frozen=True, eq=False)
class Bundle:
    """Arrays that lie one after the other, a row a design.

    Attributes
    ----------
    starts : mapping of Node to int
        Where each begins.
    size : int
        Numbers of a row.
    """

    starts: Mapping[Node, int]
    size: int

    @classmethod
    def of(cls, nodes: Sequence[Node]) -> "Bundle":
        """Lay out arrays."""
        ends = np.cumsum([0, *(node.value.size for node in nodes)]).tolist()
        return cls(dict(zip(nodes, ends[:-1], strict=True)), ends[-1])


@dataclass
class Memory:
    """Homes of arrays.

    Attributes
    ----------
    homes : dict of Node to tuple of str and int
        Pointer and first place of each array that is in memory.
    spread : dict of Node to Codes
        Places in the working room of each element of a stack that is read from its parts.
    constants : dict of int to Array
        Constants by their first place in the working room.
    size : int
        Numbers of the working room.
    """

    homes: dict[Node, tuple[str, int]] = field(default_factory=dict)
    spread: dict[Node, Codes] = field(default_factory=dict)
    constants: dict[int, Array] = field(default_factory=dict)
    size: int = 0

    def home(self, node: Node) -> tuple[str, int]:
        """Return where an array is; one that has no home yet gets one."""
        if node not in self.homes:
            self.homes[node] = self.room(node.value.size)
            if node.op == "const":
                start = self.homes[node][1]
                self.constants[start] = np.asarray(node.value, dtype=np.float64).reshape(-1)
        return self.homes[node]

    def spread_out(self, stack: Node) -> None:
        """Have a stack read from its parts, which all are in the working room."""
        parts = [accessed(part) for part in stack.parts]
        flat = np.concatenate([self.places(part.base, part.index)[1] for part in parts])
        self.spread[stack] = flat[stack.places.reshape(-1)]

    def places(self, base: Node, index: Codes) -> tuple[str, Codes]:
        """Return the pointer, and from there the places, of elements of an array."""
        if base in self.spread:
            return "%scratch", self.spread[base][index]
        pointer, start = self.home(base)
        return pointer, index + start

    def room(self, size: int) -> tuple[str, int]:
        """Return room for an array."""
        start = self.size
        self.size += -(-size // LINE) * LINE
        return "%scratch", start


def at_line(array: Array) -> Array:
    """Return a copy of numbers in a row that begins where a line of the cache does."""
    room = np.empty(array.size + LINE)
    first = -room.ctypes.data // room.itemsize % LINE
    own = room[first : first + array.size]
    own[:] = array
    return own
