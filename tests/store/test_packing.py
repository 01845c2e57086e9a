"""Arrays to bytes and back."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import array_shapes, arrays
from numpy.testing import assert_array_equal

from tests.services.toy import ToyProblem
from tradeopt.arrays import Array
from tradeopt.search.designs import Designs, no_designs
from tradeopt.store.packing import pack, pack_designs, unpack, unpack_designs


@given(arrays(np.float64, array_shapes(max_dims=3), elements=st.floats(width=64)))
@settings(max_examples=50, deadline=None)
def test_arrays_come_back_bit_for_bit(values: Array) -> None:
    back = unpack(pack(values))
    assert back.shape == values.shape
    assert back.tobytes() == np.ascontiguousarray(values).tobytes()


def test_designs_come_back_as_they_were() -> None:
    designs = Designs(
        numbers=np.array([0, 2**53]),
        values=np.array([[0.1, 2.0, 3.0, 1.0], [1e-300, -0.0, 9.0, 0.0]]),
        objectives=np.array([[np.nan, 1.0], [np.inf, 2.0]]),
        violations=np.array([[0.5, -1.0], [0.0, 1e9]]),
    )
    back = unpack_designs(pack_designs(designs), ToyProblem())
    for one, other in zip(vars(designs).values(), vars(back).values(), strict=True):
        assert one.dtype == other.dtype
        assert_array_equal(one, other)


def test_tables_without_rows_keep_their_width() -> None:
    back = unpack_designs(pack_designs(no_designs(ToyProblem())), ToyProblem())
    assert back.values.shape == (0, 4)
    assert back.objectives.shape == (0, 2)
    assert back.violations.shape == (0, 2)
