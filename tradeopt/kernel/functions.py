"""What machine code can be made of, by the names that numpy gives it."""

from collections.abc import Callable, Mapping
from typing import Any, Final

import numpy as np

from tradeopt.arrays import AnyArray

Function = Callable[..., Any]

ARITHMETIC: Final = (np.add, np.subtract, np.multiply, np.divide, np.negative)
COMPARISONS: Final = (
    np.less,
    np.less_equal,
    np.greater,
    np.greater_equal,
    np.equal,
    np.not_equal,
    np.isnan,
)
LOGIC: Final = (np.logical_and, np.logical_or, np.logical_not)
EXTREMES: Final = (np.minimum, np.maximum)
ROUNDED: Final = (np.absolute, np.sqrt, np.floor, np.ceil, np.trunc, np.rint, np.copysign)
LIBRARY: Final = (
    np.sin,
    np.cos,
    np.tan,
    np.arcsin,
    np.arccos,
    np.arctan,
    np.arctan2,
    np.exp,
    np.expm1,
    np.log,
    np.log1p,
    np.log2,
    np.log10,
    np.sinh,
    np.cosh,
    np.tanh,
    np.cbrt,
    np.power,
)

DIRECT: Final[Mapping[str, np.ufunc]] = {
    one.__name__: one for one in (*ARITHMETIC, *COMPARISONS, *LOGIC, *EXTREMES, *ROUNDED, *LIBRARY)
}
"""Functions that are recorded as they are."""


def number(flag: AnyArray) -> AnyArray:
    """Return 1 where something holds, and 0 elsewhere."""
    return np.asarray(flag, dtype=np.float64)


FUNCTIONS: Final[Mapping[str, Function]] = {**DIRECT, "where": np.where, "number": number}
"""Everything that goes element by element."""

REDUCTIONS: Final[Mapping[str, Function]] = {
    "add": np.sum,
    "multiply": np.prod,
    "minimum": np.min,
    "maximum": np.max,
    "logical_and": np.all,
    "logical_or": np.any,
}
"""Everything that takes the elements of an axis together."""

COMMUTATIVE: Final = frozenset({"add", "multiply", "minimum", "maximum"})
"""Functions of two numbers that do not mind their order."""
