"""Arrays of one design, and those made of elements of others.

Every node keeps the value it has for a sample design, so that its shape and type are known without
rules of their own. What does not depend on the design is a constant, worked out on the way.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import TypeAlias

import numpy as np

from tradeopt.arrays import AnyArray, Codes

LONG = 24
"""Length of a last axis from which it is looped over; shorter arrays are written out."""

MOST_LOOSE = 1000
"""Elements of an array that is put together one by one."""


class UntraceableError(TypeError):
    """Something that cannot be recorded, such as a choice by the value of a design."""


@dataclass(frozen=True, eq=False)
class Node:
    """One array of one design.

    Attributes
    ----------
    op : str
        `const`, `input`, `map` (element by element), `view` (elements of one array), `join`
        (elements of several), `fold` (over the last axis) or `take` (at places known by design).
    parts : tuple of Node
        What it is made of.
    value : array
        Its value for the sample design.
    name : str
        The function of `map` and `fold`; the name of an `input`.
    index : Codes, optional
        Flat place of each element: in the part of a `view`, in all parts of a `join` one after
        the other, or in the table of a `take` where its index is 0.
    stride : int
        Elements of the table from one index of a `take` to the next.
    is_loose : bool
        Whether the last axis of a `join` goes through several parts.
    """

    op: str
    parts: tuple["Node", ...]
    value: AnyArray
    name: str = ""
    index: Codes | None = None
    stride: int = 0
    is_loose: bool = False

    @property
    def shape(self) -> tuple[int, ...]:
        """Its shape, the design's own axis of length 1 included."""
        return self.value.shape

    @property
    def is_long(self) -> bool:
        """Whether it is looped over; what is put together of single elements is not."""
        return bool(self.shape) and self.shape[-1] >= LONG and not self.is_loose

    @property
    def is_flag(self) -> bool:
        """Whether it is true or false."""
        return self.value.dtype == np.bool_

    @property
    def places(self) -> Codes:
        """Flat place of each element in the parts."""
        if self.index is None:
            raise TypeError(f"{self.op} has no index")
        return self.index


Key: TypeAlias = tuple[object, ...]


@dataclass
class Nodes:
    """Makes nodes that are given, or made of elements of others; the same node is made once.

    Attributes
    ----------
    made : dict
        Nodes by what they are.
    """

    made: dict[Key, Node] = field(default_factory=dict, init=False)

    def const(self, value: AnyArray) -> Node:
        """Return what is the same for every design."""
        key = ("const", value.shape, value.dtype.str, value.tobytes())
        return self.once(key, lambda: Node("const", (), value.copy()))

    def input(self, name: str, value: AnyArray) -> Node:
        """Return what is given for every design."""
        return Node("input", (), np.asarray(value), name)

    def view(self, part: Node, index: Codes) -> Node:
        """Return elements of an array by their flat places, in the shape of `index`."""
        if index.shape == part.shape and np.array_equal(index.reshape(-1), every(index.size)):
            return part
        match part.op:
            case "const":
                found = self.const(part.value.reshape(-1)[index])
            case "view":
                found = self.view(part.parts[0], part.places.reshape(-1)[index])
            case "join":
                found = self.join(part.parts, part.places.reshape(-1)[index])
            case _:
                value = part.value.reshape(-1)[index]
                key = ("view", id(part), index.shape, index.tobytes())
                found = self.once(key, lambda: Node("view", (part,), value, index=index))
        return found

    def join(self, parts: Sequence[Node], index: Codes) -> Node:
        """Return elements of several arrays, counted through one after the other."""
        ends = np.cumsum([part.value.size for part in parts])
        owner = np.searchsorted(ends, index.reshape(-1), side="right")
        used = np.unique(owner)
        starts = ends - [part.value.size for part in parts]
        if used.size == 1:
            return self.view(parts[used[0]], index - starts[used[0]])
        kept, places = self._exact(parts, used, index, starts)
        flat = np.concatenate([part.value.reshape(-1) for part in kept])
        if all(part.op == "const" for part in kept):
            return self.const(flat[places])
        is_loose = not _by_rows(owner.reshape(-1, (1, *index.shape)[-1]))
        node = Node("join", kept, flat[places], index=places, is_loose=is_loose)
        if is_loose and node.value.size > MOST_LOOSE:
            raise UntraceableError("long arrays put together along their last axis")
        return self.once(("join", *map(id, kept), places.shape, places.tobytes()), lambda: node)

    def _exact(
        self, parts: Sequence[Node], used: Codes, index: Codes, starts: Codes
    ) -> tuple[tuple[Node, ...], Codes]:
        """Leave out parts, and elements of parts, that a join has not."""
        sought, order = np.unique(index, return_inverse=True)
        borders = np.searchsorted(sought, [*starts[used[1:]]])
        kept = []
        for one, own in zip(used, np.split(sought, borders), strict=True):
            local, part = own - starts[one], parts[one]
            whole = local.size == part.value.size
            kept.append(part if whole else self.view(part, _by_last_axis(local, part)))
        return tuple(kept), order.reshape(index.shape).astype(np.int64)

    def once(self, key: Key, make: Callable[[], Node]) -> Node:
        """Return the node of a key; it is made where there is none."""
        # nodes live as long as the graph, so that no identity is given twice
        if key not in self.made:
            self.made[key] = make()
        return self.made[key]


def every(size: int) -> Codes:
    """Return all flat places of an array."""
    return np.arange(size, dtype=np.int64)


def _by_last_axis(local: Codes, part: Node) -> Codes:
    """Give elements of an array its last axis, where they are whole rows."""
    length = part.shape[-1] if part.shape else 1
    rows = local.size % length == 0 and np.array_equal(
        local, (local[::length, np.newaxis] + np.arange(length)).reshape(-1)
    )
    return local.reshape(-1, length) if rows and length > 1 else local


def _by_rows(owner: Codes) -> bool:
    return bool((owner == owner[:, :1]).all())
