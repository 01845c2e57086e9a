"""Many designs as columns for a picture: each knows what it is and the unit it is read in."""

from base64 import b64encode
from collections.abc import Iterator

import numpy as np

from tradeopt import units
from tradeopt.arrays import Array
from tradeopt.report.amount import Amount, amount_of, size_of
from tradeopt.report.front import FrontView
from tradeopt.report.limits import ACTIVE, distance
from tradeopt.report.section import Plain
from tradeopt.report.view import spoken
from tradeopt.study.problem import Limit, Objective, Variable


def design_columns(view: FrontView) -> list[Plain]:
    """
    Lay out designs as columns.

    Parameters
    ----------
    view : FrontView
        The designs.

    Returns
    -------
    list of dict
        The number of each design, its objectives, its variables, and what is left to each limit,
        less than 0 where it is missed. `values` are single precision, little endian, in base 64:
        what a picture needs, at a tenth of the time and room of written numbers.
    """
    return [
        _column("design", "design", "", view.designs.numbers.astype(float)),
        *_objectives(view),
        *_variables(view),
        *_limits(view),
    ]


def packed(values: Array) -> str:
    """
    Write numbers as base 64 of single precision, little endian.

    Parameters
    ----------
    values : Array
        Shape (design,).

    Returns
    -------
    str
        Four bytes a number.

    Examples
    --------
    >>> packed(np.array([1.0, 2.0]))
    'AACAPwAAAEA='
    """
    return b64encode(values.astype("<f4").tobytes()).decode("ascii")


def _column(name: str, role: str, unit: str, values: Array) -> Plain:
    label = name.removeprefix("robot.")
    return {
        "name": name,
        "label": spoken(label),
        "role": role,
        "unit": unit,
        "values": packed(values),
    }


def _shown(values: Array, like: Amount) -> Array:
    """Turn SI values into the unit that an amount of their sort is read in."""
    return units.from_si(values, like.unit, like.shown_in)


def _objectives(view: FrontView) -> Iterator[Plain]:
    for one, values in zip(view.outline.objectives, view.designs.objectives.T, strict=True):
        like = amount_of(view.quantities[one.name], 0.0)
        column = _column(one.name, "objective", like.shown_in, _shown(values, like))
        yield column | {"wanted": _wanted(one)}


def _wanted(objective: Objective) -> str:
    return "highest" if objective.highest else "lowest"


def _variables(view: FrontView) -> Iterator[Plain]:
    for one, values in zip(view.outline.variables, view.designs.values.T, strict=True):
        if one.choices:
            column = _column(one.path, "choice", "", values)
            yield column | {"choices": list(one.choices)}
        else:
            like = size_of(0.0, one.unit)
            column = _column(one.path, "variable", like.shown_in, _shown(values, like))
            yield column | _bounds(one, like)


def _bounds(variable: Variable, like: Amount) -> Plain:
    lower, upper = _shown(np.array([variable.lower, variable.upper]), like).tolist()
    return {"lower": lower, "upper": upper, "log": variable.log}


def _limits(view: FrontView) -> Iterator[Plain]:
    for one, missed in zip(view.outline.limits, view.designs.violations.T, strict=True):
        quantity = view.quantities[one.name.partition(".")[0]]
        like = distance(one, quantity, 0.0)
        column = _column(one.name, "limit", like.shown_in, _shown(-missed * one.scale, like))
        bound = f"{'<=' if one.at_most else '>='} {amount_of(quantity, one.value)}"
        yield column | {"bound": bound} | _scales(one, like)


def _scales(limit: Limit, like: Amount) -> Plain:
    scale = float(_shown(np.array([limit.scale]), like)[0])
    return {"scale": scale, "active": ACTIVE * scale}
