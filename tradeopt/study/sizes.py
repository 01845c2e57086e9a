"""The order of long lists of parts, so that a search can step to a neighbour."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from tradeopt.arrays import Array
from tradeopt.chain.kind import Parameter, Row
from tradeopt.study.problem import Variable
from tradeopt.study.table import Table

MANY = 8
"""Choices above which rows of a table are searched in order of their size."""


def with_sizes(
    variables: Sequence[Variable], leaves: Mapping[str, Parameter], tables: Mapping[str, Table]
) -> tuple[Variable, ...]:
    """
    Give variables that choose from many rows of a table the sizes of these rows.

    Parameters
    ----------
    variables : sequence of Variable
        What may be chosen.
    leaves : mapping of str to Parameter
        What stands at each path.
    tables : mapping of str to Table
        Tables of parts by name.

    Returns
    -------
    tuple of Variable
        The same, in the same order.
    """
    return tuple(_sized(one, leaves[one.path], tables) for one in variables)


def _sized(variable: Variable, leaf: Parameter, tables: Mapping[str, Table]) -> Variable:
    if not isinstance(leaf, Row) or len(variable.choices) <= MANY:
        return variable
    table = tables[leaf.table]
    rows = [table.labels.index(choice) for choice in variable.choices]
    columns = [table.numbers[column.name][rows] for column in leaf.columns]
    return replace(variable, sizes=tuple(sizes(np.column_stack(columns)).tolist()))


def sizes(rows: Array) -> Array:
    """
    Put parts on the one scale that tells most of them apart.

    Parameters
    ----------
    rows : Array
        Shape (part, property), any units; NaN where unknown.

    Returns
    -------
    Array
        Shape (part,): place on the scale, with no unit; most properties grow along it.

    Notes
    -----
    The first principal axis of the logarithms of the properties, each scaled by its spread, since
    parts of one line grow in proportion. A property that is unknown of some part, not above nought
    for all, or the same for all, does not count.

    References
    ----------
    Jolliffe, "Principal Component Analysis", 2nd ed. (2002), section 2.3.

    Examples
    --------
    >>> place = sizes(np.array([[1.0, 10.0], [4.0, 42.0], [2.0, 19.0]]))
    >>> np.argsort(place)
    array([0, 2, 1])
    """
    usable = np.all(np.isfinite(rows) & (rows > 0.0), axis=0)
    logs = np.log(rows[:, usable])
    spread = logs.std(axis=0)
    logs = logs[:, spread > 0.0]
    if logs.shape[1] == 0:
        return np.arange(len(rows), dtype=np.float64)
    scaled = (logs - logs.mean(axis=0)) / logs.std(axis=0)
    axis = np.linalg.svd(scaled, full_matrices=False)[2][0]
    return np.asarray(scaled @ axis * np.sign(axis.sum() or 1.0), dtype=np.float64)
