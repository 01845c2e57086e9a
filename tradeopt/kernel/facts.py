"""What can be seen of a recorded array without knowing the design."""

from typing import Final

import numpy as np

from tradeopt.arrays import Codes, Flags
from tradeopt.kernel.functions import COMMUTATIVE
from tradeopt.kernel.node import Node

_SEEN_THROUGH: Final = ("view", "join", "map")


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
    return _same(
        (first, np.arange(first.value.size)), (second, np.arange(second.value.size)), deep
    )


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


def is_never_negative(node: Node, deep: int = 10) -> bool:
    """
    Tell whether no element is less than 0 for any design; some may be no numbers.

    Parameters
    ----------
    node : Node
        An array.
    deep : int
        Functions within functions that are looked into.

    Returns
    -------
    bool
        False also where it cannot be seen.
    """
    if node.op not in _SEEN_THROUGH or not deep:
        return node.op == "const" and bool((node.value >= 0).all())
    parts = (is_never_negative(part, deep - 1) for part in node.parts)
    match node.name:
        case "absolute" | "sqrt":
            found = True
        case "multiply" if node.parts[0] is node.parts[1]:
            found = True
        case "maximum":
            found = any(parts)
        case "" | "add" | "multiply" | "divide" | "minimum":
            found = all(parts)
        case _:
            found = False
    return found


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
    return _may_differ(node, {})


def _may_differ(node: Node, known: dict[Node, Flags]) -> Flags:
    if node not in known:  # many sums have parts in common
        known[node] = _told(node, known)
    return known[node]


def _told(node: Node, known: dict[Node, Flags]) -> Flags:
    if node.op == "const":
        return np.asarray(node.value.reshape(-1) != 0.0)
    if node.op not in _SEEN_THROUGH:
        return np.ones(node.value.size, dtype=np.bool_)
    parts = [_may_differ(part, known) for part in node.parts]
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
