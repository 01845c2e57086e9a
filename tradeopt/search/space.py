"""Between rows of numbers and the sampler's named parameters."""

from collections.abc import Mapping, Sequence

import numpy as np
from optuna.distributions import (
    BaseDistribution,
    CategoricalDistribution,
    FloatDistribution,
    IntDistribution,
)

from tradeopt.arrays import Array, Codes, Flags
from tradeopt.study.problem import Variable

Params = dict[str, float | int | str]
"""One design as the sampler names it: path of the variable -> value or word."""


def distributions(variables: Sequence[Variable]) -> dict[str, BaseDistribution]:
    """
    Say to the sampler what may be chosen.

    Parameters
    ----------
    variables : sequence of Variable
        The variables of the problem.

    Returns
    -------
    dict of str to BaseDistribution
        One for each path, in the same order.
    """
    return {variable.path: _distribution(variable) for variable in variables}


def _distribution(variable: Variable) -> BaseDistribution:
    if variable.sizes:  # samplers do far better with neighbours than with fifty unrelated words
        return IntDistribution(0, len(variable.sizes) - 1)
    if variable.choices:
        return CategoricalDistribution(variable.choices)
    if variable.whole:
        lower, upper = int(np.ceil(variable.lower)), int(np.floor(variable.upper))
        return IntDistribution(lower, upper, log=variable.log)
    return FloatDistribution(variable.lower, variable.upper, log=variable.log)


def row(params: Mapping[str, float | int | str], variables: Sequence[Variable]) -> list[float]:
    """
    Turn one design's parameters into numbers.

    Parameters
    ----------
    params : mapping of str to float, int or str
        Value or word of each path.
    variables : sequence of Variable
        The variables of the problem.

    Returns
    -------
    list of float
        One number a variable, SI; a choice is its place in the list.

    Examples
    --------
    >>> row({"fan": "yes"}, [Variable("fan", "", 0.0, 1.0, choices=("no", "yes"))])
    [1.0]
    """
    return [_number(params[variable.path], variable) for variable in variables]


def _number(value: float | str, variable: Variable) -> float:
    if variable.sizes:
        return float(by_size(variable)[int(value)])
    return float(variable.choices.index(str(value)) if variable.choices else value)


def by_size(variable: Variable) -> Codes:
    """Return the places of the choices of a variable that has sizes, the smallest first."""
    return np.argsort(np.array(variable.sizes), kind="stable").astype(np.int64)


def parameters(values: Array, variables: Sequence[Variable]) -> Params:
    """
    Turn one design's numbers into parameters; the way back of `row`.

    Parameters
    ----------
    values : Array
        Shape (variable,), SI.
    variables : sequence of Variable
        The variables of the problem.

    Returns
    -------
    dict of str to float, int or str
        Value or word of each path; the rank among the sizes where there are any.

    Examples
    --------
    >>> parameters(np.array([3.0]), [Variable("series", "1", 1.0, 20.0, whole=True)])
    {'series': 3}
    """
    return {
        variable.path: int(np.flatnonzero(by_size(variable) == round(value))[0])
        if variable.sizes
        else variable.label(float(value))
        for variable, value in zip(variables, values.tolist(), strict=True)
    }


def inside(values: Array, variables: Sequence[Variable]) -> Flags:
    """
    Tell which designs lie within the bounds of every variable; a baseline need not.

    Parameters
    ----------
    values : Array
        Shape (design, variable), SI.
    variables : sequence of Variable
        The variables of the problem.

    Returns
    -------
    Flags
        Shape (design,).
    """
    bounds = [
        (0.0, len(variable.choices) - 1.0)
        if variable.choices
        else (variable.lower, variable.upper)
        for variable in variables
    ]
    lower, upper = np.array(bounds).reshape(-1, 2).T
    return np.asarray(np.all((values >= lower) & (values <= upper), axis=1), dtype=np.bool_)
