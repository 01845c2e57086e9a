"""Wanted arrays come from wherever they are, for any number of designs."""

import numpy as np
import pytest

from tradeopt.kernel.product import Product
from tradeopt.kernel.record import Recorder
from tradeopt.kernel.stretch import TILE

MATRIX = np.random.default_rng(1).normal(size=(5, 6))


@pytest.fixture(params=["own", "numpy"], autouse=True)
def _way(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """By machine code where this processor has it, and as on one that has not."""
    if request.param == "numpy":
        monkeypatch.setattr(Product, "can_be_written", False)


@pytest.mark.parametrize("count", [0, 1, TILE, 3 * TILE + 1])
@pytest.mark.parametrize("wanted", [[0], [1], [2], [3], [4], [0, 1, 2, 3, 4]], ids=str)
@pytest.mark.parametrize("large", [1, 1000], ids=["product", "no product"])
def test_each_of_the_wanted(
    wanted: list[int], count: int, large: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tradeopt.kernel.traced.LARGE", large)

    def worked_out(x: np.ndarray) -> list[np.ndarray]:
        product = (x + 1.0) @ MATRIX
        constant = np.zeros_like(x[:, :2])
        found = [x * 2.0, product, np.sin(product), constant, x[:, 1:3]]
        return [found[one] for one in wanted]

    rows = np.random.default_rng(2).normal(size=(count, 5))
    recorder = Recorder()
    designs = recorder.given("designs", np.ones((1, 5)))
    found = recorder.program(designs, worked_out(designs), None).run(rows)
    for one, other in zip(found, worked_out(rows), strict=True):
        np.testing.assert_allclose(one, other, rtol=0.0, atol=1e-13)
