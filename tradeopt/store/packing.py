"""Arrays as bytes: the same array always gives the same bytes."""

import zlib
from io import BytesIO

import numpy as np

from tradeopt.arrays import Array
from tradeopt.search.designs import Designs, Outline


def pack(values: Array) -> bytes:
    """
    Turn an array into bytes.

    Parameters
    ----------
    values : Array
        Any shape.

    Returns
    -------
    bytes
        Array file format, deflated.

    Examples
    --------
    >>> unpack(pack(np.array([1.5, np.nan])))
    array([1.5, nan])
    """
    file = BytesIO()
    np.save(file, np.asarray(values, dtype=np.float64), allow_pickle=False)
    # level 1: numbers of a search hardly deflate, so that more effort only costs time
    return zlib.compress(file.getvalue(), level=1)


def unpack(data: bytes) -> Array:
    """Turn bytes back into the array; see `pack`."""
    values = np.load(BytesIO(zlib.decompress(data)), allow_pickle=False)
    return np.asarray(values, dtype=np.float64)


def pack_designs(designs: Designs) -> bytes:
    """
    Turn a table of designs into bytes.

    Parameters
    ----------
    designs : Designs
        Any number of rows.

    Returns
    -------
    bytes
        One array with the numbers, values, objectives and violations side by side. A number is
        exact up to 2**53.
    """
    return pack(
        np.column_stack([designs.numbers, designs.values, designs.objectives, designs.violations])
    )


def unpack_designs(data: bytes, outline: Outline) -> Designs:
    """
    Turn bytes back into a table of designs.

    Parameters
    ----------
    data : bytes
        What `pack_designs` gave.
    outline : Outline
        Tells the widths.

    Returns
    -------
    Designs
        The same, bit for bit.
    """
    first_objective = 1 + len(outline.variables)
    first_violation = first_objective + len(outline.objectives)
    numbers, values, objectives, violations = np.split(
        unpack(data), [1, first_objective, first_violation], axis=1
    )
    return Designs(numbers[:, 0].astype(np.int64), values, objectives, violations)
