"""Machine code does what numpy does, function by function."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from tradeopt.kernel.node import UntraceableError
from tradeopt.kernel.record import Recorder

DESIGNS = 5
EDGES = np.array([0.0, 1.0, -1.0, 2.5, -2.5, 1e3, -1e-300, np.inf, -np.inf, np.nan])

Function = Callable[..., np.ndarray]


def numbered(*functions: Function) -> list[Any]:
    """Give functions names of their own for pytest."""
    return [
        pytest.param(one, id=f"{number}-{one.__name__}") for number, one in enumerate(functions)
    ]


def drawn(*shape: int) -> np.ndarray:
    return np.random.default_rng(3).uniform(-2.0, 2.0, (DESIGNS, *shape))


def by_machine(function: Function, *arrays: np.ndarray) -> np.ndarray:
    """Record a function for the first design, and run it for all of them."""
    recorder = Recorder()
    rows = np.concatenate([one.reshape(len(one), -1) for one in arrays], axis=1)
    designs = recorder.given("designs", rows[:1])
    ends = np.cumsum([one[0].size for one in arrays])
    parts = np.split(designs, ends[:-1], axis=1)
    given = [part.reshape(1, *one.shape[1:]) for part, one in zip(parts, arrays, strict=True)]
    with np.errstate(all="ignore"):
        found = function(*given)
        return recorder.program(designs, [found], None).run(rows)[0]


def stacked_twice(one: np.ndarray, other: np.ndarray) -> np.ndarray:
    """Rows of both in two orders, read as a whole, element by element and by places."""
    stack = np.stack([one, other], axis=1)
    again = np.stack([other, one, stack[:, 0] + 1.0], axis=1)
    picked = np.take_along_axis(stack[..., 3], np.argmax(stack[..., 4] > 0.0, axis=1)[:, None], 1)
    found: np.ndarray = (
        stack.sum(axis=1) * again.max(axis=1) + again[:, 2, :, ::-1] - picked[:, 0, :, None]
    )
    return found


def check(function: Function, *arrays: np.ndarray) -> None:
    with np.errstate(all="ignore"):
        wanted = function(*arrays)
    np.testing.assert_allclose(by_machine(function, *arrays), wanted, rtol=1e-13, atol=1e-15)


@pytest.mark.parametrize(
    "function",
    numbered(
        np.abs, np.sqrt, np.cbrt, np.square, np.sin, np.cos, np.tan, np.arctan, np.exp, np.expm1,
        np.log1p, np.log10, np.sinh, np.cosh,
        np.tanh, np.sign, np.floor, np.ceil, np.trunc, np.rint, np.negative, np.isnan, np.isinf,
        np.isfinite, np.nan_to_num, lambda x: np.clip(x, -1.0, 1.0), lambda x: x**2,
        lambda x: x**3,
        lambda x: np.maximum(x, 0.5), lambda x: np.minimum(0.5, x), lambda x: ~(x > 0.0),
        lambda x: np.where(x > 0.0, x, -1.0), lambda x: (x > 0.0) * x, lambda x: 1.0 / x,
        lambda x: (x > 0.0).astype(np.float64), lambda x: np.sin(-x) - 2.0 * np.cos(-x),
        lambda x: 1.0 * x + (0.0 + x / 1.0), lambda x: (x - 0.0) * 1.0 - (0.0 - x),
        lambda x: np.sqrt(x * x) - np.abs(np.abs(x)), lambda x: np.abs(np.sqrt(np.abs(x))),
    ),
)  # fmt: skip
@pytest.mark.parametrize("length", [1, 10, 30], ids=["one", "short", "long"])
def test_functions_of_one_number(function: Function, length: int) -> None:
    check(function, drawn(length))
    check(function, np.tile(np.resize(EDGES, length), (DESIGNS, 1)))


@pytest.mark.parametrize("length", [10, 30], ids=["short", "long"])
def test_whole_numbers_are_cut_towards_zero(length: int) -> None:
    check(lambda x: x.astype(np.int64) * 2.0, drawn(length))


@pytest.mark.parametrize(
    "function",
    numbered(
        np.add, np.subtract, np.multiply, np.divide, np.minimum, np.maximum, np.hypot, np.arctan2,
        np.copysign,
        np.less, np.less_equal, np.greater, np.greater_equal, np.equal, np.not_equal,
        lambda x, y: (x > 0.0) & (y > 0.0), lambda x, y: (x > 0.0) | (y > 0.0),
        lambda x, y: np.abs(x) ** y,
    ),
)  # fmt: skip
@pytest.mark.parametrize("length", [10, 31], ids=["short", "long"])
def test_functions_of_two_numbers(function: Function, length: int) -> None:
    check(function, drawn(length), drawn(length)[:, ::-1].copy())
    with_edges = np.tile(np.resize(EDGES, length), (DESIGNS, 1))
    if function is not np.hypot:  # squares of the greatest numbers are too great
        check(function, with_edges, np.roll(with_edges, 3, axis=1))


@pytest.mark.parametrize("length", [10, 31], ids=["short", "long"])
def test_equal_products_differ_by_nothing(length: int) -> None:
    array = drawn(length)
    found = by_machine(lambda x, y: 3.0 * x * x - 3.0 * y * y, array, array)
    np.testing.assert_array_equal(found, np.zeros_like(array))


@pytest.mark.parametrize("name", ["sum", "mean", "min", "max", "prod"])
@pytest.mark.parametrize("shape", [(4,), (3, 5), (3, 30), (2, 3, 33), (2, 100)])
def test_reductions_of_every_axis(name: str, shape: tuple[int, ...]) -> None:
    for axis in range(1, len(shape) + 1):
        check(lambda x, axis=axis: getattr(x, name)(axis=axis), drawn(*shape))
        check(lambda x, axis=axis: x / getattr(x, name)(axis=axis, keepdims=True), drawn(*shape))


@pytest.mark.parametrize("length", [5, 40])
@pytest.mark.parametrize("name", ["any", "all", "min", "max", "sum", "prod"])
def test_flags_taken_together(name: str, length: int) -> None:
    check(lambda x: getattr(x > 1.5, name)(axis=1), drawn(length))


@pytest.mark.parametrize("length", [8, 40])
def test_a_number_that_is_none_goes_through_every_reduction(length: int) -> None:
    array = drawn(length)
    array[:, 3] = np.nan
    for name in ("sum", "min", "max"):
        assert np.isnan(by_machine(lambda x, name=name: getattr(x, name)(axis=1), array)).all()


def test_what_numpy_loses_on_the_way_is_kept() -> None:
    numbers = np.array([[1e200], [-1e200], [1e-200], [-3.0]])
    sizes = np.array([[1e200], [1e200], [1e-200], [3.0]])
    np.testing.assert_array_equal(by_machine(lambda x: np.sqrt(x * x), numbers), sizes)
    found = by_machine(lambda x: np.sqrt(np.abs(x)) * np.sqrt(np.abs(x)), numbers)
    np.testing.assert_array_equal(found, sizes)


def test_adding_zero_keeps_the_sign_of_zero() -> None:
    found = by_machine(lambda x: x + 0.0, np.array([[-0.0], [0.0]]))
    np.testing.assert_array_equal(np.signbit(found), [[True], [False]])


@pytest.mark.parametrize(
    "function",
    numbered(
        np.abs, np.square, np.sqrt, np.hypot, lambda x, y: np.sqrt(np.abs(x) * 0.5 + y * y),
        lambda x, y: np.maximum(x, 0.0) + np.abs(y), lambda x, y: np.sqrt(np.maximum(x, y)),
        lambda x, y: np.sqrt(np.abs(x)) ** 2 - y, lambda x, y: np.sqrt(x) ** 2 - y,
        lambda x, y: np.where(x > 0.0, x * x, y), lambda x, y: np.minimum(np.abs(x), y),
    ),
)  # fmt: skip
@pytest.mark.parametrize("length", [7, 24, 45])
@pytest.mark.parametrize("extreme", [np.min, np.max])
def test_extremes_of_what_is_never_negative_and_of_what_may_be(
    function: Function, length: int, extreme: Function
) -> None:
    arity = getattr(function, "nin", 2)

    def extreme_of(*arrays: np.ndarray) -> np.ndarray:
        return extreme(function(*arrays[:arity]), axis=-1)

    check(extreme_of, drawn(length), drawn(length)[:, ::-1].copy())
    for edge in (np.nan, np.inf, -np.inf, -0.0, -3.0):
        for place in (0, length // 2, length - 1):
            array = np.abs(drawn(length))
            array[::2, place] = edge
            check(extreme_of, array, np.abs(drawn(length)))


@pytest.mark.parametrize(
    "function",
    numbered(
        lambda x: np.roll(x, 15, axis=-1) + x,
        lambda x: np.roll(x, 7, axis=-1) - x,
        lambda x: np.moveaxis(x, 1, 2) * 2.0,
        lambda x: np.repeat(x[..., :2], 15, axis=-1) + x,
        lambda x: x[..., ::-1] * 2.0,
        lambda x: x[..., ::3].sum(axis=-1),
        lambda x: np.stack([x[:, 0], -x[:, 1], x[:, 0] * x[:, 1]], axis=-2).sum(axis=-2),
        lambda x: np.stack([x, np.zeros_like(x)], axis=1) + 1.0,
        lambda x: np.stack([x[:, 0] * 2.0, np.cos(x[:, 1]), x[:, 2] - x[:, 0]], axis=2) * 2.0,
        lambda x: np.stack([x[:, 0] * 2.0, x[:, 1], np.ones_like(x[:, 0])], axis=1) - x,
        lambda x: stacked_twice(x * 2.0, np.roll(x, 15, axis=-1) * 3.0),
        lambda x: stacked_twice(np.roll(x * 2.0, 15, axis=-1), x - 1.0),
        lambda x: stacked_twice(np.roll(x * 2.0, 15, axis=-1), np.roll(x + 1.0, 15, axis=-1)),
        lambda x: stacked_twice(x * 2.0, np.broadcast_to(x[..., :1] * 3.0, x.shape)),
        lambda x: stacked_twice(x * 2.0, np.broadcast_to(np.arange(30.0), x.shape)),
        lambda x: np.concatenate([x, x * 2.0], axis=1).max(axis=-1),
        lambda x: np.concatenate([x, x * 2.0], axis=-1) * 3.0,
        lambda x: x.reshape(-1, 90)[:, 25:65] * 2.0,
        lambda x: np.broadcast_to(x[:, :1], x.shape) + x,
        lambda x: np.einsum("din,din->dn", x, x),
        lambda x: np.einsum("...in,...jn->...ij", x, x),
        lambda x: np.einsum("dij,j->di", x, np.arange(30.0)),
        lambda x: x[..., :4] @ np.arange(8.0).reshape(4, 2),
        lambda x: x[:, 0, :3] @ np.arange(120.0).reshape(3, 40),
        lambda x: x @ np.arange(30.0),
        lambda x: np.cumsum(x[..., :6], axis=-1),
        lambda x: np.argmax(x[..., :6] > 0.0, axis=-1),
        lambda x: np.take_along_axis(x[..., :6], np.argmax(x[..., :6], axis=-1)[..., None], -1),
        lambda x: np.divide(x, x[:, :1], out=np.zeros_like(x), where=x > 0.0),
        lambda x: np.append(x[:, 0, :5], x[:, 1, :5], axis=1),
        lambda x: np.broadcast_arrays(x, x[:, :1])[1] * x,
        lambda x: np.full_like(x, 2.0) * x,
        lambda x: np.where(np.arange(30) % 2 == 0, x, 0.0),
    ),
)  # fmt: skip
def test_views_stacks_and_products(function: Function) -> None:
    check(function, drawn(3, 30))


@pytest.mark.parametrize("stack", [np.stack, np.concatenate])
@pytest.mark.parametrize("length", [4, 30], ids=["short", "long"])
def test_flags_among_numbers_count_as_0_and_1(stack: Function, length: int) -> None:
    def mixed(x: np.ndarray) -> np.ndarray:
        return stack([x > 0.0, x, np.isnan(x)], axis=1)

    def written(x: np.ndarray) -> np.ndarray:
        found = x * 2.0
        found[:, 1] = x[:, 0] > 0.0
        return found

    for function in (
        lambda x: mixed(x) > 0.5,
        lambda x: np.maximum(mixed(x), 0.2) * 2.0,
        lambda x: mixed(x).max(axis=-1),
        lambda x: written(x) >= 1.0,
    ):
        check(function, drawn(length))


def test_writing_into_an_array_leaves_its_copy_alone() -> None:
    def written(array: np.ndarray) -> np.ndarray:
        before, after = array * 1.0, array.copy()
        after[:, 1] += 1.0
        after[..., 2] = before[..., 0]
        return after - before

    check(written, drawn(3, 30))


def test_a_large_matrix_is_multiplied_for_many_designs_at_once() -> None:
    matrix = np.random.default_rng(1).random((30, 1000))
    check(lambda x: np.sin(x[:, 0] @ matrix).max(axis=1), drawn(3, 30))


def test_places_beyond_a_table_are_held_within_it() -> None:
    table = np.array([[1.0, 2.0, 3.0]])
    codes = np.array([[0.0], [2.0], [7.0], [-4.0], [np.nan]])
    found = by_machine(
        lambda x: np.take_along_axis(table * np.ones_like(x), x.astype(np.int64), axis=1), codes
    )
    assert found[:, 0].tolist() == [1.0, 3.0, 3.0, 1.0, 1.0]


@pytest.mark.parametrize(
    ("function", "told"),
    [
        (lambda x: x if x[0, 0] > 0 else -x, "a choice by the value"),
        (np.asarray, "an array by the value"),
        (lambda x: x * float(x[0, 0]), "a number by the value"),
        (lambda x: np.arange(9)[x], "an array by the value"),
        (np.linalg.inv, "inv"),
        (np.add.reduce, "add.reduce"),
        (lambda x: np.where(x > 0.0), "where something holds"),
        (lambda x: np.array_equal(x, x * 2.0), "whether two arrays are equal"),
    ],
    ids=["if", "asarray", "float", "index", "inverse", "reduce", "where", "equal"],
)
def test_what_cannot_be_recorded_says_so(function: Function, told: str) -> None:
    recorder = Recorder()
    array = recorder.given("x", np.ones((1, 3)))
    with pytest.raises(UntraceableError, match=told):
        function(array)


@pytest.mark.parametrize("shift", [20, 13])
def test_arrays_are_equal_where_that_can_be_seen(shift: int) -> None:
    """A sum with itself half a turn later repeats after half a turn, and no other does."""
    recorder = Recorder()
    array = recorder.given("x", np.random.default_rng(1).random((1, 40)))
    both = array + np.roll(array, shift, axis=-1)
    if shift == 20:
        assert np.array_equal(both[:, :20], both[:, 20:])
    else:
        with pytest.raises(UntraceableError):
            np.array_equal(both[:, :20], both[:, 20:])


def test_an_array_that_records_has_the_shape_of_one() -> None:
    array = Recorder().given("x", np.ones((2, 3)))
    assert (array.shape, array.ndim, array.size, len(array)) == ((2, 3), 2, 6, 2)
