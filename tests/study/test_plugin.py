"""A package of somebody else adds kinds and stages, and a study uses them by name."""

import json
import os
import re
import subprocess
import sys
import textwrap
from collections.abc import Mapping
from importlib.metadata import EntryPoint
from pathlib import Path
from typing import Any

import pytest

from tests.study.edits import CSV, EXAMPLE, edited, settled
from tradeopt.chain.kind import Kind
from tradeopt.errors import ChainError
from tradeopt.stages import registry

ROOT = Path(__file__).parents[2]

PACKAGE = """
import numpy as np

from tradeopt import quantities as q
from tradeopt.chain.kind import Kind, Number, Slot, Step
from tradeopt.stages import slots


def _bath(values):
    rows = len(values[q.MOTOR_MASS.name])
    return {one.name: np.full(rows, 0.25) for one in slots.COOLING.steps["size"]}


BATH = Kind(
    "bath", slots.COOLING, "the whole drive in oil", (), {"size": Step((q.MOTOR_MASS,), _bath)}
)

PRICE_OF_ROBOT = q.Quantity("price", "EUR", ("design",), "of the whole robot", (1e3, 1e5))
PRICE = Slot("price", "stages.price", {"size": (PRICE_OF_ROBOT,)})


def _by_mass(values):
    return {"price": values[q.TOTAL_MASS.name] * values["per_mass"] + values["extra"]}


BY_MASS = Kind(
    "by_mass",
    PRICE,
    "so much a kilogram",
    (
        Number("per_mass", "EUR/kg", "price of a kilogram", (50, 500), at_least=0.0),
        Number("extra", "EUR", "price of the rest", (0, 500), at_least=0.0),
    ),
    {"size": Step((q.TOTAL_MASS,), _by_mass)},
)
FAN = Kind("fan", slots.COOLING, "a second fan", (), BATH.steps)
NUMBER = 7
"""

PRICED = (
    edited("robot.drives.hip_yaw.cooling", "bath", settled())
    .replace(
        "stages:\n", "stages:\n  price: {kind: by_mass, per_mass: 120 EUR/kg, extra: 50 EUR}\n"
    )
    .replace("objectives:\n", "objectives:\n  price: lowest\n")
    .replace("limits:", "limits:\n  price: '<= 9000 EUR'\n  #")
    .replace("variables: {}", "variables: {stages.price.extra: {from: 0 EUR, to: 100 EUR}}")
)


def installed(folder: Path, **points: str) -> Path:
    """Install the package the way pip leaves it, with its entry points."""
    (folder / "their_parts.py").write_text(PACKAGE, encoding="utf-8")
    info = folder / "their_parts-1.0.dist-info"
    info.mkdir()
    (info / "METADATA").write_text("Metadata-Version: 2.1\nName: their-parts\nVersion: 1.0\n")
    lines = [f"{name} = {value}" for name, value in points.items()]
    (info / "entry_points.txt").write_text("\n".join(["[tradeopt.kinds]", *lines, ""]))
    return folder


def run(folder: Path, *arguments: str, stdin: str = "") -> subprocess.CompletedProcess[str]:
    path = os.pathsep.join((str(folder), str(ROOT)))
    return subprocess.run(
        [sys.executable, *arguments],
        input=stdin,
        env={**os.environ, "PYTHONPATH": path, "PYTHONDONTWRITEBYTECODE": "1"},
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )


def answer(folder: Path, code: str, *given: str) -> dict[str, Any]:
    done = run(folder, "-c", textwrap.dedent(code), stdin=json.dumps(given))
    assert done.returncode == 0, done.stderr
    found: dict[str, Any] = json.loads(done.stdout)
    return found


@pytest.fixture(scope="module")
def package(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return installed(
        tmp_path_factory.mktemp("site"), bath="their_parts:BATH", price="their_parts:BY_MASS"
    )


def test_a_kind_and_a_stage_of_another_package_are_used_by_name(package: Path) -> None:
    code = """
        import json, sys
        from tradeopt.study.read import loads
        text, csv = json.load(sys.stdin)
        problem = loads(text, {"levee_brisk.csv": csv}).problem
        found = problem.evaluate(problem.baseline[None]).values
        scores = problem.score(problem.baseline[None])
        names = [one.name for one in problem.limits]
        print(json.dumps({
            "path": found["winding_to_housing"][0, 0],
            "cooling_mass": found["cooling_mass"][0, 0],
            "total_mass": found["total_mass"][0],
            "price": found["price"][0],
            "objective": scores.objectives[0, 0],
            "missed": scores.violations[0, names.index("price")],
            "variable": [problem.variables[0].path, problem.variables[0].upper],
        }))
    """
    found = answer(package, code, PRICED, CSV)
    price = 120.0 * found["total_mass"] + 50.0
    assert found["path"] == found["cooling_mass"] == 0.25
    assert found["price"] == found["objective"] == pytest.approx(price, rel=1e-12)
    assert found["missed"] == pytest.approx((price - 9000.0) / 9000.0, rel=1e-12)
    assert found["variable"] == ["stages.price.extra", 100.0]


def test_a_study_that_names_neither_is_read_as_before(package: Path) -> None:
    code = """
        import json, sys
        from tradeopt.study.read import loads
        text, csv = json.load(sys.stdin)
        problem = loads(text, {"levee_brisk.csv": csv}).problem
        print(json.dumps({"price": "price" in problem.chain.quantities}))
    """
    assert answer(package, code, EXAMPLE, CSV) == {"price": False}


def test_mistakes_in_what_another_package_adds_are_told_like_any_other(package: Path) -> None:
    code = """
        import json, sys
        from tradeopt.errors import StudyError
        from tradeopt.study.read import loads
        *texts, csv = json.load(sys.stdin)
        told = []
        for text in texts:
            try:
                loads(text, {"levee_brisk.csv": csv})
            except StudyError as error:
                told += [[one.where, one.got, one.want, one.near] for one in error.problems]
        print(json.dumps({"told": told}))
    """
    texts = (
        PRICED.replace("120 EUR/kg", "120 EUR"),
        PRICED.replace(", extra: 50 EUR", ""),
        EXAMPLE.replace("stages:\n", "stages:\n  prize: {kind: by_mass}\n"),
        EXAMPLE.replace("stages:\n", "stages:\n  price: by_mas\n"),
        edited("robot.drives.hip_yaw.cooling", "bth"),
    )
    per_mass, extra, stage, kind, cooling = answer(package, code, *texts, CSV)["told"]
    assert per_mass == [
        "stages.price.per_mass",
        "'120 EUR', which is a price",
        "a value in EUR/kg, such as '1 EUR/kg'",
        None,
    ]
    assert extra[:2] == ["stages.price.extra", "nothing"]
    assert (stage[0], stage[3]) == ("stages.prize", "price")
    assert (kind[0], kind[3]) == ("stages.price", "by_mass")
    assert (cooling[0], cooling[3]) == ("robot.drives.hip_yaw.cooling", "bath")


def test_the_schema_knows_what_another_package_adds(package: Path) -> None:
    code = """
        import json, sys
        from jsonschema import Draft202012Validator
        from tradeopt.study.schema import json_schema
        from tradeopt.study.text import read
        check = Draft202012Validator(json_schema())
        valid = [check.is_valid(read(text, file="s").data) for text in json.load(sys.stdin)]
        print(json.dumps({"valid": valid}))
    """
    texts = (
        PRICED,
        EXAMPLE,
        PRICED.replace("by_mass", "by_mas"),
        PRICED.replace("120 EUR/kg", "120"),
    )
    assert answer(package, code, *texts) == {"valid": [True, True, False, False]}


def test_the_contract_of_kinds_is_asked_of_them_too(package: Path) -> None:
    done = run(
        package,
        "-m",
        "pytest",
        "-q",
        "-p",
        "no:cacheprovider",
        "tests/contract/test_kinds.py",
        "-k",
        "cooling.bath or price.by_mass or glossary",
    )
    assert done.returncode == 0, done.stdout
    passed = re.search(r"(\d+) passed", done.stdout)
    assert passed is not None
    assert int(passed[1]) >= 11  # five promises of each of two kinds, and the glossary


def test_a_kind_of_a_name_that_is_taken_is_refused_and_both_are_named(tmp_path: Path) -> None:
    code = """
        from tradeopt.errors import ChainError
        from tradeopt.stages.registry import known_kinds
        try:
            known_kinds()
        except ChainError as error:
            raise SystemExit(str(error))
    """
    folder = installed(tmp_path, fan="their_parts:FAN")
    done = run(folder, "-c", textwrap.dedent(code))
    assert done.returncode == 1
    message = (
        r"cooling\.fan: got two kinds of that name: '.+' from tradeopt and "
        r"'a second fan' from their_parts:FAN, want one"
    )
    assert re.fullmatch(message, done.stderr.strip())


def kinds_with(monkeypatch: pytest.MonkeyPatch, value: str) -> Mapping[str, Kind]:
    """Look for kinds again, with one entry point."""

    def found(*, group: str) -> list[EntryPoint]:
        return [EntryPoint("part", value, group)]

    monkeypatch.setattr(registry, "entry_points", found)
    return registry.known_kinds.__wrapped__()


@pytest.mark.parametrize(
    ("value", "message"),
    [
        (
            "tradeopt.quantities:PHASES",
            "part: got int from tradeopt.quantities:PHASES, want a Kind",
        ),
        ("tradeopt.quantities:GONE", "part: got .*:GONE, which cannot be loaded: .*'GONE'"),
        ("no_parts:KIND", "part: got no_parts:KIND, which cannot be loaded: .*'no_parts'"),
    ],
    ids=["no kind", "no name", "no module"],
)
def test_an_entry_point_that_leads_to_no_kind_is_named(
    monkeypatch: pytest.MonkeyPatch, value: str, message: str
) -> None:
    with pytest.raises(ChainError, match=message):
        kinds_with(monkeypatch, value)


def test_a_kind_that_is_registered_again_is_still_one(monkeypatch: pytest.MonkeyPatch) -> None:
    kinds = kinds_with(monkeypatch, "tradeopt.stages.cooling:FAN")
    assert list(kinds) == list(registry.known_kinds())
