"""Rows of a batch that ask for the same thing, so that it is worked out once."""

from collections.abc import Iterator

import numpy as np

from tradeopt.arrays import Array, Codes


def alike_rows(keys: Array) -> Iterator[tuple[int, Codes]]:
    """
    Group the rows of a table that are equal.

    Parameters
    ----------
    keys : Array
        Shape (row, key).

    Yields
    ------
    tuple of int and Codes
        The first row of a group, and all rows of it.

    Examples
    --------
    >>> [(first, rows.tolist()) for first, rows in alike_rows(np.array([[2.0], [1.0], [2.0]]))]
    [(1, [1]), (0, [0, 2])]
    """
    _, first, group = np.unique(keys, axis=0, return_index=True, return_inverse=True)
    for number, row in enumerate(first):
        yield int(row), np.flatnonzero(group.reshape(-1) == number)
