"""Where arrays are while a design is worked out."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

import numpy as np

from tradeopt.arrays import Array
from tradeopt.kernel.node import Node

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
    constants : list of Array
        Constants, one after the other.
    constant_size, scratch_size : int
        Numbers of constants, and of what is worked out.
    """

    homes: dict[Node, tuple[str, int]] = field(default_factory=dict)
    constants: list[Array] = field(default_factory=list)
    constant_size: int = 0
    scratch_size: int = 0

    def home(self, node: Node) -> tuple[str, int]:
        """Return where an array is; one that has no home yet gets one."""
        if node not in self.homes:
            if node.op == "const":
                self.homes[node] = ("%constants", self.constant_size)
                self.constants.append(np.asarray(node.value, dtype=np.float64).reshape(-1))
                self.constant_size += node.value.size
            else:
                self.homes[node] = self.room(node.value.size)
        return self.homes[node]

    def room(self, size: int) -> tuple[str, int]:
        """Return room for an array."""
        start = self.scratch_size
        self.scratch_size += -(-size // LINE) * LINE
        return "%scratch", start
