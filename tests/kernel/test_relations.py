"""Elements that are sums of others are found, and left out of large products."""

from collections.abc import Callable
from typing import cast

import numpy as np
import pytest

from tradeopt.arrays import AnyArray
from tradeopt.kernel.record import Recorder
from tradeopt.kernel.relations import related
from tradeopt.kernel.traced import Traced

COLUMNS = 9000
Function = Callable[[np.ndarray], np.ndarray]


def row_of(*elements: AnyArray) -> np.ndarray:
    return np.stack(elements, axis=1)


def kept_of(function: Function, count: int = 4) -> tuple[list[int], np.ndarray]:
    designs = Recorder().given("designs", np.linspace(0.5, 2.0, count)[np.newaxis])
    with np.errstate(all="ignore"):
        found = cast("Traced", function(designs))
    kept, shares = related(found.node)
    return kept.tolist(), shares


def test_sums_are_found_with_their_shares() -> None:
    kept, shares = kept_of(lambda x: row_of(x[:, 0], x[:, 1], 3.0 * x[:, 0] - x[:, 1] / 4.0))
    assert len(kept) == 2
    wanted = np.array([[1.0, 0.0], [0.0, 1.0], [3.0, -0.25]])  # each element in terms of x0, x1
    np.testing.assert_allclose(shares.T @ wanted[kept], wanted, rtol=1e-12, atol=1e-12)


@pytest.mark.parametrize(
    ("function", "count"),
    [
        (lambda x: row_of(x[:, 0], x[:, 1], x[:, 0] * x[:, 1]), 3),
        (lambda x: row_of(x[:, 0], np.sqrt(x[:, 0]), x[:, 0] ** 2), 3),
        (lambda x: row_of(x[:, 0] * x[:, 1], x[:, 1] * (2.0 * x[:, 0])), 1),
        (lambda x: row_of(x[:, 0], (x[:, 0] ** 2 + x[:, 0] * x[:, 1]) / (x[:, 0] + x[:, 1])), 1),
        (lambda x: row_of(x[:, 0], x[:, 0] + 1.0, x[:, 0] + 2.0), 2),
        (lambda x: row_of(x[:, 0], np.maximum(x[:, 0], 0.0)), 2),
        (lambda x: row_of(x[:, 0], np.where(x[:, 1] > 9.0, 0.0, x[:, 0])), 2),
        (lambda x: row_of(x[:, 0], np.where(x[:, 1] > 9.0, 3.0 * x[:, 0], x[:, 0] * 3.0)), 1),
        (lambda x: row_of(0.0 * x[:, 0], x[:, 1]), 1),
        (lambda x: row_of(x[:, 0], x[:, 1] + 1e-7 * x[:, 0]), 2),
        (lambda x: row_of(x[:, 0], (x[:, 1] - x[:, 1]) / (x[:, 1] - x[:, 1])), 2),
    ],
    ids=[
        "a product", "powers", "the same product", "a fraction that can be cut", "constants",
        "the greater", "a choice not taken by the sample", "a choice of the same", "nothing",
        "nearly the same", "no number",
    ],
)  # fmt: skip
def test_only_sums_are_left_out(function: Function, count: int) -> None:
    assert len(kept_of(function)[0]) == count


def by_machine(matrix: np.ndarray, rows: Function, designs: np.ndarray) -> np.ndarray:
    recorder = Recorder()
    traced = recorder.given("designs", designs[:1])
    found = rows(traced) @ matrix
    (island,) = recorder.islands
    assert island.given["rows"].value.size < len(matrix)
    return recorder.program(traced, [found], None).run(designs)[0]


def six_of_three(x: np.ndarray) -> np.ndarray:
    """Mass, moment and inertia of what is hung at two places, and of both together."""
    mass, at, other = x[:, 0], x[:, 1], x[:, 2]
    whole = mass + 2.0 * other
    moment = mass * at + 0.5 * other
    return row_of(mass, other, whole, moment, mass * (at - 1.0), (moment / whole) * whole)


@pytest.mark.parametrize("seed", range(5))
def test_a_large_product_is_the_same_without_them(seed: int) -> None:
    rng = np.random.default_rng(seed)
    matrix = rng.normal(size=(6, COLUMNS))
    designs = rng.uniform(0.1, 10.0, (3, 3))
    found = by_machine(matrix, six_of_three, designs)
    wanted = six_of_three(designs) @ matrix
    np.testing.assert_allclose(found, wanted, rtol=0.0, atol=1e-13 * np.abs(wanted).max())


def test_an_element_that_is_left_out_and_no_number_is_seen_in_the_product() -> None:
    matrix = np.ones((6, COLUMNS))
    designs = np.array([[1.0, 2.0, 3.0], [2.0, 1.0, -1.0]])  # the second has no mass at all
    with np.errstate(all="ignore"):
        wanted = six_of_three(designs) @ matrix
    found = by_machine(matrix, six_of_three, designs)
    assert np.isnan(wanted[1]).all()
    np.testing.assert_array_equal(np.isnan(found), np.isnan(wanted))
