"""What a study asks, as tables."""

from tradeopt.arrays import Array
from tradeopt.chain.kind import Number
from tradeopt.report.amount import Amount, Cell, amount_of, size_of
from tradeopt.report.section import Section
from tradeopt.report.sheet import variable_bounds, variable_cell
from tradeopt.report.view import spoken
from tradeopt.study.study import Study

_DEEP = ("robot",)
"""Tables of the study file whose parts are shown one by one."""


def question_sections(study: Study, baseline: Array) -> tuple[Section, ...]:
    """
    Put what a study asks in tables.

    Parameters
    ----------
    study : Study
        The study.
    baseline : Array
        Shape (objective,): what its own design comes to, SI.

    Returns
    -------
    tuple of Section
        What is wanted, limits, variables, then all values of the file, a part after the other.
    """
    return (
        _objectives(study, baseline),
        _limits(study),
        _variables(study),
        *_values(study),
    )


def _objectives(study: Study, baseline: Array) -> Section:
    quantities = study.problem.chain.quantities
    rows: list[tuple[Cell, ...]] = [
        (
            one.name,
            "highest" if one.highest else "lowest",
            amount_of(quantities[one.name], float(value)),
            quantities[one.name].meaning,
        )
        for one, value in zip(study.problem.objectives, baseline, strict=True)
    ]
    heads = ("quantity", "wanted", "baseline", "meaning")
    return Section("objectives", "Objectives", heads, tuple(rows))


def _limits(study: Study) -> Section:
    quantities = study.problem.chain.quantities
    rows: list[tuple[Cell, ...]] = []
    for one in study.problem.limits:
        quantity = quantities[one.name.partition(".")[0]]
        bound = amount_of(quantity, one.value)
        rows.append((one.name, f"{'<=' if one.at_most else '>='} {bound}", quantity.meaning))
    return Section("limits", "Limits", ("quantity", "bound", "meaning"), tuple(rows))


def _variables(study: Study) -> Section:
    problem = study.problem
    rows: list[tuple[Cell, ...]] = [
        (one.path, variable_cell(one, value), ", ".join(one.choices) or variable_bounds(one))
        for one, value in zip(problem.variables, problem.baseline, strict=True)
    ]
    heads = ("variable", "baseline", "may_be")
    return Section("variables", "Variables", heads, tuple(rows))


def _values(study: Study) -> list[Section]:
    """Show every value of the study, a part of the file after the other."""
    parts: dict[str, list[tuple[Cell, ...]]] = {}
    leaves = study.problem.layout.leaves
    for path, value in study.problem.values.items():
        part = _part(path)
        leaf = leaves[path]
        cell = _value_cell(value, leaf.unit if isinstance(leaf, Number) else "")
        label = path.removeprefix(f"{part}.")
        parts.setdefault(part, []).append((label, cell, leaf.meaning))
    heads = ("value_of", "value", "meaning")
    return [
        Section(part, spoken(part).replace(".", ": ").capitalize(), heads, tuple(rows))
        for part, rows in parts.items()
    ]


def _part(path: str) -> str:
    words = path.split(".")
    return ".".join(words[: 2 if words[0] in _DEEP else 1])


def _value_cell(value: float | str, unit: str) -> Amount | str:
    return value if isinstance(value, str) else size_of(value, unit)
