"""What the stages compute for one design, as a graph of array operations."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from tradeopt.arrays import AnyArray, Codes
from tradeopt.kernel.facts import is_never_negative
from tradeopt.kernel.functions import FUNCTIONS, REDUCTIONS
from tradeopt.kernel.node import LONG, Node, Nodes, UntraceableError, every

FEW: Final = 3
"""Parts up to which the pieces of a stack are kept apart in what follows: parts of vectors."""

_EXTREMES: Final = frozenset({"minimum", "maximum"})
_NEUTRAL: Final[Mapping[str, tuple[float | None, float]]] = {
    "add": (0.0, 0.0),
    "subtract": (None, 0.0),
    "multiply": (1.0, 1.0),
    "divide": (None, 1.0),
}
"""First and second number that leave the other one as it is; the sum of -0 and 0 is -0 here."""


@dataclass
class Graph(Nodes):
    """Makes nodes that are functions of others.

    Attributes
    ----------
    calls : mapping of str to callable
        What numpy's functions of whole arrays become.
    outside : callable
        Multiplies rows with a large matrix in a step of its own.
    """

    calls: Mapping[str, Callable[..., Any]]
    outside: Callable[[Node, AnyArray], Node]

    def join(self, parts: Sequence[Node], index: Codes) -> Node:
        """Return elements of several arrays; flags among numbers count as 0 and 1."""
        if len({one.is_flag for one in parts}) > 1:
            parts = [self.map("number", one) if one.is_flag else one for one in parts]
        return super().join(parts, index)

    def map(self, name: str, *operands: Node) -> Node:
        """Apply a function element by element; shapes are broadcast."""
        value = np.asarray(FUNCTIONS[name](*(one.value for one in operands)))
        if all(one.op == "const" for one in operands):
            return self.const(value)
        spread = tuple(self._broadcast(one, value.shape) for one in operands)
        known = self._known(name, spread)
        if known is not None:
            return known
        stack = next((one for one in spread if _has_few_parts(one)), None)
        if stack is not None:
            return self._map_apart(name, spread, stack)
        key = ("map", name, *map(id, spread))
        return self.once(key, lambda: Node("map", spread, value, name))

    def _known(self, name: str, operands: tuple[Node, ...]) -> Node | None:
        """
        Return what follows from what may be there already.

        Notes
        -----
        Unlike with numpy, the root of a square neither overflows nor vanishes on the way, and the
        square of a root is not rounded.
        """
        found, first = None, operands[0]
        match name:
            case "where" | "logical_and" | "logical_or":
                found = self._known_choice(name, operands)
            case "add" | "subtract" | "multiply" | "divide":
                found = _left_as_it_is(name, *operands)
            case "absolute" if is_never_negative(first):
                found = first
            case "sqrt" if _is_square(first):
                found = self.map("absolute", first.parts[0])
            case "sin" | "cos" if _is_call(first, "negative"):
                ahead = self.map(name, first.parts[0])
                found = self.map("negative", ahead) if name == "sin" else ahead
        return found

    def _known_choice(self, name: str, operands: tuple[Node, ...]) -> Node | None:
        """Choose what is known beforehand, wholly or for some elements."""
        found = None
        if name == "where":
            holds, one, other = operands
            if one is other or holds.op == "const":
                found = self._chosen(holds, one, other)
            elif _is_partly_known(holds):
                found = self._map_apart(name, operands, holds)
        else:
            flags, given = sorted(operands, key=lambda node: node.op == "const")
            if given.op == "const":
                same = self.const(np.full(flags.shape, name == "logical_or"))
                choices = (same, flags) if name == "logical_or" else (flags, same)
                found = self._chosen(given, *choices)
        return found

    def _chosen(self, holds: Node, one: Node, other: Node) -> Node:
        """Choose where the choice is known, or makes no difference."""
        if one is other:
            return one
        places = every(one.value.size).reshape(one.shape)
        return self.join([one, other], np.where(holds.value, places, places + places.size))

    def _map_apart(self, name: str, operands: tuple[Node, ...], stack: Node) -> Node:
        """Apply a function to each part of a stack, and stack what comes out."""
        order = np.argsort(stack.places, axis=None)
        ends = np.cumsum([part.value.size for part in stack.parts])[:-1]
        regions = [
            region.reshape(part.shape)
            for region, part in zip(np.split(order, ends), stack.parts, strict=True)
        ]
        parts = [self.map(name, *(self.view(one, at) for one in operands)) for at in regions]
        return self.join(parts, stack.places)

    def fold(self, name: str, part: Node, axis: int) -> Node:
        """Reduce one axis."""
        axis %= len(part.shape)
        places = every(part.value.size).reshape(part.shape)
        if part.is_long and axis == len(part.shape) - 1:
            return self._fold_row(name, part)
        slices = [self.view(part, np.take(places, one, axis)) for one in range(part.shape[axis])]
        found = slices[0]
        for one in slices[1:]:
            found = self.map(name, found, one)
        return found

    def _fold_row(self, name: str, part: Node) -> Node:
        """Reduce a long last axis."""
        if _has_whole_rows(part):
            return self._fold_apart(name, part)
        if name in _EXTREMES and _is_root(part):
            # the root of the greatest is the greatest root: one in place of many
            return self.map("sqrt", self.fold(name, part.parts[0], -1))
        value = np.asarray(REDUCTIONS[name](part.value, axis=-1))
        if part.op == "const":
            return self.const(value)
        return self.once(("fold", name, id(part)), lambda: Node("fold", (part,), value, name))

    def _fold_apart(self, name: str, stack: Node) -> Node:
        """Reduce the rows of each part of a stack."""
        parts = [self.fold(name, part, -1) for part in stack.parts]
        return self.join(parts, stack.places[..., 0] // stack.shape[-1])

    def take(self, table: Node, code: Node, places: Codes, stride: int) -> Node:
        """Return elements of a table at codes; `places` are those of code 0."""
        if code.op == "const":
            return self.view(table, places + stride * code.value.astype(np.int64))
        code = self._broadcast(code, places.shape)
        codes = code.value.astype(np.int64)
        value = table.value.reshape(-1)[places + stride * codes]
        if value.ndim and value.shape[-1] >= LONG:
            raise UntraceableError("places in a long table that depend on the design")
        key = ("take", id(table), id(code), places.shape, places.tobytes(), stride)
        return self.once(
            key, lambda: Node("take", (table, code), value, index=places, stride=stride)
        )

    def _broadcast(self, part: Node, shape: tuple[int, ...]) -> Node:
        if part.shape == shape:
            return part
        places = every(part.value.size).reshape(part.shape)
        return self.view(part, np.ascontiguousarray(np.broadcast_to(places, shape)))


def _has_whole_rows(node: Node) -> bool:
    """Whether an array is a stack of rows of others, each row whole and in order."""
    if node.op != "join":
        return False
    length = node.shape[-1]
    in_order = node.places % length == np.arange(length)
    return bool(in_order.all()) and all(part.shape[-1:] == (length,) for part in node.parts)


def _is_root(node: Node) -> bool:
    """Whether an array is the root of what is never negative."""
    return _is_call(node, "sqrt") and is_never_negative(node.parts[0])


def _left_as_it_is(name: str, one: Node, other: Node) -> Node | None:
    """Return the number that a function does not change, or whose root is squared."""
    first, second = _NEUTRAL[name]
    if _is_all(one, first):
        return other
    if _is_all(other, second):
        return one
    return one.parts[0] if name == "multiply" and one is other and _is_root(one) else None


def _is_all(node: Node, number: float | None) -> bool:
    return node.op == "const" and number is not None and bool((node.value == number).all())


def _is_square(node: Node) -> bool:
    return _is_call(node, "multiply") and node.parts[0] is node.parts[1]


def _is_call(node: Node, name: str) -> bool:
    return node.op == "map" and node.name == name


def _has_few_parts(node: Node) -> bool:
    """Whether a long node is a stack of few arrays, each of whose elements is there once."""
    return node.op == "join" and node.is_long and len(node.parts) <= FEW and _is_exact(node)


def _is_partly_known(node: Node) -> bool:
    known = any(part.op == "const" for part in node.parts)
    return node.op == "join" and known and _is_exact(node)


def _is_exact(node: Node) -> bool:
    """Whether each element of each part of a join is there once."""
    size = sum(part.value.size for part in node.parts)
    places = node.places.reshape(-1)
    return places.size == size and np.array_equal(np.sort(places), every(size))
