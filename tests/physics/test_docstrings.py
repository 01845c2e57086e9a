"""Every public function of the physics says its units, its source or limits, with an example."""

import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable, Iterator
from typing import Any, get_args, get_type_hints

import pytest
from numpydoc.docscrape import NumpyDocString

import tradeopt.physics
from tradeopt.arrays import Array, Codes

UNIT = re.compile(r"\[[^\[\]]+\]")
NUMBERS = (Array, Codes, float, int)


def _modules() -> Iterator[Any]:
    path, prefix = tradeopt.physics.__path__, "tradeopt.physics."
    for found in pkgutil.walk_packages(path, prefix):
        yield importlib.import_module(found.name)


def _public(kind: Callable[[object], bool]) -> list[Any]:
    return [
        pytest.param(thing, id=f"{module.__name__.removeprefix('tradeopt.physics.')}.{name}")
        for module in _modules()
        for name, thing in vars(module).items()
        if kind(thing)
        and not name.startswith("_")
        and getattr(thing, "__module__", None) == module.__name__
    ]


FUNCTIONS = _public(inspect.isfunction)
CLASSES = _public(inspect.isclass)


def _holds_numbers(annotation: object) -> bool:
    """Whether a value of this type has a unit: a number, an array, or a container of them."""
    if any(annotation == number for number in NUMBERS):
        return True
    return any(_holds_numbers(part) for part in get_args(annotation))


def _described(documentation: NumpyDocString, *sections: str) -> dict[str, str]:
    """Names to all that is said about each; a name may share its entry, as in `x, y, z`."""
    return {
        name.strip().removeprefix("**").removeprefix("*"): f"{entry.type} {' '.join(entry.desc)}"
        for section in sections
        for entry in documentation[section]
        for name in entry.name.split(",")
    }


def _documentation(thing: object) -> NumpyDocString:
    return NumpyDocString(inspect.getdoc(thing) or "")


def test_the_walk_finds_the_physics() -> None:
    names = {parameter.id for parameter in FUNCTIONS}
    assert {"motor.copper_loss", "battery.run_down.drain_time", "warming.transient"} <= names


@pytest.mark.parametrize("function", FUNCTIONS)
def test_parameters_are_those_of_the_signature_with_units(function: Callable[..., Any]) -> None:
    hints = get_type_hints(function)
    described = _described(_documentation(function), "Parameters")
    assert list(described) == list(inspect.signature(function).parameters)
    unitless = [
        name
        for name, text in described.items()
        if _holds_numbers(hints[name]) and not UNIT.search(text)
    ]
    assert unitless == []


@pytest.mark.parametrize("function", FUNCTIONS)
def test_result_has_a_unit(function: Callable[..., Any]) -> None:
    result = get_type_hints(function)["return"]
    entries = _documentation(function)["Returns"]
    assert entries, "no Returns section"
    texts = [f"{entry.name} {entry.type} {' '.join(entry.desc)}" for entry in entries]
    if _holds_numbers(result):
        assert all(UNIT.search(text) for text in texts), texts


@pytest.mark.parametrize("function", FUNCTIONS)
def test_there_is_an_example_and_a_source_or_a_limit(function: Callable[..., Any]) -> None:
    documentation = _documentation(function)
    assert any(line.startswith(">>>") for line in documentation["Examples"])
    assert documentation["References"] or documentation["Notes"]


@pytest.mark.parametrize("record", CLASSES)
def test_fields_of_records_have_units(record: type) -> None:
    hints = get_type_hints(record)
    described = _described(_documentation(record), "Attributes", "Parameters")
    fields = {name for name in hints if not name.startswith("_")}
    assert fields <= set(described)
    unitless = [
        name for name in fields if _holds_numbers(hints[name]) and not UNIT.search(described[name])
    ]
    assert unitless == []
