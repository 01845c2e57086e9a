"""The model of a study file follows from the kinds it names, whatever they are."""

import numpy as np
import pytest
from pydantic import ValidationError

from tradeopt.chain.kind import Kind, Number, Slot, Step, Word
from tradeopt.chain.stage import Values
from tradeopt.errors import ChainError, StudyError, UnitError
from tradeopt.quantities import Quantity
from tradeopt.stages.registry import catalogue, known_kinds
from tradeopt.study.fields import expected, is_name, number_of, number_schema, spoken
from tradeopt.study.layout import Layout, layout_of, table_at, value_at, whole_layout
from tradeopt.study.model import model_of
from tradeopt.study.reading import Reading
from tradeopt.study.text import read
from tradeopt.study.variables import read_variables

NOISE = Quantity("noise", "W", ("design",), "sound power", (0.0, 1.0))
HUM = Slot("hum", "stages.hum", {"size": (NOISE,)}, default="quiet")


def _silence(values: Values) -> Values:
    return {"noise": np.zeros_like(next(iter(values.values())))}


def kind(name: str, *parameters: Number | Word) -> Kind:
    return Kind(name, HUM, name, parameters, {"size": Step((), _silence)})


RATE = Number("rate", "1/s", "beats", (1.0, 2.0), above=0.0)
QUIET = kind("quiet")
LOUD = kind("loud", RATE, Number("size.length", "m", "how long", (1.0, 2.0)))
ODD = kind("odd", Number("rate", "m/s", "wind", (1.0, 2.0)))
KINDS = catalogue([QUIET, LOUD, ODD])


def reading(text: str) -> Reading:
    document = read(text, file="s.yaml")
    return Reading(document, layout_of(document.data, KINDS), {})


def layout(text: str) -> Layout:
    return reading(text).layout


@pytest.mark.parametrize(
    ("text", "kinds"),
    [
        ("stages: {hum: quiet}", (QUIET,)),
        ("stages: {hum: {kind: loud}}", (LOUD,)),
        ("stages: {hum: {rate: 7 Hz}}", (QUIET,)),
        ("stages: {hum: luod}", ()),
        ("stages: {hum: [loud]}", ()),
        ("stages: {hum: null}", (QUIET,)),
        (
            "stages: {hum: loud}\nvariables: {stages.hum.kind: {choices: [quiet, luod, loud]}}",
            (LOUD, QUIET),
        ),
        ("stages: {hum: loud}\nvariables: {stages.hum.kind: {choices: quiet}}", (LOUD,)),
        ("stages: {hum: loud}\nvariables: {stages.hum.kind: quiet}", (LOUD,)),
        ("stages: {hum: loud}\nvariables: [stages.hum.kind]", (LOUD,)),
    ],
)
def test_a_place_has_the_kind_it_names_and_those_a_variable_may_put_there(
    text: str, kinds: tuple[Kind, ...]
) -> None:
    assert layout(text).places["stages.hum"].kinds == kinds


@pytest.mark.parametrize("text", ["stages: {}", "stages: [hum]", "name: hum", "stages: hum"])
def test_a_slot_of_another_package_is_there_only_where_it_is_named(text: str) -> None:
    assert layout(text).places == {}


def test_values_of_a_place_are_known_by_their_paths() -> None:
    leaves = layout("stages: {hum: loud}").leaves
    assert list(leaves) == ["stages.hum.kind", "stages.hum.rate", "stages.hum.size.length"]
    assert leaves["stages.hum.rate"] is RATE
    assert list(whole_layout(KINDS).places["stages.hum"].kinds) == [QUIET, LOUD, ODD]


def test_gaits_that_cannot_be_named_in_a_path_have_no_place() -> None:
    data = read("gaits: {'a.b': 1, 'a b': 1, '': 1, ok: 1}", file="s.yaml").data
    assert layout_of(data, known_kinds()).gaits == ("ok",)


def test_a_model_is_frozen_and_holds_si() -> None:
    text = "stages: {hum: {kind: loud, rate: 120 1/min, size: {length: 5 cm}}}"
    model = model_of(layout(text), KINDS, {})
    whole = {"format": 1, "name": "a", "variables": {}, "objectives": {"noise": "lowest"}}
    checked = model.model_validate(
        whole | {"search": {"seed": 1}} | read(text, file="s.yaml").data
    )
    dumped = checked.model_dump(by_alias=True)
    assert value_at(dumped, "stages.hum.rate") == pytest.approx(2.0, rel=1e-12)
    assert value_at(dumped, "stages.hum.size.length") == pytest.approx(0.05, rel=1e-12)
    assert table_at(dumped, "robot") == {}
    with pytest.raises(ValidationError, match="frozen"):
        checked.field_0 = 2  # type: ignore[attr-defined] # the mistake that is tested


def test_kinds_that_mean_different_things_by_one_name_cannot_be_searched() -> None:
    one = reading(
        "stages: {hum: {kind: loud}}\n"
        "variables:\n"
        "  stages.hum.kind: {choices: [loud, odd, quiet]}\n"
    )
    assert read_variables(one) == ()
    (problem,) = one.problems
    assert problem.got == "loud and odd, which mean different things by 'rate'"
    assert problem.want == "kinds that share a name only for the same thing"
    assert (problem.line, problem.column) == (3, 30)


@pytest.mark.parametrize(
    ("kinds", "message"),
    [
        (
            (LOUD, kind("loud")),
            "hum.loud: got two kinds of that name: 'loud' from one.py and 'loud' from two.py",
        ),
        (
            (LOUD, Kind("loud", Slot("hum", "stages.ham", HUM.steps), "", (), LOUD.steps)),
            "a second slot 'hum', at stages.ham beside stages.hum",
        ),
    ],
    ids=["kind", "slot"],
)
def test_kinds_that_collide_are_both_named(kinds: tuple[Kind, Kind], message: str) -> None:
    with pytest.raises(ChainError, match=message):
        catalogue(kinds, dict(zip(kinds, ("one.py", "two.py"), strict=True)))


# numbers

COUNT = Number("count", "1", "how many", (1, 20), at_least=0.0, at_most=30.0, whole=True)
SHARE = Number("share", "1", "part", (0.0, 1.0), at_least=0.0, at_most=1.0)


@pytest.mark.parametrize(
    ("value", "parameter", "number"),
    [
        (7, COUNT, 7.0),
        (7.0, COUNT, 7.0),
        ("7", COUNT, 7.0),
        (0, COUNT, 0.0),
        (0.5, SHARE, 0.5),
        ("50 %", SHARE, 0.5),
        (1e-05, SHARE, 1e-05),
        ("120 1/min", RATE, 2.0),
    ],
)
def test_a_number_is_read(value: object, parameter: Number, number: float) -> None:
    assert number_of(value, parameter) == pytest.approx(number, rel=1e-12)


@pytest.mark.parametrize(
    ("value", "parameter", "message"),
    [
        (True, COUNT, "got true, want a whole number, such as '20'"),
        (7.5, COUNT, "got 7.5, want a whole number, such as '20'"),
        (31, COUNT, "got 31, want at most 30"),
        (1.5, SHARE, r"got 1.5, want at most 1 \(100 %\)"),
        (-0.5, SHARE, "got -0.5, want at least 0"),
        ("0 1/s", RATE, "got '0 1/s', want more than 0 1/s"),
        (None, RATE, "got nothing, want a rate in 1/s"),
        ([1], COUNT, "got a list, want a whole number"),
    ],
)
def test_a_number_is_refused(value: object, parameter: Number, message: str) -> None:
    with pytest.raises(UnitError, match=message):
        number_of(value, parameter)


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (None, "nothing"),
        (True, "true"),
        (False, "false"),
        ([], "a list"),
        ({}, "a table"),
        (3, "3"),
        ("x", "'x'"),
        ("x" * 1000, f"'{'x' * 40}'... of 1000 characters"),
        ("\x07", r"'\x07'"),
    ],
)
def test_what_came_is_said_shortly(value: object, words: str) -> None:
    assert spoken(value) == words


@pytest.mark.parametrize(
    ("text", "answer"),
    [
        ("a", True),
        ("a" * 60, True),
        ("a" * 61, False),
        ("a.b", False),
        ("a b", False),
        ("{a}", False),
        ("-", False),
        ("a\n", False),
    ],
)
def test_what_may_be_a_name(text: str, answer: bool) -> None:
    assert is_name(text) is answer


def test_the_schema_of_a_number_knows_its_bounds() -> None:
    assert number_schema(COUNT)["type"] == ["string", "integer"]
    assert (number_schema(COUNT)["minimum"], number_schema(COUNT)["maximum"]) == (0.0, 30.0)
    assert number_schema(RATE)["type"] == "string"
    assert number_schema(RATE)["description"] == "beats [1/s]"
    assert expected(Word("way", ("up", "down"), "")) == "one of: up, down"


def test_no_more_problems_are_kept_than_anybody_reads() -> None:
    one = reading("name: x")
    for _ in range(1000):
        one.report(("name",), "x", "y")
        one.report_name(("name",), ["x"], why="", want="")
        one.report_word(("name",), "x", ["x"], want="")
    assert len(one.problems) == 100
    with pytest.raises(StudyError, match=r"s\.yaml:1:7: name: got x, want y"):
        raise StudyError(tuple(one.problems))
