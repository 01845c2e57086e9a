"""Designs on unit scales and back."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose, assert_array_equal

from tradeopt.search.cube import Cube
from tradeopt.study.problem import Variable

SIZES = tuple(float((7 * place) % 20) for place in range(20))
"""Twenty parts that do not stand in order of their size."""

CUBE = Cube(
    (
        Variable("ratio", "1", 1.0, 100.0, log=True),
        Variable("share", "1", -2.0, 2.0),
        Variable("cells", "1", 2.0, 6.0, whole=True),
        Variable("fan", "", 0.0, 2.0, choices=("no", "small", "large")),
        Variable("motor", "", 0.0, 19.0, choices=tuple("abcdefghijklmnopqrst"), sizes=SIZES),
    )
)


def test_each_axis_is_what_its_variable_is() -> None:
    assert_array_equal(CUBE.numbers, [0, 1, 2, 4])
    assert_array_equal(CUBE.smooth, [0, 1])
    assert_array_equal(CUBE.words, [3])
    assert_array_equal(CUBE.choices, [3])
    # whole numbers 2 to 6 make four steps, twenty parts nineteen
    assert_allclose(CUBE.step, [0.0, 0.0, 0.25, 1.0 / 19.0])


def test_the_middle_of_each_scale() -> None:
    values = CUBE.to_values(np.array([[0.5, 0.5, 0.5, 1.0, 0.0]]))
    # the middle of 1 to 100 on the logarithm is 10; the smallest part is the first one, of size 0
    assert_allclose(values, [[10.0, 0.0, 4.0, 1.0, 0.0]], rtol=1e-14)


def test_parts_stand_in_order_of_their_size() -> None:
    genes = np.column_stack([np.zeros((20, 4)), np.linspace(0.0, 1.0, 20)])
    chosen = CUBE.to_values(genes)[:, 4].astype(int)
    assert [SIZES[place] for place in chosen] == sorted(SIZES)
    assert_allclose(CUBE.to_genes(CUBE.to_values(genes))[:, 4], genes[:, 4], atol=1e-15)


@given(st.integers(0, 2**32 - 1))
def test_designs_drawn_anywhere_come_back_as_they_were(seed: int) -> None:
    genes = CUBE.anywhere(np.random.default_rng(seed), 20)
    values = CUBE.to_values(genes)
    for column, variable in enumerate(CUBE.variables):
        assert np.all(
            (values[:, column] >= variable.lower) & (values[:, column] <= variable.upper)
        )
    assert_array_equal(values[:, 2:], np.round(values[:, 2:]))
    assert_allclose(CUBE.to_genes(values), genes, atol=1e-12)
    assert_allclose(CUBE.snapped(genes), genes, atol=1e-12)


@pytest.mark.parametrize(("gene", "snapped"), [(-0.3, 0.0), (0.1, 0.0), (0.13, 0.25), (1.4, 1.0)])
def test_genes_between_two_steps_go_to_the_nearer_one(gene: float, snapped: float) -> None:
    genes = np.array([[0.5, 0.5, gene, 0.0, 0.0]])
    assert CUBE.snapped(genes)[0, 2] == pytest.approx(snapped)


def test_what_lies_out_of_bounds_is_moved_onto_them() -> None:
    genes = CUBE.to_genes(np.array([[500.0, -9.0, 1.0, 2.0, 3.0]]))
    assert_allclose(genes[0, :3], [1.0, 0.0, 0.0], atol=1e-15)


def test_a_variable_of_one_value_has_one_gene() -> None:
    cube = Cube(
        (
            Variable("wall", "m", 0.002, 0.002),
            Variable("cells", "1", 3.0, 3.0, whole=True),
            Variable("motor", "", 0.0, 0.0, choices=("only",), sizes=(5.0,)),
        )
    )
    assert_array_equal(cube.step, [0.0, 0.0, 0.0])
    genes = cube.anywhere(np.random.default_rng(1), 4)
    assert_array_equal(genes, np.zeros((4, 3)))
    assert_array_equal(cube.to_values(genes), np.tile([0.002, 3.0, 0.0], (4, 1)))
