"""Reading the variables of a study: what may be chosen, held against the values it replaces."""

from collections.abc import Mapping
from typing import Any

from tradeopt import units
from tradeopt.chain.fit import KIND
from tradeopt.chain.kind import Entry, File, Kind, Label, Number, Parameter, Row, Word
from tradeopt.errors import UnitError
from tradeopt.study.fields import number_of, spoken
from tradeopt.study.layout import value_at
from tradeopt.study.problem import Variable
from tradeopt.study.reading import Reading

_BOUNDS = ("from", "to")
_LEAST_CHOICES = 2


def read_variables(reading: Reading) -> tuple[Variable, ...]:
    """Return the variables that can be read; the others are reported."""
    found = []
    for path, spec in reading.section("variables").items():
        leaf = reading.layout.leaves.get(path)
        if leaf is None or isinstance(leaf, File | Label):
            _report_path(reading, path, leaf)
        elif isinstance(spec, dict):
            variable = (
                _number_variable(reading, path, leaf, spec)
                if isinstance(leaf, Number)
                else _choice_variable(reading, path, leaf, spec)
            )
            found.extend([variable] if variable else [])
    return tuple(found)


def _report_path(reading: Reading, path: str, leaf: Parameter | None) -> None:
    """Say why nothing can be searched at a path; silent below a place that itself is wrong."""
    at = ("variables", path)
    if isinstance(leaf, File | Label):
        what = "the name of a file" if isinstance(leaf, File) else "a name inside a file"
        reading.report(at, f"{path!r}, {what}", "a number, a word or a kind", key=True)
    elif not any(path.startswith(f"{place}.") for place in _places_without_kind(reading)):
        why = "which no value of this study has as its path"
        leaves = reading.layout.leaves.items()
        known = [name for name, one in leaves if not isinstance(one, File | Label)]
        reading.report_name(at, known, why=why, want="the path of a value")


def _places_without_kind(reading: Reading) -> list[str]:
    return [path for path, place in reading.layout.places.items() if not place.kinds]


def _number_variable(
    reading: Reading, path: str, leaf: Number, spec: Mapping[str, Any]
) -> Variable | None:
    at = ("variables", path)
    if "choices" in spec:
        reading.report((*at, "choices"), "choices", f"from and to: {path} is a number", key=True)
        return None
    lower, upper = (_bound(reading, (*at, name), spec.get(name), leaf) for name in _BOUNDS)
    if lower is None or upper is None:
        return None
    log = spec.get("scale") == "log"
    if not lower < upper:
        want = f"less than 'to', which is {spoken(spec['to'])}"
        reading.report((*at, "from"), spoken(spec["from"]), want)
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
        reading.report_unit(at, error)
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
    before = len(reading.problems)
    for name in (*_BOUNDS, "scale"):
        if name in spec:
            reading.report((*at, name), name, f"choices: {path} is a word", key=True)
    choices = spec.get("choices")
    if not isinstance(choices, list) or len(choices) < _LEAST_CHOICES:
        got = "one choice" if isinstance(choices, list) and choices else spoken(choices)
        want = f"a list of two or more of: {', '.join(reading.labels(leaf) or ())}"
        reading.report((*at, "choices"), got, want)
        return None
    _check_choices(reading, path, leaf, choices)
    _check_kinds(reading, path, choices)
    if len(reading.problems) > before:
        return None
    return Variable(path, "", 0, len(choices) - 1, whole=True, choices=tuple(choices))


def _check_choices(
    reading: Reading, path: str, leaf: Word | Row | Entry, choices: list[Any]
) -> None:
    known = reading.labels(leaf)
    if known is None:
        return  # what there is to pick from cannot be read, which is told at its place
    seen: set[str] = set()
    for place, choice in enumerate(choices):
        at = ("variables", path, "choices", place)
        if choice not in known:
            reading.report_word(at, choice, known, want=reading.expected(leaf))
        elif choice in seen:
            reading.report(at, f"{choice!r} again", "each choice once")
        else:
            seen.add(choice)
    baseline = _baseline_word(reading, path)
    if seen and baseline in known and baseline not in seen:
        got = f"{baseline!r}, which is none of the variable's choices"
        reading.report(tuple(path.split(".")), got, f"one of: {', '.join(sorted(seen))}")


def _baseline_word(reading: Reading, path: str) -> object:
    """Return a word as the file says it; a kind may stand there alone or go without saying."""
    place = _place_of(reading, path)
    return place[0].name if place else value_at(reading.document.data, path)


def _place_of(reading: Reading, path: str) -> tuple[Kind, ...]:
    """Return the kinds that a variable chooses from, the baseline's first; none for a value."""
    parent, _, name = path.rpartition(".")
    places = reading.layout.places
    return places[parent].kinds if name == KIND and parent in places else ()


def _check_kinds(reading: Reading, path: str, choices: list[Any]) -> None:
    """Refuse kinds that call different things by one name: the file has one place for both."""
    owners: dict[str, tuple[Kind, Parameter]] = {}
    for kind in (one for one in _place_of(reading, path) if one.name in choices):
        for parameter in kind.parameters:
            other, first = owners.setdefault(parameter.name, (kind, parameter))
            if first != parameter:
                got = f"{other.name} and {kind.name}, which mean different things by "
                got += repr(parameter.name)
                want = "kinds that share a name only for the same thing"
                reading.report(("variables", path, "choices"), got, want)
