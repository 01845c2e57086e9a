"""What the searches are held against: the example study, and problems of the literature."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

import numpy as np

from tradeopt.arrays import Array
from tradeopt.chain.kind import Row
from tradeopt.study.compiled import CompiledStudy
from tradeopt.study.problem import Limit, Objective, Problem, Scores, Variable
from tradeopt.study.read import load
from tradeopt.study.sizes import with_sizes

MOTORS = 50
"""Families in the catalogue of the variant of the example."""

LITERATURE: Mapping[str, dict[str, int]] = {
    "zdt1": {"n_var": 30},
    "zdt4": {"n_var": 10},
    "dtlz2": {"n_var": 12, "n_obj": 3},
    "dtlz7": {"n_var": 22, "n_obj": 3},
    "c1dtlz1": {"n_var": 12, "n_obj": 3},
    "c2dtlz2": {"n_var": 12, "n_obj": 3},
    "mw7": {},
    "osy": {},
    "welded_beam": {},
    "carside": {},
}
"""Problems whose definitions are pymoo's, with their sizes."""


@dataclass(frozen=True)
class Borrowed:
    """A problem of pymoo as a search sees it."""

    inner: Any
    variables: tuple[Variable, ...]
    objectives: tuple[Objective, ...]
    limits: tuple[Limit, ...]

    @property
    def baseline(self) -> Array:
        return np.array([0.5 * (one.lower + one.upper) for one in self.variables])

    def score(self, designs: Array) -> Scores:
        found = self.inner.evaluate(designs, return_values_of=["F", "G"])
        costs, limits = (np.asarray(one, dtype=np.float64) for one in found)
        return Scores(costs, limits.reshape(len(designs), len(self.limits)))


def borrowed(name: str) -> Problem:
    """Take a problem of pymoo."""
    from pymoo.problems import get_problem  # noqa: PLC0415 - an extra

    inner = get_problem(name, **LITERATURE[name])
    bounds = zip(np.broadcast_to(inner.xl, inner.n_var), inner.xu, strict=True)
    return Borrowed(
        inner,
        tuple(
            Variable(f"x{place}", "1", float(lower), float(upper))
            for place, (lower, upper) in enumerate(bounds)
        ),
        tuple(Objective(f"f{n}", "1", highest=False) for n in range(inner.n_obj)),
        tuple(
            Limit(f"g{n}", "1", 0.0, at_most=True, scale=1.0) for n in range(inner.n_ieq_constr)
        ),
    )


def example() -> Problem:
    """Return the example study."""
    return load("levee_rounds").problem


def with_catalogue() -> CompiledStudy:
    """Return the example with a catalogue of fifty invented motor families for three joints."""
    study = load("levee_rounds").problem
    tables = {**study.tables, "motor_families": _catalogue(study)}
    labels = tables["motor_families"].labels
    variables = tuple(
        replace(one, upper=MOTORS - 1.0, choices=labels)
        if one.path.endswith("motor.family")
        else one
        for one in study.variables
    )
    sized = with_sizes(variables, study.layout.leaves, tables)
    return replace(study, tables=tables, variables=sized)


def _catalogue(study: CompiledStudy) -> Any:
    """Scatter families about those of the example; the first ones are these themselves."""
    table = study.tables["motor_families"]
    own = len(table.labels)
    chance = np.random.default_rng(50)
    base = chance.integers(0, own, MOTORS - own)
    size = np.exp(chance.uniform(np.log(0.5), np.log(1.5), MOTORS - own))
    leaf = next(
        leaf
        for path, leaf in study.layout.leaves.items()
        if path.endswith("motor.family") and isinstance(leaf, Row)
    )
    numbers = dict(table.numbers)
    power = {"mass": 1.0, "rotor_inertia": 1.6, "torque_constant": 0.8, "peak_torque": 1.0}
    for column in leaf.columns:
        scatter = np.exp(chance.normal(0.0, 0.1, MOTORS - own))
        grown = table.numbers[column.name][base] * size ** power.get(column.name, 0.0)
        varied = column.name in power or column.name == "phase_resistance"
        more = grown * scatter if varied else grown
        numbers[column.name] = np.concatenate([table.numbers[column.name], more])
    labels = (*table.labels, *(f"family-{place}" for place in range(own, MOTORS)))
    return replace(table, numbers=numbers, labels=labels)


EXAMPLE = "example"

PROBLEMS: Mapping[str, Callable[[], Problem]] = {
    EXAMPLE: example,
    f"example, {MOTORS} motors": with_catalogue,
    **{name: partial(borrowed, name) for name in LITERATURE},
}
