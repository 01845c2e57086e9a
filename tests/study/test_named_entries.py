"""Names that a study gives itself, such as those of legs; and its own tables of parts."""

from importlib.resources import files
from pathlib import Path

import jsonschema
import numpy as np
import pytest
import yaml

from tradeopt.errors import StudyError
from tradeopt.study.read import load, loads
from tradeopt.study.schema import json_schema
from tradeopt.study.study import Study

CELLS = (files("tradeopt.data") / "cells.csv").read_text(encoding="utf-8")
OUT = "out: {gait: steady, distance: 900 m}"


def edited(*changes: tuple[str, str], **more_files: str) -> Study:
    study = load("levee_rounds")
    text = study.text
    for before, after in changes:
        assert before in text
        text = text.replace(before, after)
    return loads(text, {**study.files, **more_files})


def problems(*changes: tuple[str, str], **more_files: str) -> list[str]:
    with pytest.raises(StudyError) as caught:
        edited(*changes, **more_files)
    return [str(problem).splitlines()[0] for problem in caught.value.problems]


def place_of(text: str) -> str:
    """Line and column of a text in the example."""
    lines = load("levee_rounds").text.splitlines()
    line = next(number for number, one in enumerate(lines) if text in one)
    return f"{line + 1}:{lines[line].index(text) + 1}"


def test_a_gait_that_does_not_exist_is_told_with_its_place_and_the_nearest() -> None:
    found = problems((OUT, "out: {gait: stedy, distance: 900 m}"))
    assert found == [
        f"study:{place_of('steady, distance')}: mission.out.gait: got 'stedy', "
        "want one of: steady, brisk, standing (near: 'steady')"
    ]


@pytest.mark.parametrize("table", ["mission", "gaits"])
def test_a_table_without_entries_is_told(table: str) -> None:
    lines = load("levee_rounds").text.splitlines()
    start = next(number for number, line in enumerate(lines) if line.startswith(f"{table}:"))
    end = next(n for n in range(start + 1, len(lines)) if not lines[n].startswith("  "))
    text = "\n".join([*lines[:start], f"{table}: {{}}", *lines[end:]])
    with pytest.raises(StudyError, match=rf"{table}: got an empty table, want a table with one"):
        loads(text, load("levee_rounds").files)


@pytest.mark.parametrize(
    ("written", "got"),
    [("", "nothing"), ("mission:", "nothing"), ("mission: 5", "5"), ("mission: [a]", "a list")],
)
def test_a_mission_that_is_none_is_told_once(written: str, got: str) -> None:
    lines = load("levee_rounds").text.splitlines()
    start = next(number for number, line in enumerate(lines) if line.startswith("mission:"))
    end = next(n for n in range(start + 1, len(lines)) if not lines[n].startswith("  "))
    with pytest.raises(StudyError, match=f"mission: got {got}, want") as caught:
        loads("\n".join([*lines[:start], written, *lines[end:]]), load("levee_rounds").files)
    assert len(caught.value.problems) == 1


def test_a_leg_needs_the_parameters_of_its_kind() -> None:
    found = problems((OUT, "out: {kind: time, gait: steady, distance: 900 m}"))
    assert len(found) == 2
    assert "mission.out.time: got nothing, want a time in s" in "\n".join(found)
    assert "mission.out.distance: got 'distance', which distance has, not time" in "\n".join(found)


def test_the_gait_of_a_leg_may_be_searched() -> None:
    line = "variables:\n"
    problem = edited(
        (line, line + "  mission.out.gait: {choices: [brisk, steady]}\n"),
        (line, line + "  mission.back.distance: {from: 100 m, to: 2 km}\n"),
    ).problem
    column = [one.path for one in problem.variables].index("mission.out.gait")
    assert problem.baseline[column] == 1.0
    rows = np.repeat(problem.baseline[None], 2, axis=0)
    rows[:, column] = [0.0, 1.0]
    v = problem.evaluate(rows).values
    np.testing.assert_allclose(v["leg_time"][:, 0], [900.0 / 0.75, 900.0 / 0.5])
    np.testing.assert_allclose(v["round_distance"], 1800.0)


def test_a_searched_gait_that_does_not_exist_is_told() -> None:
    line = "variables:\n"
    found = problems((line, line + "  mission.out.gait: {choices: [steady, brisc]}\n"))
    assert len(found) == 1
    assert "got 'brisc', want one of: steady, brisk, standing (near: 'brisk')" in found[0]


def test_an_own_table_of_parts_stands_in_place_of_the_shipped_one() -> None:
    mine = CELLS.replace("demo-21700-energy,4.9,", "demo-21700-energy,9.8,")
    section = ("objectives:", "tables: {cells: mine.csv}\n\nobjectives:")
    study = edited(section, **{"mine.csv": mine})
    assert study.files["mine.csv"] == mine
    energy = [
        one.problem.evaluate(one.problem.baseline[None]).values["pack_energy"][0]
        for one in (load("levee_rounds"), study)
    ]
    assert energy[1] == pytest.approx(2.0 * energy[0])
    assert study.digest != edited(section, **{"mine.csv": CELLS}).digest
    again = loads(study.text, study.files)
    assert again.digest == study.digest


def test_an_own_table_is_read_beside_the_study(tmp_path: Path) -> None:
    study = load("levee_rounds")
    text = study.text.replace("objectives:", "tables: {cells: mine.csv}\n\nobjectives:")
    (tmp_path / "study.yaml").write_text(text)
    (tmp_path / "levee_brisk.csv").write_text(study.files["levee_brisk.csv"])
    (tmp_path / "mine.csv").write_text(CELLS)
    assert set(load(tmp_path / "study.yaml").files) == {"levee_brisk.csv", "mine.csv"}
    (tmp_path / "study.yaml").write_text(text.replace("mine.csv", "../mine.csv"))
    with pytest.raises(StudyError, match=r"cells: got '../mine.csv', want the name of a CSV file"):
        load(tmp_path / "study.yaml")


def test_what_is_wrong_in_an_own_table_is_told_in_its_own_file_and_nothing_else() -> None:
    broken = CELLS.replace("demo-21700-power,4,", "demo-21700-power,-4,")
    found = problems(
        ("objectives:", "tables: {cells: mine.csv}\n\nobjectives:"), **{"mine.csv": broken}
    )
    assert found == ["mine.csv:5:18: capacity: got -14400, want more than 0 A*s"]


def test_an_own_table_of_no_known_name_or_outside_the_folder_is_told() -> None:
    found = problems(("objectives:", "tables: {cell: mine.csv}\n\nobjectives:"))
    assert "got 'cell', which is not known here" in found[0]
    assert "(near: 'cells')" in found[0]
    found = problems(("objectives:", "tables: {cells: ../mine.csv}\n\nobjectives:"))
    assert len(found) == 1
    assert (
        "tables.cells: got '../mine.csv', want a file that was given: levee_brisk.csv" in found[0]
    )


def test_a_limit_on_what_the_study_leaves_out_is_told() -> None:
    lines = load("levee_rounds").text.splitlines()
    start = lines.index("upkeep:")
    end = next(n for n in range(start + 1, len(lines)) if not lines[n].startswith("  "))
    with pytest.raises(StudyError, match="'upkeep_time', which no stage of this study"):
        loads("\n".join([*lines[:start], *lines[end:]]), load("levee_rounds").files)


def test_the_schema_takes_the_example_and_refuses_a_leg_of_no_kind() -> None:
    schema = json_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    data = yaml.safe_load(load("levee_rounds").text)
    validator.validate(data)
    validator.validate({name: value for name, value in data.items() if name != "upkeep"})
    data["mission"]["out"] = {"kind": "swim", "time": "5 min"}
    assert not validator.is_valid(data)
