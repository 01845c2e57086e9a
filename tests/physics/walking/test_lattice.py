import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tradeopt.physics.walking.lattice import lattice_cell, lattice_weights, without_kink

VALUES = st.floats(-3.0, 3.0)


@given(VALUES, st.floats(-1.0, 1.0), st.floats(0.05, 1.0))
def test_a_parabola_is_met_exactly(value: float, origin: float, step: float) -> None:
    one = np.array(value)
    middle = lattice_cell(one, np.array(origin), np.array(step))
    nodes = origin + step * (middle + np.array([-1.0, 0.0, 1.0]))
    weights = lattice_weights(one, np.array(origin), np.array(step))
    assert weights.sum() == pytest.approx(1.0)
    parabola = weights @ (nodes**2 - 2.0 * nodes + 0.5)
    assert parabola == pytest.approx(value**2 - 2.0 * value + 0.5, abs=1e-9)
    # the cell holds its value
    assert nodes[0] - 1e-9 <= value <= nodes[2] + 1e-9


def test_a_node_is_itself() -> None:
    weights = lattice_weights(np.array([0.25, 0.5, 1.0]), np.array(0.5), np.array(0.25))
    # nodes -1 (on the border, so of the cell above it), 0 and 2
    np.testing.assert_array_equal(weights, [[1, 0, 0], [0, 1, 0], [0, 1, 0]])


def test_what_is_mixed_has_no_jump_from_cell_to_cell() -> None:
    origin, step = np.array(0.0), np.array(0.5)

    def mixed(value: float) -> float:
        middle = lattice_cell(np.array(value), origin, step)
        nodes = step * (middle + np.array([-1.0, 0.0, 1.0]))
        return float(lattice_weights(np.array(value), origin, step) @ np.sin(nodes))

    for border in (-1.5, -0.5, 0.5, 1.5):
        assert mixed(border - 1e-9) == pytest.approx(mixed(border + 1e-9), abs=1e-7)


def test_what_has_no_step_stays_in_the_middle_cell() -> None:
    assert lattice_cell(np.array([5.0]), np.array([1.0]), np.array([0.0])).tolist() == [0.0]


def test_a_place_that_moves_across_the_stride_is_a_kink() -> None:
    assert without_kink(np.array([10, 12, 15]), phases=100)
    assert not without_kink(np.array([10, 12, 16]), phases=100)
    assert without_kink(np.array([98, 1, 3]), phases=100)
