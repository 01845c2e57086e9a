"""What a study says beside the name of a file, for whoever reads that file."""

from collections.abc import Mapping
from dataclasses import dataclass

from tradeopt.chain.fit import Place
from tradeopt.chain.kind import Column, Label, Number, Word
from tradeopt.errors import Problem, UnitError
from tradeopt.study.fields import number_of
from tradeopt.study.layout import value_at
from tradeopt.study.reading import Reading
from tradeopt.study.text import Document


@dataclass(frozen=True)
class Told:
    """Parameters of the same place as the file; those that cannot be read are left out.

    Attributes
    ----------
    numbers : mapping of str to float
        Numbers of the baseline, SI.
    words : mapping of str to set of str
        Words of the baseline, and those that a variable may put in their place.
    labels : mapping of str to str
        Names of things inside the file.
    path : str
        Path of the place.
    document : Document
        The study file.
    """

    numbers: Mapping[str, float]
    words: Mapping[str, frozenset[str]]
    labels: Mapping[str, str]
    path: str
    document: Document

    def asks_for(self, column: Column) -> bool:
        """Tell whether the file must have a column."""
        if column.asked_by is None:
            return True
        name, words = column.asked_by
        return not self.words.get(name, frozenset()).isdisjoint(words)

    def problem(self, name: str, got: str, want: str, near: str | None = None) -> Problem:
        """Say what is wrong with one of these parameters, at its place in the study file."""
        return self.document.problem(tuple(f"{self.path}.{name}".split(".")), got, want, near)


def told_beside(reading: Reading, place: Place) -> Told:
    """Return what the study says at a place."""
    numbers: dict[str, float] = {}
    words: dict[str, frozenset[str]] = {}
    labels: dict[str, str] = {}
    for parameter in (one for kind in place.kinds for one in kind.parameters):
        path = f"{place.path}.{parameter.name}"
        value = value_at(reading.document.data, path)
        match parameter:
            case Number():
                numbers.update(_number(value, parameter))
            case Word():
                words[parameter.name] = frozenset({str(value), *_choices(reading, path)})
            case Label() if isinstance(value, str):
                labels[parameter.name] = value
    return Told(numbers, words, labels, place.path, reading.document)


def _number(value: object, parameter: Number) -> dict[str, float]:
    try:
        return {parameter.name: number_of(value, parameter)}
    except UnitError:
        return {}  # the model reports the value itself


def _choices(reading: Reading, path: str) -> tuple[str, ...]:
    spec = reading.section("variables").get(path)
    choices = spec.get("choices") if isinstance(spec, dict) else None
    return tuple(map(str, choices)) if isinstance(choices, list) else ()
