"""Products with a matrix that stays, in machine code of their own and by numpy."""

import numpy as np
import pytest

from tradeopt.kernel.product import Product


@pytest.fixture(params=["own", "numpy"], autouse=True)
def _way(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """By machine code where this processor has it, and as on one that has not."""
    if request.param == "numpy":
        monkeypatch.setattr("llvmlite.binding.get_host_cpu_features", dict)


@pytest.mark.parametrize("columns", [1, 8, 23, 24, 25, 100, 481])
@pytest.mark.parametrize("terms", [1, 22])
def test_every_number_of_rows_and_columns(terms: int, columns: int) -> None:
    rng = np.random.default_rng(terms)
    matrix = rng.normal(size=(terms, columns))
    by_matrix = Product(matrix)
    for count in (1, 7, 8, 9, 64):
        rows = rng.normal(size=(count, terms))
        found = by_matrix({"rows": rows})["product"]
        wanted = [[sum(row * column) for column in matrix.T] for row in rows]
        assert found.shape == (count, by_matrix.size)
        np.testing.assert_allclose(found[:, :columns], wanted, rtol=0.0, atol=1e-13)


def test_a_row_that_is_no_number_leaves_the_others_alone() -> None:
    rows = np.ones((17, 3))
    rows[4, 1], rows[16, 2] = np.nan, np.inf
    with np.errstate(all="ignore"):
        found = Product(np.ones((3, 50)))({"rows": rows})["product"][:, :50]
    assert np.isnan(found[4]).all()
    assert np.isposinf(found[16]).all()
    np.testing.assert_array_equal(np.delete(found, [4, 16], axis=0), 3.0)


def test_a_product_holds_until_the_next_call() -> None:
    by_matrix = Product(np.ones((3, 50)))
    first = by_matrix({"rows": np.ones((9, 3))})["product"]
    second = by_matrix({"rows": np.full((9, 3), 2.0)})["product"]
    assert np.shares_memory(first, second)
