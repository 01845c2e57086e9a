"""Functions of numpy that look at, stack or reduce arrays, as recordings."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any, Final

import numpy as np

from tradeopt.arrays import Codes
from tradeopt.kernel.facts import is_same
from tradeopt.kernel.graph import Graph
from tradeopt.kernel.node import LONG, UntraceableError
from tradeopt.kernel.traced import Given, Traced

VIEWS: Final = (
    np.moveaxis,
    np.swapaxes,
    np.reshape,
    np.transpose,
    np.roll,
    np.flip,
    np.repeat,
    np.expand_dims,
    np.squeeze,
    np.broadcast_to,
    np.ravel,
    np.diagonal,
)
STACKS: Final = (np.stack, np.concatenate, np.column_stack)
REDUCED: Final = {
    "min": "minimum",
    "amin": "minimum",
    "max": "maximum",
    "amax": "maximum",
    "sum": "add",
    "any": "logical_or",
    "all": "logical_and",
    "prod": "multiply",
}


def _traced(graph: Graph, value: object) -> Traced:
    return value if isinstance(value, Traced) else Traced(graph, graph.const(np.asarray(value)))


def _view(graph: Graph, func: Given, array: Given, *args: Given, **options: Given) -> Traced:
    del graph
    if not isinstance(array, Traced):
        raise UntraceableError(f"{func.__name__} by the values of a design")
    return array.seen(func(array.places, *args, **options))


def _split(
    graph: Graph, func: Given, array: Traced, *args: Given, **options: Given
) -> list[Traced]:
    del graph
    return [array.seen(places) for places in func(array.places, *args, **options)]


def _stack(
    graph: Graph, func: Given, arrays: Sequence[Any], *axis: int, **options: Given
) -> Traced:
    parts = [_traced(graph, one) for one in arrays]
    starts = np.cumsum([0, *(part.size for part in parts)])
    places = [part.places + start for part, start in zip(parts, starts, strict=False)]
    index = np.ascontiguousarray(func(places, *axis, **options))
    return Traced(graph, graph.join([part.node for part in parts], index))


def _append(
    graph: Graph, func: Given, array: Given, values: Given, axis: int | None = None
) -> Traced:
    del func
    parts = [_traced(graph, one) for one in (array, values)]
    if axis is None:
        parts = [one.reshape(-1) for one in parts]
    return _stack(graph, np.concatenate, parts, axis=axis or 0)


def _reduce(
    graph: Graph, func: Given, array: Given, axis: Given = None, *, keepdims: bool = False
) -> Traced:
    return _traced(graph, array).folded(REDUCED[func.__name__], axis, keepdims=keepdims)


def _mean(
    graph: Graph, func: Given, array: Given, axis: Given = None, *, keepdims: bool = False
) -> Traced:
    del func
    return _traced(graph, array).mean(axis, keepdims=keepdims)


def _where(graph: Graph, func: Given, holds: Given, *both: Given) -> Traced:
    del func
    if not both:
        raise UntraceableError("where something holds")
    numbers = [_traced(graph, one) for one in both]
    if any(one.node.is_flag for one in numbers):
        numbers = [one.astype(np.float64) for one in numbers]
    return _traced(graph, holds).mapped("where", *numbers)


def _clip(graph: Graph, func: Given, array: Given, low: Given, high: Given) -> Traced:
    del func
    found = _traced(graph, array)
    found = found if low is None else found.mapped("maximum", low)
    return found if high is None else found.mapped("minimum", high)


def _like(value: float) -> Callable[..., Traced]:
    def call(graph: Graph, func: Given, array: Traced, given: float = value) -> Traced:
        del func
        return Traced(graph, graph.const(np.full(array.shape, given)))

    return call


def _full_like(graph: Graph, func: Given, array: Given, value: Given) -> Traced:
    del func
    found = _traced(graph, value)
    return found.seen(np.broadcast_to(found.places, np.shape(array)))


def _broadcast_arrays(graph: Graph, func: Given, *arrays: Given) -> tuple[Traced, ...]:
    del func
    parts = [_traced(graph, one) for one in arrays]
    shape = np.broadcast_shapes(*(one.shape for one in parts))
    return tuple(one.seen(np.broadcast_to(one.places, shape)) for one in parts)


def _take_along(graph: Graph, func: Given, table: Given, codes: Given, axis: int) -> Traced:
    del func
    found, picked = _traced(graph, table), _traced(graph, codes)
    first = np.take(found.places, [0], axis=axis)
    shape = list(np.broadcast_shapes(first.shape, picked.shape))
    places = np.ascontiguousarray(np.broadcast_to(first, shape))
    stride = int(np.prod(found.shape[axis % found.ndim + 1 :]))
    return Traced(graph, graph.take(found.node, picked.node, places, stride))


def _running(graph: Graph, func: Given, array: Given, axis: int) -> Traced:
    del func
    whole = _traced(graph, array)
    found: list[Traced] = []
    for place in range(whole.shape[axis]):
        one = whole.seen(np.take(whole.places, place, axis))
        found.append(found[-1].mapped("add", one) if found else one)
    return _stack(graph, np.stack, found, axis=axis)


def _place_of_most(graph: Graph, func: Given, array: Given, axis: int) -> Traced:
    del func
    whole = _traced(graph, array).astype(np.float64)
    most = whole.seen(np.take(whole.places, 0, axis))
    best = Traced(graph, graph.const(np.zeros(most.shape)))
    for place in range(1, whole.shape[axis]):
        one = whole.seen(np.take(whole.places, place, axis))
        more = one.mapped("greater", most)
        best, most = more.mapped("where", float(place), best), more.mapped("where", one, most)
    return best


def _nan_to_num(graph: Graph, func: Given, array: Given) -> Traced:
    del func
    found = _traced(graph, array)
    known = found.mapped("isnan").mapped("where", 0.0, found)
    largest = np.finfo(np.float64).max
    return known.mapped("maximum", -largest).mapped("minimum", largest)


def _einsum(graph: Graph, func: Given, subscripts: str, *operands: Given) -> Traced:
    """Multiply in one frame of axes, and sum those that the result has not.

    Long axes stay last, where they are looped over.
    """
    del func
    terms, _, result = subscripts.partition("->")
    parts = [_traced(graph, one) for one in operands]
    leading = max(
        part.ndim - len(term.replace("...", ""))
        for part, term in zip(parts, terms.split(","), strict=True)
    )
    kept = result.replace("...", "")
    sizes = {
        label: size
        for part, term in zip(parts, terms.split(","), strict=True)
        for label, size in zip(reversed(term), reversed(part.shape), strict=False)
        if label.isalpha()
    }
    summed = [label for label in sizes if label not in kept]
    before = "".join(label for label in summed if sizes[label] < LONG)
    after = "".join(label for label in summed if sizes[label] >= LONG)
    frame = before + kept + after
    product: Traced | None = None
    for part, term in zip(parts, terms.split(","), strict=True):
        one = part.seen(_aligned(part.places, term, frame, leading))
        product = one if product is None else product.mapped("multiply", one)
    if product is None:
        raise UntraceableError("nothing to multiply")
    axes = tuple(leading + frame.index(label) for label in summed)
    return product.folded("add", axes) if axes else product


def _aligned(places: Codes, term: str, labels: str, leading: int) -> Codes:
    """Move the axes of a term to where a frame of labels has them."""
    own = term.replace("...", "")
    free = places.ndim - len(own)
    order = [*range(free), *(free + own.index(label) for label in labels if label in own)]
    moved = np.transpose(places, order)
    shape = [*[1] * (leading - free), *moved.shape[:free]]
    sizes = iter(moved.shape[free:])
    shape += [next(sizes) if label in own else 1 for label in labels]
    return moved.reshape(shape)


def _alike(graph: Graph, func: Given, first: Given, second: Given) -> bool:
    """Whether two arrays are equal for every design: only where that can be seen."""
    del func
    left, right = _traced(graph, first), _traced(graph, second)
    if left.shape == right.shape and is_same(left.node, right.node):
        return True
    raise UntraceableError("whether two arrays are equal")


def _shape(graph: Graph, func: Given, array: Traced) -> tuple[int, ...]:
    del graph, func
    return array.shape


CALLS: Final[Mapping[str, Callable[..., Any]]] = {
    **{one.__name__: _view for one in VIEWS},
    **{one.__name__: _stack for one in STACKS},
    **dict.fromkeys(REDUCED, _reduce),
    "split": _split,
    "append": _append,
    "mean": _mean,
    "where": _where,
    "clip": _clip,
    "zeros_like": _like(0.0),
    "ones_like": _like(1.0),
    "full_like": _full_like,
    "broadcast_arrays": _broadcast_arrays,
    "take_along_axis": _take_along,
    "cumsum": _running,
    "argmax": _place_of_most,
    "nan_to_num": _nan_to_num,
    "einsum": _einsum,
    "shape": _shape,
    "array_equal": _alike,
}
"""What numpy's functions of whole arrays become."""
