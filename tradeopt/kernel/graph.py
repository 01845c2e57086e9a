"""What the stages compute for one design, as a graph of array operations.

Every node keeps the value it has for a sample design, so that its shape and type are known without
rules of their own. What does not depend on the design is a constant, worked out on the way.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final, TypeAlias

import numpy as np

from tradeopt.arrays import AnyArray, Codes, Flags
from tradeopt.kernel.functions import COMMUTATIVE, FUNCTIONS, REDUCTIONS

LONG = 24
"""Length of a last axis from which it is looped over; shorter arrays are written out."""

MOST_LOOSE = 1000
"""Elements of an array that is put together one by one."""

FEW = 3
"""Parts up to which the pieces of a stack are kept apart in what follows: parts of vectors."""


_CHOICES: Final = frozenset({"where", "logical_and", "logical_or"})
_SEEN_THROUGH: Final = ("view", "join", "map")


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
class Graph:
    """Makes nodes; the same node is made once.

    Attributes
    ----------
    calls : mapping of str to callable
        What numpy's functions of whole arrays become.
    outside : callable
        Multiplies rows with a matrix in numpy, for many designs at once.
    known : dict
        Nodes by what they are.
    """

    calls: Mapping[str, Callable[..., Any]]
    outside: Callable[[Node, AnyArray], Node]
    known: dict[Key, Node] = field(default_factory=dict)

    def const(self, value: AnyArray) -> Node:
        """Return what is the same for every design."""
        key = ("const", value.shape, value.dtype.str, value.tobytes())
        return self._once(key, lambda: Node("const", (), value.copy()))

    def input(self, name: str, value: AnyArray) -> Node:
        """Return what is given for every design."""
        return Node("input", (), np.asarray(value), name)

    def map(self, name: str, *operands: Node) -> Node:
        """Apply a function element by element; shapes are broadcast."""
        value = np.asarray(FUNCTIONS[name](*(one.value for one in operands)))
        if all(one.op == "const" for one in operands):
            return self.const(value)
        spread = tuple(self._broadcast(one, value.shape) for one in operands)
        if name in _CHOICES:
            known = self._known_choice(name, spread)
            if known is not None:
                return known
        stack = next((one for one in spread if _has_few_parts(one)), None)
        if stack is not None:
            return self._map_apart(name, spread, stack)
        key = ("map", name, *map(id, spread))
        return self._once(key, lambda: Node("map", spread, value, name))

    def _known_choice(self, name: str, operands: tuple[Node, ...]) -> Node | None:
        """Choose what is known beforehand, wholly or for some elements."""
        if name == "where":
            holds, one, other = operands
            if one is other or holds.op == "const":
                return self._chosen(holds, one, other)
            known = any(part.op == "const" for part in holds.parts)
            if holds.op == "join" and known and _is_exact(holds):
                return self._map_apart(name, operands, holds)
            return None
        flags, given = sorted(operands, key=lambda node: node.op == "const")
        if given.op != "const":
            return None
        same = self.const(np.full(flags.shape, name == "logical_or"))
        choices = (same, flags) if name == "logical_or" else (flags, same)
        return self._chosen(given, *choices)

    def _chosen(self, holds: Node, one: Node, other: Node) -> Node:
        """Choose where the choice is known, or makes no difference."""
        if one is other:
            return one
        places = _whole(one.value.size).reshape(one.shape)
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

    def view(self, part: Node, index: Codes) -> Node:
        """Return elements of an array by their flat places, in the shape of `index`."""
        if index.shape == part.shape and np.array_equal(index.reshape(-1), _whole(index.size)):
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
                found = self._once(key, lambda: Node("view", (part,), value, index=index))
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
        return self._once(("join", *map(id, kept), places.shape, places.tobytes()), lambda: node)

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

    def fold(self, name: str, part: Node, axis: int) -> Node:
        """Reduce one axis."""
        axis %= len(part.shape)
        places = _whole(part.value.size).reshape(part.shape)
        if part.is_long and axis == len(part.shape) - 1:
            if _has_whole_rows(part):
                return self._fold_apart(name, part)
            value = REDUCTIONS[name](part.value, axis=-1)
            if part.op == "const":
                return self.const(value)
            return self._once(
                ("fold", name, id(part)), lambda: Node("fold", (part,), np.asarray(value), name)
            )
        slices = [self.view(part, np.take(places, one, axis)) for one in range(part.shape[axis])]
        found = slices[0]
        for one in slices[1:]:
            found = self.map(name, found, one)
        return found

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
        return self._once(
            key, lambda: Node("take", (table, code), value, index=places, stride=stride)
        )

    def _broadcast(self, part: Node, shape: tuple[int, ...]) -> Node:
        if part.shape == shape:
            return part
        places = _whole(part.value.size).reshape(part.shape)
        return self.view(part, np.ascontiguousarray(np.broadcast_to(places, shape)))

    def _once(self, key: Key, make: Callable[[], Node]) -> Node:
        # nodes live as long as the graph, so that no identity is given twice
        if key not in self.known:
            self.known[key] = make()
        return self.known[key]


def _whole(size: int) -> Codes:
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


def _has_whole_rows(node: Node) -> bool:
    """Whether an array is a stack of rows of others, each row whole and in order."""
    if node.op != "join":
        return False
    length = node.shape[-1]
    in_order = node.places % length == np.arange(length)
    return bool(in_order.all()) and all(part.shape[-1:] == (length,) for part in node.parts)


def _has_few_parts(node: Node) -> bool:
    """Whether a long node is a stack of few arrays, each of whose elements is there once."""
    return node.op == "join" and node.is_long and len(node.parts) <= FEW and _is_exact(node)


def _is_exact(node: Node) -> bool:
    """Whether each element of each part of a join is there once."""
    size = sum(part.value.size for part in node.parts)
    places = node.places.reshape(-1)
    return places.size == size and np.array_equal(np.sort(places), _whole(size))


def is_same(first: Node, second: Node, deep: int = 10) -> bool:
    """
    Tell whether two nodes have the same elements for every design.

    Parameters
    ----------
    first, second : Node
        Of the same shape.
    deep : int
        Functions within functions that are looked into.

    Returns
    -------
    bool
        False also where it cannot be seen.
    """
    return _same((first, _whole(first.value.size)), (second, _whole(second.value.size)), deep)


def _same(first: tuple[Node, Codes], second: tuple[Node, Codes], deep: int) -> bool:
    """Compare elements of two nodes by their flat places."""
    (one, places), (other, others) = (_seen(*pair) for pair in (first, second))
    alike = one is other and np.array_equal(places, others)
    match one.op, other.op:
        case _ if alike:
            pass
        case "const", "const":
            left, right = one.value.reshape(-1)[places], other.value.reshape(-1)[others]
            alike = np.array_equal(left, right)
        case "join", "join":
            alike = _same_pieces((one, places), (other, others), deep)
        case "map", "map" if one.name == other.name and deep:
            alike = _same_call((one, places), (other, others), deep - 1)
    return alike


def _same_call(first: tuple[Node, Codes], second: tuple[Node, Codes], deep: int) -> bool:
    """Compare elements of what one function gives."""
    (one, places), (other, others) = first, second
    orders = [other.parts]
    if one.name in COMMUTATIVE:
        orders.append(other.parts[::-1])
    return any(
        all(
            _same((left, places), (right, others), deep)
            for left, right in zip(one.parts, parts, strict=True)
        )
        for parts in orders
    )


def _same_pieces(first: tuple[Node, Codes], second: tuple[Node, Codes], deep: int) -> bool:
    """Compare elements of two joins, part by part."""
    (owner, places), (other_owner, others) = (_owned(*pair) for pair in (first, second))
    return np.array_equal(owner, other_owner) and all(
        _same(
            (first[0].parts[one], places[owner == one]),
            (second[0].parts[one], others[owner == one]),
            deep,
        )
        for one in np.unique(owner)
    )


def _owned(join: Node, places: Codes) -> tuple[Codes, Codes]:
    """Return which part of a join each element is from, and its place in it."""
    at = join.places.reshape(-1)[places]
    ends = np.cumsum([part.value.size for part in join.parts])
    owner = np.searchsorted(ends, at, side="right")
    starts = ends - [part.value.size for part in join.parts]
    return owner.astype(np.int64), at - starts[owner]


def _seen(node: Node, places: Codes) -> tuple[Node, Codes]:
    """Follow elements to the array that they are taken from."""
    while node.op == "view":
        node, places = node.parts[0], node.places.reshape(-1)[places]
    return node, places


def may_differ_from_zero(node: Node) -> Flags:
    """
    Tell which elements are not 0 for every design whose numbers are finite.

    Parameters
    ----------
    node : Node
        An array.

    Returns
    -------
    Flags
        In a row; True also where it cannot be seen.
    """
    if node.op == "const":
        return np.asarray(node.value.reshape(-1) != 0.0)
    if node.op not in _SEEN_THROUGH:
        return np.ones(node.value.size, dtype=np.bool_)
    parts = [may_differ_from_zero(part) for part in node.parts]
    match node.name:
        case "":
            found = np.concatenate(parts)[node.places.reshape(-1)]
        case "multiply":
            found = parts[0] & parts[1]
        case "add" | "subtract":
            found = parts[0] | parts[1]
        case "where":
            found = parts[1] | parts[2]
        case "negative" | "divide":
            found = parts[0]
        case _:
            found = np.ones(node.value.size, dtype=np.bool_)
    return np.asarray(found)
