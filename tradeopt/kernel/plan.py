"""In which order a graph is worked out, and what is kept in memory on the way.

Time goes in steps. In each, what is short is written out first; then loops run, one for all long
arrays of that step which have the same rows and length, so that a value goes from one function to
the next without a way over memory.
"""

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import TypeAlias

import numpy as np

from tradeopt.arrays import Codes
from tradeopt.kernel.node import Node

Space: TypeAlias = tuple[int, int]
"""Rows and length of a loop."""

Key: TypeAlias = tuple[Node, bytes]
"""Which elements of which array."""


@dataclass(frozen=True)
class Access:
    """Elements of an array, by their flat places.

    Attributes
    ----------
    base : Node
        What is in memory: no view.
    index : Codes
        Shape (row, place), or (place,) of what is short.
    """

    base: Node
    index: Codes

    @property
    def key(self) -> Key:
        """What tells it from others of the same shape."""
        return self.base, self.index.tobytes()

    @property
    def is_whole(self) -> bool:
        """Whether it is all of the array, in order."""
        size = self.base.value.size
        return self.index.size == size and np.array_equal(self.index.reshape(-1), np.arange(size))


@dataclass(frozen=True)
class Piece:
    """Rows of a stack that come from one of its parts."""

    stack: Node
    rows: Codes
    source: Access


@dataclass(eq=False)
class Loop:
    """What is worked out in one pass over rows of one length.

    Attributes
    ----------
    space : Space
        Rows and length.
    maps, folds : list of Node
        In order.
    pieces : list of Piece
        Copied into stacks.
    kept : list of Node
        What is written to memory, see `Thrift`.
    """

    space: Space
    maps: list[Node] = field(default_factory=list)
    folds: list[Node] = field(default_factory=list)
    pieces: list[Piece] = field(default_factory=list)
    kept: list[Node] = field(default_factory=list)


@dataclass
class Step:
    """Short arrays, then loops."""

    short: list[Node] = field(default_factory=list)
    loops: dict[Space, Loop] = field(default_factory=dict)

    def loop(self, space: Space) -> Loop:
        """Return the loop of a space, an empty one at first."""
        return self.loops.setdefault(space, Loop(space))


def accessed(node: Node) -> Access:
    """Follow views to what is in memory."""
    index = np.arange(node.value.size, dtype=np.int64)
    while node.op == "view":
        index = node.places.reshape(-1)[index]
        node = node.parts[0]
    return Access(node, index)


def long_access(node: Node) -> Access:
    """Follow views, by rows."""
    found = accessed(node)
    return Access(found.base, found.index.reshape(space_of(node)))


def space_of(node: Node) -> Space:
    """Return rows and length of a long array."""
    length = node.shape[-1]
    return node.value.size // length, length


def pieces_of(stack: Node) -> Iterator[Piece]:
    """Split a long stack into rows of one part each."""
    ends = np.cumsum([part.value.size for part in stack.parts])
    index = stack.places.reshape(space_of(stack))
    owner = np.searchsorted(ends, index[:, 0], side="right")
    for number, part in enumerate(stack.parts):
        rows = np.flatnonzero(owner == number).astype(np.int64)
        if rows.size:
            whole = accessed(part)
            local = index[rows] - (ends[number] - part.value.size)
            yield Piece(stack, rows, Access(whole.base, whole.index[local]))


class Plan:
    """Steps for some wanted nodes.

    Parameters
    ----------
    wanted : sequence of Node
        What is asked for.
    given : iterable of Node
        What is there already.

    Attributes
    ----------
    steps : list of Step
        In order.
    spread : list of Node
        Stacks that are read from their parts, in order.
    """

    def __init__(self, wanted: Sequence[Node], given: Iterable[Node]) -> None:
        self.given = set(given)
        self.elsewhere = {*self.given, *wanted}
        self.spread: list[Node] = []
        self.ready: dict[Node, int] = {}
        self.start: dict[Node, int] = {}
        self.steps: list[Step] = []
        for node in in_order(wanted, self.given):
            self._place(node)

    def step(self, time: int) -> Step:
        """Return a step, made as needed."""
        while len(self.steps) <= time:
            self.steps.append(Step())
        return self.steps[time]

    def _place(self, node: Node) -> None:
        if node.op in ("const", "input") or node in self.given:
            self.ready[node] = 0
        elif node.op == "view":
            self.ready[node] = self.ready[accessed(node).base]
        elif node.op == "join" and node.is_long:
            self._place_stack(node)
        elif node.is_long or node.op == "fold":
            space = space_of(node.parts[0] if node.op == "fold" else node)
            start = max(self._start(long_access(part), space) for part in node.parts)
            loop = self.step(start).loop(space)
            (loop.folds if node.op == "fold" else loop.maps).append(node)
            self.start[node], self.ready[node] = start, start + 1
        else:
            self.ready[node] = max(self.ready[part] for part in node.parts)
            self.step(self.ready[node]).short.append(node)

    def _place_stack(self, stack: Node) -> None:
        pieces = list(pieces_of(stack))
        if stack not in self.elsewhere and self._can_be_spread(pieces):
            self.spread.append(stack)
            self.ready[stack] = max(self.ready[piece.source.base] for piece in pieces)
            return
        ready = 0
        for piece in pieces:
            rows, length = piece.source.index.shape
            start = self._start(piece.source, (rows, length))
            self.step(start).loop((rows, length)).pieces.append(piece)
            ready = max(ready, start + 1)
        self.ready[stack] = ready

    def _can_be_spread(self, pieces: Sequence[Piece]) -> bool:
        """Whether all rows lie in the working room, each from place to place like the others."""
        steps = np.diff(np.concatenate([piece.source.index for piece in pieces]), axis=1)
        bases = [piece.source.base for piece in pieces]
        here = all(base.op != "input" and base not in self.elsewhere for base in bases)
        return here and bool((steps == steps[0]).all())

    def _start(self, source: Access, space: Space) -> int:
        """Return the first step in which a loop can use an array."""
        base = source.base
        if base in self.start and base.is_long and source.is_whole and space_of(base) == space:
            return self.start[base]
        return self.ready[base]


def in_order(wanted: Sequence[Node], given: Collection[Node] = ()) -> Iterator[Node]:
    """Yield all nodes that are needed, parts first; what is given needs no parts."""
    done: set[Node] = set()
    stack = [(node, False) for node in reversed(wanted)]
    while stack:
        node, entered = stack.pop()
        if node in done:
            continue
        if entered or node in given:
            done.add(node)
            yield node
        else:
            stack.append((node, True))
            stack.extend((part, False) for part in reversed(node.parts))
