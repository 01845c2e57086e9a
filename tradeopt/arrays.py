"""The array type that everything inside the package passes around."""

from collections.abc import Callable
from typing import Any, TypeAlias, cast

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array: TypeAlias = NDArray[np.float64]
"""Double-precision numbers in SI units; the docstring beside says the axes."""

Codes: TypeAlias = NDArray[np.int64]
"""Whole numbers that pick an entry of a list."""

Flags: TypeAlias = NDArray[np.bool_]
"""True where something holds."""

AnyArray: TypeAlias = NDArray[Any]
"""An array of any type, where the caller does not care."""


def as_array(value: ArrayLike) -> AnyArray:
    """Return a value as an array; what stands for an array, such as a recording, stays itself."""
    if hasattr(value, "__array_function__"):
        return cast("AnyArray", value)
    return np.asarray(value, dtype=np.float64)


def columns_in_use(table: Array) -> Flags:
    """Tell which columns of a table are not 0 in every row; of a recording, which may be."""
    known: Callable[[], Flags] | None = getattr(table, "columns_in_use", None)
    return np.asarray(table.any(axis=0)) if known is None else known()
