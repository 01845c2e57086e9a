"""Reading variables, objectives and limits: all of a study that refers to something else."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from tradeopt import units
from tradeopt.chain.fit import KIND
from tradeopt.chain.kind import Entry, Number, Recording, Row, Word
from tradeopt.errors import Problem, UnitError, near
from tradeopt.quantities import JOINTS, Quantity
from tradeopt.stages.registry import REQUIRED_SLOTS
from tradeopt.study.fields import number_of, spoken
from tradeopt.study.layout import Layout, value_at
from tradeopt.study.problem import Limit, Objective, Variable
from tradeopt.study.text import Document

_LIMIT = re.compile(r"\s*(<=|>=)\s*(.+)", re.DOTALL)
_KELVIN_SCALE = 100.0
"""What counts as one whole miss of a temperature limit [K]; a share of one means nothing."""


@dataclass
class Reading:
    """One study file on its way in, with the problems found so far.

    Attributes
    ----------
    document : Document
        What the file says, and where.
    layout : Layout
        Its places and kinds.
    rows : mapping of str to tuple of str
        What there is to pick from: row labels by table of parts, and names by axis.
    problems : list of Problem
        Added to by every check.
    """

    document: Document
    layout: Layout
    rows: Mapping[str, tuple[str, ...]]
    problems: list[Problem] = field(default_factory=list)

    def report(self, path: tuple[str | int, ...], got: str, want: str, **more: Any) -> None:  # noqa: ANN401
        """Note a problem at a place of the file."""
        self.problems.append(self.document.problem(path, got, want, **more))

    def section(self, name: str) -> Mapping[str, Any]:
        """Return a top-level table, or an empty one where it is none (the model reports that)."""
        value = self.document.data.get(name)
        return value if isinstance(value, dict) else {}

    @property
    def quantities(self) -> dict[str, Quantity]:
        """Everything that some stage of this study gives."""
        return {
            quantity.name: quantity
            for filled in self.layout.slots
            for gives in filled.slot.steps.values()
            for quantity in gives
        }


def read_variables(reading: Reading) -> tuple[Variable, ...]:
    """Return the variables that can be read; the others are reported."""
    leaves = reading.layout.leaves
    found = []
    for path, spec in reading.section("variables").items():
        leaf = leaves.get(path)
        if leaf is None or isinstance(leaf, Recording):
            known = [name for name, one in leaves.items() if not isinstance(one, Recording)]
            reading.report(
                ("variables", path),
                f"{path!r}, which no value of this study has as its path",
                "the path of a value",
                near=near(path, known),
                key=True,
            )
        elif isinstance(spec, dict):
            variable = (
                _number_variable(reading, path, leaf, spec)
                if isinstance(leaf, Number)
                else _choice_variable(reading, path, leaf, spec)
            )
            found.extend([variable] if variable else [])
    return tuple(found)


def _number_variable(
    reading: Reading, path: str, leaf: Number, spec: Mapping[str, Any]
) -> Variable | None:
    at = ("variables", path)
    if "choices" in spec:
        reading.report((*at, "choices"), "choices", f"from and to: {path} is a number")
        return None
    lower, upper = (_bound(reading, (*at, name), spec.get(name), leaf) for name in ("from", "to"))
    if lower is None or upper is None:
        return None
    log = spec.get("scale") == "log"
    if not lower < upper:
        relation = "equal to" if lower == upper else "above"
        got = f"from {spoken(spec['from'])}, which is {relation} to {spoken(spec['to'])}"
        reading.report((*at, "from"), got, "from below to")
    elif log and lower <= 0.0:
        reading.report((*at, "from"), spoken(spec["from"]), "more than 0 on a log scale")
    else:
        _check_baseline(reading, path, leaf, (lower, upper))
        return Variable(path, leaf.unit, lower, upper, log=log, whole=leaf.whole)
    return None


def _bound(reading: Reading, at: tuple[str, ...], value: object, leaf: Number) -> float | None:
    try:
        return number_of(value, leaf)
    except UnitError as error:
        reading.report(at, error.got, error.want, near=error.near)
        return None


def _check_baseline(
    reading: Reading, path: str, leaf: Number, bounds: tuple[float, float]
) -> None:
    value = value_at(reading.document.data, path)
    try:
        baseline = number_of(value, leaf)
    except UnitError:
        return  # the model reports the value itself
    if not bounds[0] <= baseline <= bounds[1]:
        shown = " to ".join(units.show(bound, leaf.unit) for bound in bounds)
        reading.report(
            tuple(path.split(".")),
            f"{spoken(value)}, outside the bounds of its variable",
            f"a baseline from {shown}",
        )


def _choice_variable(
    reading: Reading, path: str, leaf: Word | Row | Entry, spec: Mapping[str, Any]
) -> Variable | None:
    at = ("variables", path)
    choices = spec.get("choices")
    for name in ("from", "to"):
        if name in spec:
            reading.report((*at, name), name, f"choices: {path} is a word")
    if not isinstance(choices, list) or len(choices) < 2:  # noqa: PLR2004 -- one is no choice
        reading.report((*at, "choices"), spoken(choices), "a list of at least two choices")
        return None
    before = len(reading.problems)
    _check_choices(reading, path, leaf, choices)
    if len(reading.problems) > before:
        return None
    return Variable(path, "", 0, len(choices) - 1, whole=True, choices=tuple(choices))


def _check_choices(
    reading: Reading, path: str, leaf: Word | Row | Entry, choices: list[Any]
) -> None:
    known = _known(reading, leaf)
    if known is None:
        return  # the table itself cannot be read, which is told at its place
    for place, choice in enumerate(choices):
        at = ("variables", path, "choices", place)
        if choice not in known:
            nearest = near(choice, known) if isinstance(choice, str) else None
            want = f"one of: {', '.join(known)}"
            reading.report(at, spoken(choice), want, near=nearest)
        elif choice in choices[:place]:
            reading.report(at, f"{choice!r} again", "each choice once")
    baseline = _baseline_word(reading, path)
    if baseline in known and baseline not in choices:
        got = f"{baseline!r}, which is none of the variable's choices"
        reading.report(tuple(path.split(".")), got, f"one of: {', '.join(map(str, choices))}")


def _known(reading: Reading, leaf: Word | Row | Entry) -> tuple[str, ...] | None:
    match leaf:
        case Word():
            return leaf.words
        case Row():
            return reading.rows.get(leaf.table)
        case Entry():
            return reading.rows.get(leaf.axis)


def _baseline_word(reading: Reading, path: str) -> object:
    """Return a word as the file says it; a kind may stand there alone or go without saying."""
    parent, _, name = path.rpartition(".")
    if name == KIND and reading.layout.places[parent].kinds:
        return reading.layout.places[parent].kinds[0].name
    return value_at(reading.document.data, path)


def read_objectives(reading: Reading) -> tuple[Objective, ...]:
    """Return the objectives that can be read; the others are reported."""
    single = {name: one for name, one in reading.quantities.items() if one.axes == ("design",)}
    found = []
    for name, direction in reading.section("objectives").items():
        quantity = single.get(name)
        if quantity is None:
            got = f"{name!r}, which no stage gives as one number a design"
            want = "a quantity that some stage gives, such as range or total_mass"
            reading.report(("objectives", name), got, want, near=near(name, single), key=True)
        else:
            found.append(Objective(name, quantity.unit, direction == "highest"))
    return tuple(found)


def read_limits(reading: Reading) -> tuple[Limit, ...]:
    """Return the study's own limits and, at 0, every margin that it does not mention."""
    found = {
        name: Limit(name, "1", 0.0, at_most=False, scale=1.0)
        for name, quantity in reading.quantities.items()
        if quantity.is_margin
    }
    for name, text in reading.section("limits").items():
        base, _, joint = name.partition(".")
        quantity = reading.quantities.get(base)
        if quantity is None:
            want = "a quantity that some stage gives"
            nearest = near(base, reading.quantities)
            reading.report(("limits", name), repr(name), want, near=nearest, key=True)
        elif joint and (joint not in JOINTS or "joint" not in quantity.axes):
            want = f"{base} alone or with one of: {', '.join(JOINTS)}"
            reading.report(("limits", name), repr(name), want, near=near(joint, JOINTS), key=True)
        elif isinstance(text, str):
            limit = _limit(reading, name, text, quantity)
            found.update({name: limit} if limit else {})
    return tuple(found.values())


def _limit(reading: Reading, name: str, text: str, quantity: Quantity) -> Limit | None:
    match = _LIMIT.fullmatch(text)
    if match is None:
        reading.report(
            ("limits", name), repr(text), "'<= value' or '>= value', such as '<= 80 kg'"
        )
        return None
    try:
        value = units.to_si(match[2], quantity.unit)
    except UnitError as error:
        reading.report(("limits", name), error.got, error.want, near=error.near)
        return None
    scale = _KELVIN_SCALE if quantity.unit == "K" else abs(value) or 1.0
    return Limit(name, quantity.unit, value, at_most=match[1] == "<=", scale=scale)


def check_entries(reading: Reading) -> None:
    """Report a table of named entries, such as gaits, that a study needs and that has none."""
    for slot in reading.layout.empty:
        table = value_at(reading.document.data, slot.table)
        if slot.name in REQUIRED_SLOTS and isinstance(table, dict):
            want = f"at least one {slot.axis}, by a name of its own"
            reading.report(tuple(slot.table.split(".")), "an empty table", want)
