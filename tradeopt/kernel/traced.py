"""An array that records what numpy is asked to do with it."""

from collections.abc import Callable, Mapping
from typing import Any, Final, TypeAlias

import numpy as np
from numpy.lib.mixins import NDArrayOperatorsMixin

from tradeopt.arrays import AnyArray, Codes, Flags
from tradeopt.kernel.facts import may_differ_from_zero
from tradeopt.kernel.functions import DIRECT, LOGIC
from tradeopt.kernel.graph import Graph
from tradeopt.kernel.node import Node, UntraceableError

_MATRIX: Final = 2
"""Axes of a matrix."""

LARGE: Final = 20_000
"""Elements of a matrix that is better multiplied with many designs at once."""

_OF_FLAGS: Final = {"minimum": "logical_and", "maximum": "logical_or"}
_COUNTED: Final = ("add", "multiply")

Axes: TypeAlias = int | tuple[int, ...] | None
Call: TypeAlias = Callable[..., Any]
Given: TypeAlias = Any
"""Whatever numpy's own function takes or gives there."""


class Traced(NDArrayOperatorsMixin):
    """Stands for an array; what can be recorded is, and anything else raises.

    Parameters
    ----------
    graph : Graph
        What records it.
    node : Node
        What it is.
    """

    def __init__(self, graph: Graph, node: Node) -> None:
        self.graph = graph
        self.node = node

    @property
    def shape(self) -> tuple[int, ...]:
        """As of an array."""
        return self.node.shape

    @property
    def ndim(self) -> int:
        """As of an array."""
        return len(self.node.shape)

    @property
    def size(self) -> int:
        """As of an array."""
        return self.node.value.size

    @property
    def dtype(self) -> np.dtype[Any]:
        """As of an array."""
        return self.node.value.dtype

    @property
    def places(self) -> Codes:
        """Flat place of each element."""
        return np.arange(self.size, dtype=np.int64).reshape(self.shape)

    def seen(self, places: Codes) -> "Traced":
        """Return elements by their flat places."""
        return Traced(self.graph, self.graph.view(self.node, np.ascontiguousarray(places)))

    def mapped(self, name: str, *others: object) -> "Traced":
        """Apply a function element by element, this first."""
        rest = (self.lifted(one) for one in others)
        return Traced(self.graph, self.graph.map(name, self.node, *rest))

    def lifted(self, value: object) -> Node:
        """Return anything as a node of the same graph."""
        if isinstance(value, Traced):
            return value.node
        return self.graph.const(np.asarray(value))

    def folded(self, name: str, axis: Axes = None, *, keepdims: bool = False) -> "Traced":
        """Reduce axes."""
        axes = range(self.ndim) if axis is None else (axis,) if isinstance(axis, int) else axis
        order = sorted((one % self.ndim for one in axes), reverse=True)
        node = self.node
        if node.is_flag:
            name = _OF_FLAGS.get(name, name)
            node = self.graph.map("number", node) if name in _COUNTED else node
        for one in order:
            node = self.graph.fold(name, node, one)
        found = Traced(self.graph, node)
        return found.seen(np.expand_dims(found.places, order)) if keepdims else found

    def __len__(self) -> int:
        return self.shape[0]

    def __getitem__(self, item: Given) -> "Traced":
        return self.seen(self.places[item])

    def __setitem__(self, item: Given, value: object) -> None:
        places = self.places
        at = np.ascontiguousarray(places[item])
        given = self.lifted(value)
        spread = np.broadcast_to(np.arange(given.value.size).reshape(given.shape), at.shape)
        places[item] = self.size + spread
        self.node = self.graph.join([self.node, given], places)

    def __array_ufunc__(
        self, ufunc: np.ufunc, method: str, *inputs: object, **options: Given
    ) -> "Traced":
        where, out = options.pop("where", True), options.pop("out", (None,))[0]
        call = UFUNCS.get(ufunc.__name__)
        if method != "__call__" or options or call is None:
            raise UntraceableError(f"{ufunc.__name__}.{method} with {sorted(options)}")
        found: Traced = call(*(Traced(self.graph, self.lifted(one)) for one in inputs))
        if where is not True:
            found = Traced(self.graph, self.lifted(where)).mapped("where", found, out)
        if isinstance(out, Traced):
            out.node = found.node
        return found

    def __array_function__(
        self, func: Given, types: object, args: tuple[Any, ...], kwargs: Mapping[str, Any]
    ) -> Given:
        del types
        call = self.graph.calls.get(func.__name__)
        if call is not None:
            return call(self.graph, func, *args, **kwargs)
        named = {name: _known(one, func.__name__) for name, one in kwargs.items()}
        return func(*(_known(one, func.__name__) for one in args), **named)

    def known(self, wanted: str) -> AnyArray:
        """Return its value, where that is the same for every design."""
        if self.node.op != "const":
            raise UntraceableError(f"{wanted} by the value of a design")
        return self.node.value.copy()

    def __bool__(self) -> bool:
        return bool(self.known("a choice"))

    def __array__(self, *_options: object, **_more: object) -> AnyArray:
        return self.known("an array")

    def __float__(self) -> float:
        return float(self.known("a number"))

    def __index__(self) -> int:
        return int(self.known("a place"))

    def columns_in_use(self) -> Flags:
        """Which columns of a table of one row are not 0 for every design."""
        used = may_differ_from_zero(self.node).reshape(self.shape)
        return np.asarray(used.any(axis=0))

    def min(self, axis: Axes = None, *, keepdims: bool = False) -> "Traced":
        """As of an array."""
        return self.folded("minimum", axis, keepdims=keepdims)

    def max(self, axis: Axes = None, *, keepdims: bool = False) -> "Traced":
        """As of an array."""
        return self.folded("maximum", axis, keepdims=keepdims)

    def sum(self, axis: Axes = None, *, keepdims: bool = False) -> "Traced":
        """As of an array."""
        return self.folded("add", axis, keepdims=keepdims)

    def mean(self, axis: Axes = None, *, keepdims: bool = False) -> "Traced":
        """As of an array."""
        total = self.folded("add", axis, keepdims=keepdims)
        return total.mapped("divide", float(self.size // total.size))

    def any(self, axis: Axes = None, *, keepdims: bool = False) -> "Traced":
        """As of an array."""
        return self.folded("logical_or", axis, keepdims=keepdims)

    def all(self, axis: Axes = None, *, keepdims: bool = False) -> "Traced":
        """As of an array."""
        return self.folded("logical_and", axis, keepdims=keepdims)

    def prod(self, axis: Axes = None, *, keepdims: bool = False) -> "Traced":
        """As of an array."""
        return self.folded("multiply", axis, keepdims=keepdims)

    def reshape(self, *shape: Given) -> "Traced":
        """As of an array."""
        return self.seen(self.places.reshape(*shape))

    def copy(self) -> "Traced":
        """As of an array: writing into the copy leaves this alone."""
        return Traced(self.graph, self.node)

    def astype(self, kind: Given) -> "Traced":
        """As of an array, for flags, whole numbers and numbers."""
        wanted = np.dtype(kind)
        found = self.mapped("number") if self.node.is_flag else self
        if wanted == np.bool_:
            return found.mapped("not_equal", 0.0)
        # whole numbers are kept as numbers; they are exact far beyond any place in a table
        return found.mapped("trunc") if np.issubdtype(wanted, np.integer) else found


def _known(value: Given, wanted: str) -> Given:
    """Return what is the same for every design, for functions that are not recorded."""
    if isinstance(value, list | tuple):
        return type(value)(_known(one, wanted) for one in value)
    return value.known(wanted) if isinstance(value, Traced) else value


def _plain(name: str) -> Call:
    """Return a function of numbers; flags count as 0 and 1."""

    def call(first: Traced, *others: Traced) -> Traced:
        numbers = [one.mapped("number") if one.node.is_flag else one for one in (first, *others)]
        return numbers[0].mapped(name, *numbers[1:])

    return call


def _logic(name: str) -> Call:
    def call(first: Traced, *others: Traced) -> Traced:
        flags = [
            one if one.node.is_flag else one.mapped("not_equal", 0.0) for one in (first, *others)
        ]
        return flags[0].mapped(name, *flags[1:])

    return call


def _square(one: Traced) -> Traced:
    return one.mapped("multiply", one)


def _power(base: Traced, exponent: Traced) -> Traced:
    """Raise to a power; simple ones as numpy does them."""
    value = exponent.node.value
    alike = exponent.node.op == "const" and value.size and (value == value.flat[0]).all()
    match float(value.flat[0]) if alike else None:
        case 1.0:
            found = base
        case 2.0:
            found = _square(base)
        case 0.5:
            found = base.mapped("sqrt")
        case -1.0:
            found = Traced(base.graph, base.lifted(1.0)).mapped("divide", base)
        case _:
            found = base.mapped("power", exponent)
    shape = np.broadcast_shapes(base.shape, exponent.shape)
    return found.seen(np.broadcast_to(found.places, shape))


def _sign(one: Traced) -> Traced:
    up = one.mapped("greater", 0.0).mapped("where", 1.0, one)
    return one.mapped("less", 0.0).mapped("where", -1.0, up)


def _hypot(first: Traced, second: Traced) -> Traced:
    return _square(first).mapped("add", _square(second)).mapped("sqrt")


def _is_infinite(one: Traced) -> Traced:
    return one.mapped("absolute").mapped("equal", np.inf)


def _is_finite(one: Traced) -> Traced:
    return one.mapped("absolute").mapped("less", np.inf)


def _product(first: Traced, second: Traced) -> Traced:
    """Multiply rows with a vector or with a matrix; a large one is a step of its own."""
    if second.ndim == 1:
        return first.mapped("multiply", second).folded("add", -1)
    if second.ndim != _MATRIX or first.ndim < _MATRIX:
        raise UntraceableError("a product of many matrices")
    if second.size >= LARGE and second.node.op == "const":
        return Traced(first.graph, first.graph.outside(first.node, second.node.value))
    found = first[..., :1].mapped("multiply", second[0])
    for row in range(1, len(second)):
        found = found.mapped("add", first[..., row : row + 1].mapped("multiply", second[row]))
    return found


UFUNCS: Final[Mapping[str, Call]] = {
    **{name: _plain(name) for name in DIRECT},
    **{one.__name__: _logic(one.__name__) for one in LOGIC},
    "bitwise_and": _logic("logical_and"),
    "bitwise_or": _logic("logical_or"),
    "invert": _logic("logical_not"),
    "square": _square,
    "power": _power,
    "sign": _sign,
    "hypot": _hypot,
    "isinf": _is_infinite,
    "isfinite": _is_finite,
    "matmul": _product,
}
"""What numpy's functions of elements become."""
