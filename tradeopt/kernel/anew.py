"""What loops work out anew in place of keeping it.

The long arrays of a design fill the nearest cache many times over, so that loops wait for what
they read and write. What few simple functions make of arrays that a loop reads anyhow, or may
read instead, is not kept in memory between loops.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cached_property
from itertools import chain
from typing import Final

from tradeopt.kernel.functions import ARITHMETIC, COMPARISONS, EXTREMES, LOGIC
from tradeopt.kernel.node import Node
from tradeopt.kernel.plan import Access, Key, Loop, Plan, accessed, long_access

_READ: Final = 2.0
_WRITTEN: Final = 4.0
_APPLIED: Final = 0.6
_DEAR: Final = 20.0
"""Beats of the processor to read or write some numbers at once, or to apply a function to them:
one of the simple ones, or another. About what was seen."""

_SIMPLE: Final = frozenset(
    {one.__name__ for one in (*ARITHMETIC, *COMPARISONS, *LOGIC, *EXTREMES)}
    | {"absolute", "copysign", "where", "number"}
)


@dataclass(frozen=True, eq=False)
class _Part:
    """What a function is applied to."""

    access: Access

    @cached_property
    def key(self) -> Key:
        """What tells it from others."""
        return self.access.key

    @cached_property
    def is_whole(self) -> bool:
        """Whether it is all of an array, in order."""
        return self.access.is_whole

    @cached_property
    def is_level(self) -> bool:
        """Whether it is the same along each row."""
        index = self.access.index
        return bool((index == index[:, :1]).all())


@dataclass
class _Work:
    """What a loop has to do: functions, what it reads, and what that costs."""

    maps: set[Node] = field(default_factory=set)
    read: dict[Key, Node] = field(default_factory=dict)
    cost: float = 0.0


class Thrift:
    """Changes the loops of a plan so that they keep less in memory.

    Parameters
    ----------
    plan : Plan
        Its loops.
    wanted : iterable of Node
        What is asked for.
    """

    def __init__(self, plan: Plan, wanted: Iterable[Node]) -> None:
        self._loops = [loop for step in plan.steps for loop in step.loops.values()]
        self._own = {loop: tuple(loop.maps) for loop in self._loops}
        self._home = {node: loop for loop in self._loops for node in loop.maps}
        self._parts = {
            node: [_Part(long_access(part)) for part in node.parts] for node in self._home
        }
        self._ends = {loop: [_Part(one) for one in _ends(loop)] for loop in self._loops}
        self._fixed = {*wanted, *_read_elsewhere(plan)}
        self._kept: set[Node] = set()

    def change(self) -> None:
        """Have loops work out anew what costs more to keep."""
        for loop in self._loops:
            self._see(loop)
        works = {loop: self._work(loop) for loop in self._loops}
        goes_on = True
        while goes_on:
            free = [node for node in self._home if node in self._kept - self._fixed]
            goes_on = sum(self._left_out(node, works) for node in free) > 0
        order = {node: place for place, node in enumerate(self._home)}
        for loop, work in works.items():
            loop.maps = sorted(work.maps, key=order.__getitem__)
            loop.kept = [node for node in self._own[loop] if node in self._kept]

    def _see(self, loop: Loop) -> None:
        """Note what a loop reads of others, and what cannot be worked out anew for it."""
        for part in chain(self._ends[loop], *(self._parts[node] for node in self._own[loop])):
            base = part.access.base
            home = self._home.get(base)
            if home is None or (home is loop and part.is_whole):
                continue
            self._kept.add(base)
            if not part.is_whole or home.space != loop.space:
                self._fixed.add(base)
        self._kept.update(self._fixed.intersection(self._own[loop]))

    def _left_out(self, node: Node, works: dict[Loop, _Work]) -> bool:
        """Keep an array no longer if that costs less."""
        home = self._home[node]
        touched = [
            loop for loop, work in works.items() if loop is home or node in work.read.values()
        ]
        self._kept.remove(node)
        changed = {loop: self._work(loop) for loop in touched}
        before = sum(works[loop].cost for loop in touched)
        is_less = sum(work.cost for work in changed.values()) < before
        if is_less:
            works.update(changed)
        else:
            self._kept.add(node)
        return is_less

    def _work(self, loop: Loop) -> _Work:
        """Follow what a loop gives to what it reads."""
        found = _Work()
        nodes = [node for node in self._own[loop] if node in self._kept]
        found.cost = _WRITTEN * len(nodes)
        parts = list(self._ends[loop])
        while nodes or parts:
            if nodes:
                node = nodes.pop()
                if node not in found.maps:
                    found.maps.add(node)
                    found.cost += self._cost(node)
                    parts += self._parts[node]
                continue
            part = parts.pop()
            if self._is_made(part, loop):
                nodes.append(part.access.base)
            elif part.key not in found.read:
                found.read[part.key] = part.access.base
                found.cost += 0.0 if part.is_level else _READ
        return found

    def _is_made(self, part: _Part, loop: Loop) -> bool:
        """Whether a loop works out a part itself."""
        home = self._home.get(part.access.base)
        if home is None or home.space != loop.space or not part.is_whole:
            return False
        return home is loop or part.access.base not in self._kept

    def _cost(self, node: Node) -> float:
        is_simple = node.name in _SIMPLE
        if node.name == "divide":  # by what is the same along a row: once for all of it
            is_simple = self._parts[node][1].is_level
        return _APPLIED if is_simple else _DEAR


def _ends(loop: Loop) -> Iterator[Access]:
    """Yield what a loop does not only work with."""
    yield from (long_access(node.parts[0]) for node in loop.folds)
    yield from (piece.source for piece in loop.pieces)


def _read_elsewhere(plan: Plan) -> Iterator[Node]:
    """Yield what is read outside of loops."""
    for step in plan.steps:
        for node in step.short:
            yield from (accessed(part).base for part in node.parts)
    for stack in plan.spread:
        yield from (accessed(part).base for part in stack.parts)
