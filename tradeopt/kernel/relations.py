"""Which elements of a row the others are sums of, whatever the design."""

from collections.abc import Sequence
from typing import Final

import numpy as np
from scipy.linalg import lstsq, qr

from tradeopt.arrays import AnyArray, Array, Codes
from tradeopt.kernel.functions import FUNCTIONS
from tradeopt.kernel.node import Node, every
from tradeopt.kernel.plan import in_order

_MOVED: Final = frozenset({"const", "view", "join"})
_ARITHMETIC: Final = frozenset({"add", "subtract", "multiply", "divide", "negative", "number"})
_CHOICES: Final = frozenset({"where", "minimum", "maximum"})

_OWN: Final = 1e-8
"""Share of an element that is not in the others, beyond which it stands by itself."""

_ROUNDED: Final = 1e-12
"""Share of an element that rounding can make."""


def related(row: Node) -> tuple[Codes, Array]:
    """
    Find elements of which all elements of a row are sums.

    Parameters
    ----------
    row : Node
        One row for each design.

    Returns
    -------
    tuple of Codes and Array
        Flat places of those elements, in order, and how much of each is in every element of the
        row, shape (element kept, element).

    Notes
    -----
    Numbers are drawn for all that is neither arithmetic nor a choice, and for what decides the
    choices, and the row is worked out from them many times. Every element is then a fraction of
    polynomials of numbers that may be anything: a sum that holds in all draws holds always. Sums
    are found in one half of the draws and held against the other; if they do not agree, every
    element is kept.
    """
    size = row.value.size
    everything = every(size), np.eye(size)
    with np.errstate(all="ignore"):
        draws = _drawn(row, 4 * size)
    if not np.isfinite(draws).all():
        return everything
    scale = np.abs(draws).max(axis=0)
    scale[scale == 0.0] = 1.0
    found, others = np.split(draws / scale, 2)
    triangle, order = qr(found, mode="r", pivoting=True)
    left = np.abs(np.diag(triangle))
    kept = np.sort(order[left >= _OWN * left[0]]).astype(np.int64)
    shares = lstsq(found[:, kept], found)[0]
    shares[np.abs(shares) < _ROUNDED] = 0.0
    shares[:, kept] = np.eye(kept.size)
    if np.abs(others[:, kept] @ shares - others).max() > _ROUNDED:
        return everything
    return kept, shares * scale / scale[kept, np.newaxis]


def _drawn(row: Node, count: int) -> Array:
    """Work out a row many times, shape (draw, element)."""
    rng = np.random.default_rng(0)
    free = {node for node in in_order([row]) if not _is_followed(node)}
    values: dict[Node, AnyArray] = {}
    for node in in_order([row], free):
        own = rng.uniform(0.5, 2.0, (count, node.value.size))
        if node in free:
            values[node] = own * _about(node)
        elif node.op == "const":
            values[node] = np.broadcast_to(node.value.reshape(-1).astype(np.float64), own.shape)
        elif node.op == "map":
            values[node] = _applied(node.name, [values[part] for part in node.parts], own)
        else:
            parts = np.concatenate([values[part] for part in node.parts], axis=1)
            values[node] = parts[:, node.places.reshape(-1)]
    return np.asarray(values[row])


def _is_followed(node: Node) -> bool:
    return node.op in _MOVED or (node.op == "map" and node.name in _ARITHMETIC | _CHOICES)


def _applied(name: str, parts: Sequence[AnyArray], own: Array) -> AnyArray:
    """Apply a function; a choice becomes a mixture, which is either where the share is 0 or 1."""
    match name:
        case "number":
            return np.asarray(parts[0])
        case "where" | "minimum" | "maximum":
            *given, one, other = parts
            share = given[0] if given else own
            return np.asarray(other + share * (one - other))
        case _:
            return np.asarray(FUNCTIONS[name](*parts))


def _about(node: Node) -> Array:
    """Return numbers of a size that the elements may have."""
    usual = np.asarray(node.value, dtype=np.float64).reshape(-1)
    return np.where(np.isfinite(usual) & (usual != 0.0), usual, 1.0)
