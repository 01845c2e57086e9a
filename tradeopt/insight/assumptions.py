"""The numbers that a study takes for granted, and a design when some of them are otherwise."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from tradeopt.arrays import Array
from tradeopt.chain.kind import Number, Row
from tradeopt.study.compiled import CompiledStudy
from tradeopt.study.problem import Variable
from tradeopt.study.table import Table

ASKED = ("gaits", "mission", "upkeep", "robot.frame", "robot.layout", "stages.chance")
"""Parts of a study that say what is asked; they are no assumptions."""

NATURE = ("surroundings.gravity",)
"""Numbers that nobody doubts."""

PLACED = ("mount",)
"""Slots that say where a part sits, which a drawing fixes."""

DRAWN = ("m", "rad")
"""Units of what a drawing fixes."""

SHARE = 0.1
"""Spread of a number of which the study says none, as a share of it."""

KELVINS = 10.0
"""The same for a temperature [K]."""

_POINT = re.compile(r"_\d+$")

BATCH = 256
"""Samples that are evaluated at once."""


@dataclass(frozen=True)
class Part:
    """One number of a study, and how far it may be off.

    Attributes
    ----------
    path : str
        Where the study gives it, or the part of a table that it belongs to.
    column : str
        Column of that table; empty for a number of the study itself.
    unit : str
        SI unit.
    nominal, step : float
        What it is, and half of its spread, SI.
    lower, upper : float
        What it must keep to have a meaning at all, SI.
    """

    path: str
    column: str
    unit: str
    nominal: float
    step: float
    lower: float
    upper: float

    @property
    def is_nearly_whole(self) -> bool:
        """Whether it is a share that lies nearer to 1 than to 0, such as an efficiency."""
        return self.upper == 1.0 and self.nominal > 0.5  # noqa: PLR2004 - the middle

    def at(self, shift: Array) -> Array:
        """Return its value at shifts in half spreads, the same shape, SI."""
        return np.clip(self.nominal + self.step * shift, self.lower, self.upper)


@dataclass(frozen=True)
class Assumption:
    """Numbers of a study that would be off together, such as one figure of every joint.

    Attributes
    ----------
    name : str
        Their path, with ``*`` for the entries of an axis.
    parts : tuple of Part
        The numbers.
    """

    name: str
    parts: tuple[Part, ...] = field(repr=False)

    @property
    def spread(self) -> str:
        """How far its ends are from nominal, in words."""
        first = self.parts[0]
        if first.unit == "K":
            return f"±{KELVINS:g} K"
        return f"±{100.0 * SHARE:g} %" + (" of its distance to 1" if first.is_nearly_whole else "")


def assumptions_of(problem: CompiledStudy, design: Array) -> tuple[Assumption, ...]:
    """
    Gather what a study takes for granted.

    Parameters
    ----------
    problem : CompiledStudy
        The study.
    design : Array
        Shape (variable,): picks rows of tables where these are variables.

    Returns
    -------
    tuple of Assumption
        Numbers of the study and of the rows that its tables lend the design.

    Notes
    -----
    Left out are variables, what nobody doubts (`NATURE`), what the study asks (`ASKED`), what a
    drawing fixes (`DRAWN`, `PLACED`), plain whole numbers, which count things, and what is 0.
    The spread is `SHARE` of a number; of its distance to 1 for a share above one half that can be
    no more than 1, such as an efficiency; and `KELVINS` for a temperature.
    """
    found: dict[str, list[Part]] = {}
    for name, part in _parts(problem, design):
        found.setdefault(name, []).append(part)
    return tuple(Assumption(name, tuple(parts)) for name, parts in found.items())


def _parts(problem: CompiledStudy, design: Array) -> Iterator[tuple[str, Part]]:
    labels = [
        one.label(value) for one, value in zip(problem.variables, design.tolist(), strict=True)
    ]
    chosen = dict(zip((one.path for one in problem.variables), labels, strict=True))
    for general, path, parameter in _parameters(problem):
        if isinstance(parameter, Row):
            label = str(chosen.get(path, problem.values[path]))
            for part in _row(problem.tables[parameter.table], path, parameter, label):
                # the points of one curve are off together
                yield f"{general}.{_POINT.sub('_*', part.column)}", part
        elif path not in chosen and path not in NATURE:
            nominal = float(problem.values[path])
            bounds = (_least(parameter.above, parameter.at_least), parameter.at_most)
            if _is_assumed(parameter.unit, nominal) and not parameter.whole:
                yield general, _part((path, "", parameter.unit), nominal, bounds)


def _parameters(problem: CompiledStudy) -> Iterator[tuple[str, str, Number | Row]]:
    """Yield every number and row of a table with the name of its like and its own path."""
    for filled in problem.layout.slots:
        places = () if filled.slot.name in PLACED else filled.places
        for place in places:
            every = {one.name: one for kind in place.kinds for one in kind.parameters}
            for name, parameter in every.items():
                if isinstance(parameter, Number | Row) and not place.path.startswith(ASKED):
                    yield f"{filled.slot.path_of('*')}.{name}", f"{place.path}.{name}", parameter


def _row(table: Table, path: str, parameter: Row, label: str) -> Iterator[Part]:
    row = table.labels.index(label)
    for column in parameter.columns:
        nominal = float(table.numbers[column.name][row])
        if np.isfinite(nominal) and _is_assumed(column.unit, nominal):
            bounds = (_least(column.above, column.at_least), None)
            yield _part((path, column.name, column.unit), nominal, bounds)


def _is_assumed(unit: str, nominal: float) -> bool:
    counts = unit == "1" and nominal.is_integer()
    return unit not in DRAWN and nominal != 0.0 and not counts


def _least(above: float | None, at_least: float | None) -> float:
    bounds = [one for one in (above, at_least) if one is not None]
    return max(bounds, default=-np.inf)


def _part(what: tuple[str, str, str], nominal: float, bounds: tuple[float, float | None]) -> Part:
    lower, at_most = bounds
    upper = np.inf if at_most is None else at_most
    part = Part(*what, nominal, 0.0, lower, upper)
    if part.unit == "K":
        return replace(part, step=KELVINS)
    size = upper - nominal if part.is_nearly_whole else abs(nominal)
    return replace(part, step=SHARE * size)


@dataclass(frozen=True)
class Shifted:
    """A design under shifted assumptions: the response that insight looks at.

    Attributes
    ----------
    problem : CompiledStudy
        The study.
    design : Array
        Shape (variable,).
    assumptions : tuple of Assumption
        What can be shifted.

    Notes
    -----
    The design itself and what the gaits are balanced for stay: the robot is built as drawn, and
    turns out otherwise.
    """

    problem: CompiledStudy
    design: Array
    assumptions: tuple[Assumption, ...]

    def __call__(self, shifts: Array) -> Array:
        """
        Evaluate the design.

        Parameters
        ----------
        shifts : Array
            Shape (sample, assumption), in half spreads.

        Returns
        -------
        Array
            Shape (sample, objective and limit): objectives, SI, then by which share of its scale
            each limit is missed.
        """
        starts = range(0, len(shifts), BATCH)
        return np.concatenate([self._batch(shifts[start : start + BATCH]) for start in starts])

    def _batch(self, shifts: Array) -> Array:
        columns = dict(
            zip(self._paths, np.repeat(self.design[:, None], len(shifts), 1), strict=True)
        )
        variables = {one.path: one for one in self.problem.variables}
        rows: dict[str, dict[str, Array]] = {}
        for one, column in zip(self.assumptions, shifts.T, strict=True):
            for part in one.parts:
                if part.column:
                    rows.setdefault(part.path, {})[part.column] = part.at(column)
                else:
                    variables[part.path] = Variable(part.path, part.unit, part.lower, part.upper)
                    columns[part.path] = part.at(column)
        tables = dict(self.problem.tables)
        for path, moved in rows.items():
            variables[path], columns[path] = self._lend(tables, path, moved)
        made = replace(self.problem, variables=tuple(variables.values()), tables=tables)
        scores = made.score(np.stack(list(columns.values()), axis=1))
        return np.concatenate([scores.objectives, scores.violations], axis=1)

    @property
    def _paths(self) -> list[str]:
        return [one.path for one in self.problem.variables]

    def _lend(
        self, tables: dict[str, Table], path: str, moved: Mapping[str, Array]
    ) -> tuple[Variable, Array]:
        """Add rows with these columns to a table, and choose among them at a path."""
        name = self._table(path)
        table = tables[name]
        own = table.labels.index(self._label(path))
        found, places = np.unique(np.stack(list(moved.values())), axis=1, return_inverse=True)
        labels = tuple(f"{path}/{number}" for number in range(found.shape[1]))
        values = dict(zip(moved, found, strict=True))
        numbers = {
            head: np.append(column, values.get(head, np.repeat(column[own], len(labels))))
            for head, column in table.numbers.items()
        }
        tables[name] = replace(table, labels=(*table.labels, *labels), numbers=numbers)
        # the study's own word comes first, as every variable has a baseline
        choices = (str(self.problem.values[path]), *labels)
        variable = Variable(path, "", 0.0, len(labels), whole=True, choices=choices)
        return variable, 1.0 + places.ravel().astype(np.float64)

    def _table(self, path: str) -> str:
        parameter = self.problem.layout.leaves[path]
        if not isinstance(parameter, Row):  # only rows of tables have columns
            raise TypeError(f"{path} is no row of a table")
        return parameter.table

    def _label(self, path: str) -> str:
        """Return the row of its table that the design takes at a path."""
        if path not in self._paths:
            return str(self.problem.values[path])
        place = self._paths.index(path)
        return str(self.problem.variables[place].label(float(self.design[place])))
