"""The JSON Schema of study files."""

from collections.abc import Iterator
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from tests.study.edits import EXAMPLE, edited, settled, study_of, without
from tradeopt.stages.registry import known_kinds
from tradeopt.study.layout import whole_layout
from tradeopt.study.read import examples, load
from tradeopt.study.schema import json_schema
from tradeopt.study.text import read

SCHEMA = json_schema()
VALIDATOR = Draft202012Validator(SCHEMA)
KNEE = "robot.drives.knee"


def data(source: str) -> dict[str, Any]:
    return read(source, file="levee.yaml").data


def test_it_is_a_schema_of_its_draft() -> None:
    assert SCHEMA["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize("name", examples())
def test_it_accepts_the_examples(name: str) -> None:
    VALIDATOR.validate(data(load(name).text))


@pytest.mark.parametrize(
    "source",
    [
        settled(),
        edited("robot.electronics.regeneration", "0.7"),
        edited("robot.frame.thigh", ".4 m"),
        edited("surroundings.ambient", "-5 °C"),
        edited("search", "{designs: 5000, seed: 1, sampler: tpe}"),
        EXAMPLE.replace("stages:\n", "stages:\n  voltage: sine_wave\n"),
        without("limits"),
        without("note"),
    ],
    ids=["settled", "share", "length", "cold", "search", "word", "no limits", "no note"],
)
def test_it_accepts_what_is_read(source: str) -> None:
    study_of(source)  # raises where reading refuses it
    VALIDATOR.validate(data(source))


@pytest.mark.parametrize(
    "source",
    [
        EXAMPLE + "limit: {}\n",
        edited("robot.frame.foot.heel", "75 mm, heal: 3 mm"),
        edited("robot.frame.thigh", "400"),
        edited("robot.frame.thigh", "'400'"),
        edited("robot.frame.thigh", "thigh"),
        edited("robot.frame.thigh", "null"),
        edited("robot.frame.thigh", "[400 mm]"),
        edited("robot.frame.foot", "[240 mm]"),
        edited("robot.battery.series", "2.5"),
        edited("robot.battery.series", "0"),
        edited("robot.battery.series", "true"),
        edited("robot.electronics.regeneration", "70"),
        edited(f"{KNEE}.motor.family", "demo-falt"),
        edited(f"{KNEE}.cooling.kind", "fna"),
        edited(f"{KNEE}.spring", "two_way"),
        edited(f"{KNEE}.spring", "null"),
        edited("variables.robot.battery.parallel", "{form: 4, to: 24}"),
        edited("variables.robot.battery.parallel", "7"),
        edited(f"variables.{KNEE}.motor.family.choices", "[demo-flat]"),
        edited(f"variables.{KNEE}.motor.family.choices", "[demo-flat, demo-flat]"),
        edited(f"variables.{KNEE}.transmission.ratio.scale", "lgo"),
        edited("objectives.range", "longest"),
        without("objectives") + "objectives: {}\n",
        edited("limits.endurance", "4"),
        edited("limits.endurance", "4 h"),
        edited("gaits.steady", "stea.dy", key=True),
        without("gaits") + "gaits: {}\n",
        edited("format", "2"),
        edited("search.seed", "seven"),
        edited("search.seed", "-1"),
        edited("search.seed", "7, sampler: nsga4"),
        without("format"),
        without("name"),
        edited("name", "levee rounds"),
        edited("name", "''"),
        without("robot"),
        without("gaits"),
        without("search"),
        without("surroundings"),
    ],
)
def test_it_refuses_what_a_schema_can_refuse(source: str) -> None:
    assert not VALIDATOR.is_valid(data(source))


def leaves(schema: dict[str, Any]) -> Iterator[tuple[str, dict[str, Any]]]:
    for table in [schema, *schema["$defs"].values()]:
        for name, part in table.get("properties", {}).items():
            if "$ref" not in part and "anyOf" not in part and part.get("type") != "object":
                yield name, part


def test_every_value_has_a_description() -> None:
    found = list(leaves(SCHEMA))
    assert len(found) > 100
    assert not [name for name, part in found if not part.get("description")]


def test_every_parameter_of_every_kind_is_in_it_with_its_meaning() -> None:
    told = {part["description"] for _, part in leaves(SCHEMA) if "description" in part}
    for kind in known_kinds().values():
        for parameter in kind.parameters:
            assert any(text.startswith(parameter.meaning) for text in told), parameter.name


def test_every_slot_of_a_study_is_in_it() -> None:
    tables = set(SCHEMA["$defs"])
    for filled in whole_layout(known_kinds()).slots:
        for kind in filled.known:
            assert f"{filled.slot.name}_{kind}" in tables


def test_names_of_its_tables_are_words_of_the_trade() -> None:
    assert not [name for name in SCHEMA["$defs"] if "__" in name]
