"""What a study file may say, and what reading it gives."""

import re
from dataclasses import FrozenInstanceError
from pathlib import Path

import numpy as np
import pytest
from pydantic import ValidationError

from tests.study.edits import CSV, EXAMPLE, FILE, STRIDE, edited, settled, study_of, without
from tradeopt.quantities import PHASES
from tradeopt.search.plan import SIZES
from tradeopt.search.samplers import SAMPLERS
from tradeopt.study import search_table
from tradeopt.study.problem import Limit, Objective, Variable
from tradeopt.study.read import examples, load, loads

KNEE = "robot.drives.knee"


def value(path: str, new: str) -> float | str:
    """Return what a value of the file comes to."""
    source = re.sub(rf"\n  {re.escape(path)}: .*", "", EXAMPLE)
    return study_of(edited(path, new, source)).problem.values[path]


@pytest.mark.parametrize("name", examples())
def test_every_example_is_read_by_its_name(name: str) -> None:
    study = load(name)
    assert study.name
    assert study.problem.variables
    assert study.problem.objectives


def test_a_study_in_a_folder_is_read_with_its_strides(tmp_path: Path) -> None:
    (tmp_path / FILE).write_text(EXAMPLE, encoding="utf-8")
    (tmp_path / STRIDE).write_text(CSV, encoding="utf-8")
    study = load(tmp_path / FILE)
    assert study.text == EXAMPLE
    assert study.files == {STRIDE: CSV}
    assert load(str(tmp_path / FILE)).digest == study.digest == study_of(EXAMPLE).digest


@pytest.mark.parametrize(
    ("path", "text", "expected"),
    [
        ("robot.frame.thigh", "40 cm", 0.4),
        ("robot.bodies.torso.mass", "21000 g", 21.0),
        (f"{KNEE}.transmission.rated_torque", "35 Nm", 35.0),
        (f"{KNEE}.transmission.rated_torque", "35 N*m", 35.0),
        ("surroundings.ambient", "40 degC", 313.15),
        ("surroundings.ambient", "313.15 K", 313.15),
        ("surroundings.ambient", "-20 °C", 253.15),
        ("gaits.steady.slope", "5 deg", np.pi / 36.0),
        ("robot.electronics.regeneration", "0.7", 0.7),
        ("robot.electronics.regeneration", "70 %", 0.7),
        ("robot.electronics.regeneration", "'70 %'", 0.7),
        ("robot.battery.series", "13.0", 13.0),
        ("robot.battery.series", "'13'", 13.0),
        (f"{KNEE}.spring", "none", "none"),
        (f"{KNEE}.spring", "{kind: none}", "none"),
    ],
)
def test_a_value_comes_in_si(path: str, text: str, expected: float | str) -> None:
    found = value(path, text) if isinstance(expected, float) else None
    if found is None:
        found = study_of(edited(path, text)).problem.values[f"{path}.kind"]
    assert found == (pytest.approx(expected, rel=1e-12) if found != expected else expected)


def test_kinds_that_go_without_saying_are_there() -> None:
    values = study_of(EXAMPLE).problem.values
    assert values["robot.frame.kind"] == "biped"
    assert values["robot.battery.kind"] == "pack"
    assert values["stages.voltage.kind"] == "sine_wave"


def test_a_default_kind_may_be_said_in_one_word() -> None:
    source = EXAMPLE.replace("stages:\n", "stages:\n  voltage: sine_wave\n")
    assert study_of(source).problem.values["stages.voltage.kind"] == "sine_wave"


def test_variables_come_in_the_order_of_the_file_and_in_si() -> None:
    source = settled().replace("variables: {}\n", "variables:\n") + (
        "  robot.drives.knee.motor.stack_length: {from: 10 mm, to: 4 cm}\n"
        "  robot.battery.parallel: {from: 4, to: 24}\n"
        "  robot.drives.knee.transmission.ratio: {from: 5, to: 50, scale: log}\n"
        "  robot.drives.ankle_pitch.spring.kind: {choices: [two_way, none]}\n"
    )
    kind = Variable(
        "robot.drives.ankle_pitch.spring.kind",
        "",
        0,
        1,
        whole=True,
        choices=("two_way", "none"),
    )
    assert study_of(source).problem.variables == (
        Variable(f"{KNEE}.motor.stack_length", "m", 0.01, 0.04),
        Variable("robot.battery.parallel", "1", 4.0, 24.0, whole=True),
        Variable(f"{KNEE}.transmission.ratio", "1", 5.0, 50.0, log=True),
        kind,
    )


def test_objectives_and_limits_come_in_si() -> None:
    source = without("objectives", without("limits")) + (
        "objectives: {range: highest, total_mass: lowest}\n"
        "limits:\n"
        '  winding_temperature: "<= 120 degC"\n'
        '  winding_temperature.knee: "<=373.15 K"\n'
        '  endurance: ">= 4 h"\n'
        '  voltage_margin: ">= 10 %"\n'
        '  mean_power: "<= 0 W"\n'
    )
    problem = study_of(source).problem
    assert problem.objectives == (
        Objective("range", "m", highest=True),
        Objective("total_mass", "kg", highest=False),
    )
    limits = {limit.name: limit for limit in problem.limits}
    assert limits["winding_temperature"] == Limit("winding_temperature", "K", 393.15, True, 100.0)
    assert limits["winding_temperature.knee"].value == 373.15
    assert limits["endurance"] == Limit("endurance", "s", 14400.0, False, 14400.0)
    assert limits["voltage_margin"] == Limit("voltage_margin", "1", 0.1, False, 1.0)
    assert limits["mean_power"].scale == 1.0


def test_every_margin_that_the_file_does_not_mention_is_kept_at_0() -> None:
    problem = study_of(without("limits")).problem
    margins = {one.name for one in problem.chain.quantities.values() if one.is_margin}
    assert {limit.name for limit in problem.limits} == margins
    assert {(limit.value, limit.at_most) for limit in problem.limits} == {(0.0, False)}
    assert "voltage_margin" in margins


@pytest.mark.parametrize(
    ("search", "expected"),
    [
        ("{time: 2 min, seed: 7}", (120.0, None, 7, "nsga2")),
        ("{designs: 5000, seed: 0, sampler: tpe}", (None, 5000, 0, "tpe")),
        ("{time: 1 h, designs: 100, seed: 4294967295}", (3600.0, 100, 2**32 - 1, "nsga2")),
        ("{seed: 1}", (None, None, 1, "nsga2")),
    ],
)
def test_search_settings(search: str, expected: tuple[float | None, int | None, int, str]) -> None:
    found = study_of(without("search") + f"search: {search}\n").search
    assert (found.time, found.designs, found.seed, found.sampler) == expected
    assert isinstance(found.seed, int)


def test_samplers_and_methods_of_a_study_are_those_of_the_search() -> None:
    assert set(search_table.SAMPLERS) == set(SAMPLERS)
    assert set(search_table.METHODS) == set(SIZES)


def test_a_study_without_variables_can_be_evaluated() -> None:
    problem = study_of(settled()).problem
    assert problem.baseline.shape == (0,)
    evaluation = problem.evaluate(problem.baseline[None])
    assert np.isfinite(evaluation.values["range"]).all()
    assert problem.score(problem.baseline[None]).objectives.shape == (1, 2)


@pytest.mark.parametrize("name", ["déich-größe_2", "Ω", "a" * 60])
def test_names_of_letters_of_any_script(name: str) -> None:
    source = edited("mission.out.gait", name, edited("gaits.steady", name, key=True))
    study = study_of(edited("name", name, source))
    assert study.name == name
    assert study.problem.layout.gaits == (name, "brisk", "standing")
    given = study.problem.evaluate(study.problem.baseline[None])
    assert given.gaits[0] == name


def test_a_note_may_be_left_out() -> None:
    assert study_of(without("note")).note is None


def test_a_byte_order_mark_and_other_line_ends_change_nothing() -> None:
    study = study_of("\ufeff" + EXAMPLE.replace("\n", "\r\n"))
    assert study.problem.values == study_of(EXAMPLE).problem.values


def test_a_recorded_stride_is_brought_to_the_phases_of_the_model() -> None:
    header = next(line for line in CSV.split("\n") if line.startswith("phase"))
    columns = header.count(",")
    phases = np.arange(0.0, 1.0, 1.0 / 32.0)
    wave = 10.0 + 20.0 * np.sin(2.0 * np.pi * phases)
    rows = [
        f"{p:.6f}," + ",".join([f"{w:.9f}"] * columns) for p, w in zip(phases, wave, strict=True)
    ]
    text = "\n".join([header.replace("phase [%]", "phase [1]"), *rows])
    found = study_of(EXAMPLE, text).problem.contents["gaits.brisk.stride"]
    turn = 2.0 * np.pi * np.arange(PHASES) / PHASES
    recorded = [one for one in found.values() if one.shape == (PHASES,) and np.isfinite(one).all()]
    assert len(recorded) == columns
    np.testing.assert_allclose(
        found["knee_angle"], np.radians(10.0 + 20.0 * np.sin(turn)), atol=np.radians(1e-3)
    )
    np.testing.assert_allclose(found["knee_torque"], 10.0 + 20.0 * np.sin(turn), atol=1e-3)


def test_a_stride_that_starts_later_is_the_same_stride() -> None:
    lines = CSV.rstrip("\n").split("\n")
    first = next(number for number, line in enumerate(lines) if line.startswith("0,"))
    later = "\n".join([*lines[:first], *lines[first + 1 :]])
    whole, shorter = (
        study_of(EXAMPLE, text).problem.contents["gaits.brisk.stride"]["knee_torque"]
        for text in (CSV, later)
    )
    np.testing.assert_allclose(shorter[1:], whole[1:], atol=1e-6)
    assert whole.shape == shorter.shape == (PHASES,)


# digest and freezing


def test_the_digest_changes_with_the_file_and_with_what_it_names() -> None:
    digests = {
        study_of(EXAMPLE).digest,
        study_of(edited("robot.frame.thigh", "401 mm")).digest,
        study_of(EXAMPLE, CSV + "\n").digest,
    }
    assert len(digests) == 3
    assert all(re.fullmatch("[0-9a-f]{64}", digest) for digest in digests)


def test_the_digest_is_that_of_the_question_and_not_of_its_wording() -> None:
    same = [
        EXAMPLE + "# remark\n",
        edited("robot.frame.thigh", "0.4 m"),
        edited("search.time", "8 h"),
        edited("search.seed", "8"),
        edited("note", "another word to the reader"),
    ]
    assert {study_of(text).digest for text in same} == {study_of(EXAMPLE).digest}


def test_the_digest_does_not_depend_on_files_that_are_not_named() -> None:
    study = loads(EXAMPLE, {STRIDE: CSV, "other.csv": "x"}, file="elsewhere.yaml")
    assert study.digest == study_of(EXAMPLE).digest
    assert set(study.files) == {STRIDE}


def test_nothing_of_a_study_can_be_changed() -> None:
    study = study_of(EXAMPLE)
    with pytest.raises(FrozenInstanceError, match="name"):
        study.name = "other"  # type: ignore[misc] # the mistake that is tested
    with pytest.raises(FrozenInstanceError, match="values"):
        study.problem.values = {}  # type: ignore[misc] # the mistake that is tested
    with pytest.raises(ValidationError, match="frozen"):
        study.search.seed = 8  # type: ignore[misc] # the mistake that is tested
    with pytest.raises(ValueError, match="read-only"):
        study.problem.baseline[0] = 1.0
