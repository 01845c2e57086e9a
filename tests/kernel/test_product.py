"""Products with a matrix that stays, in machine code and by numpy."""

import numpy as np
import pytest

from tests.kernel.test_functions import Function, by_machine, numbered
from tradeopt.kernel.product import Product
from tradeopt.kernel.record import Recorder
from tradeopt.kernel.stretch import TILE

SQUARE = np.random.default_rng(6).normal(size=(30, 30))
LONG = np.random.default_rng(7).normal(size=(60, 30))


@pytest.fixture(params=["own", "numpy"], autouse=True)
def _way(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """By machine code where this processor has it, and as on one that has not."""
    monkeypatch.setattr("tradeopt.kernel.traced.LARGE", 1)
    if request.param == "numpy":
        monkeypatch.setattr(Product, "can_be_written", False)


@pytest.mark.parametrize("columns", [1, 8, 23, 24, 25, 100, 481])
@pytest.mark.parametrize("terms", [1, 22])
def test_every_number_of_rows_and_columns(terms: int, columns: int) -> None:
    rng = np.random.default_rng(terms)
    matrix = rng.normal(size=(terms, columns))
    for count in (1, 7, 8, 9, TILE, TILE + 1, 3 * TILE - 1):
        rows = rng.normal(size=(count, terms))
        found = by_machine(lambda x: 2.0 * ((x + 1.0) @ matrix), rows)
        wanted = [[2.0 * sum((row + 1.0) * column) for column in matrix.T] for row in rows]
        np.testing.assert_allclose(found, wanted, rtol=0.0, atol=1e-12)


def test_a_row_that_is_no_number_leaves_the_others_alone() -> None:
    rows = np.ones((17, 3))
    rows[4, 1], rows[16, 2] = np.nan, np.inf
    with np.errstate(all="ignore"):
        found = by_machine(lambda x: x @ np.ones((3, 50)), rows)
    assert np.isnan(found[4]).all()
    assert np.isposinf(found[16]).all()
    np.testing.assert_array_equal(np.delete(found, [4, 16], axis=0), 3.0)


def test_products_of_products() -> None:
    rng = np.random.default_rng(2)
    first, second = rng.normal(size=(4, 30)), rng.normal(size=(30, 7))
    rows = rng.normal(size=(2 * TILE + 3, 4))
    found = by_machine(lambda x: np.sin(x @ first) @ second, rows)
    np.testing.assert_allclose(found, np.sin(rows @ first) @ second, rtol=0.0, atol=1e-12)


@pytest.mark.parametrize(
    "function",
    numbered(
        lambda x: (x + 1.0)[:, :30] @ SQUARE,
        lambda x: x[:, :30] @ SQUARE,
        lambda x: x[:, ::2] @ SQUARE,
        lambda x: x @ LONG @ SQUARE,
        lambda x: x @ LONG @ SQUARE @ SQUARE,
        lambda x: (x @ LONG)[:, ::-1] @ SQUARE,
        lambda x: np.roll(x + 1.0, 3, axis=1) @ LONG,
        lambda x: np.concatenate([x[:, :7], np.sin(x[:, :23])], axis=1) @ SQUARE,
        lambda x: (x > 0.0) @ LONG,
        lambda x: np.ones_like(x) @ LONG + x[:, :1],
    ),
)
def test_rows_from_anywhere(function: Function, monkeypatch: pytest.MonkeyPatch) -> None:
    rows = np.random.default_rng(5).normal(size=(2 * TILE + 2, 60))
    np.testing.assert_allclose(by_machine(function, rows), function(rows), rtol=0.0, atol=1e-10)
    # other processors can do this too, only slower
    monkeypatch.setattr(Product, "can_be_written", True)
    recorder = Recorder()
    designs = recorder.given("designs", rows[:1])
    program = recorder.program(designs, [function(designs)], None)
    assert not program.islands
    (every,) = program.run(rows)
    for count in (1, TILE - 1, TILE, TILE + 1, 2 * TILE + 2):
        np.testing.assert_array_equal(program.run(rows[:count])[0], every[:count])
        np.testing.assert_array_equal(program.run(rows[-count:])[0], every[-count:])


def test_rows_from_before_a_call() -> None:
    several = np.random.default_rng(8).normal(size=(10, 4))

    def function(x: np.ndarray) -> np.ndarray:
        called = x.reshape(-1, 6, 10) @ several
        found: np.ndarray = x @ LONG @ SQUARE + called.sum(axis=(1, 2))[:, np.newaxis]
        return found

    rows = np.random.default_rng(9).normal(size=(TILE + 2, 60))
    np.testing.assert_allclose(by_machine(function, rows), function(rows), rtol=0.0, atol=1e-10)


def test_a_row_of_several_is_multiplied_by_numpy() -> None:
    matrix = np.random.default_rng(3).normal(size=(5, 9))
    rows = np.random.default_rng(4).normal(size=(TILE + 2, 3, 5))
    found = by_machine(lambda x: (x * 2.0) @ matrix, rows)
    np.testing.assert_allclose(found, 2.0 * rows @ matrix, rtol=0.0, atol=1e-12)


def test_the_room_of_a_product_is_used_again() -> None:
    by_matrix = Product(np.ones((3, 50)))
    first = by_matrix({"rows": np.ones((9, 3))})["product"]
    second = by_matrix({"rows": np.full((9, 3), 2.0)})["product"]
    assert np.shares_memory(first, second)
