"""A catalogue of motors beside the study: its rows are used, impossible ones are refused."""

from importlib.resources import files
from math import sqrt

import pytest

from tests.study.edits import CSV, STRIDE, edited, settled
from tradeopt import quantities as q
from tradeopt.errors import StudyError
from tradeopt.study.compiled import Evaluation
from tradeopt.study.read import loads

SHIPPED = (files("tradeopt.data") / "motors.csv").read_text(encoding="utf-8")
HEADER, *ROWS = [line for line in SHIPPED.splitlines() if not line.startswith("#")]
NAMES = [cell.partition(" [")[0] for cell in HEADER.split(",")]
MOTOR = "robot.drives.hip_yaw.motor"
STUDY = edited(
    MOTOR, "{kind: catalogue, model: mine-1, maturity: off_the_shelf}", settled()
).replace("surroundings:", "tables: {motors: mine.csv}\nsurroundings:", 1)


def row(name: str, **changed: str) -> str:
    """The second motor shipped under another name, with some cells changed."""
    cells = dict(zip(NAMES, ROWS[1].split(","), strict=True)) | {"name": name} | changed
    return ",".join(cells.values())


def evaluated(*rows: str, study: str = STUDY) -> Evaluation:
    table = "\n".join(["# ours", HEADER, *rows])
    problem = loads(study, {STRIDE: CSV, "mine.csv": table}, file="levee.yaml").problem
    return problem.evaluate(problem.baseline[None])


def test_a_motor_of_a_catalogue_is_what_its_row_says() -> None:
    found = evaluated(row("mine-1", mass="0.9", phase_inductance="81")).values
    cells = dict(zip(NAMES, row("mine-1").split(","), strict=True))
    for quantity, wanted in (
        ("motor_mass", 0.9),
        ("phase_inductance", 81e-6),
        ("motor_diameter", float(cells["diameter"]) * 1e-3),
        ("torque_constant", float(cells["torque_constant"])),
        ("phase_resistance", float(cells["phase_resistance"])),
        ("housing_area", float(cells["housing_area"]) * 1e-4),
        ("peak_motor_torque", float(cells["peak_torque"])),
        ("saturation_current", float(cells["saturation_current"])),
        ("winding_limit", float(cells["winding_limit"]) + 273.15),
        ("motor_scaling_margin", 1.0),
        ("winding_capacity", 0.9 * float(cells["winding_share"]) * 385.0),
    ):
        assert found[quantity][0, q.JOINTS.index("hip_yaw")] == pytest.approx(wanted), quantity


def test_a_catalogue_can_be_searched() -> None:
    models = "{choices: [mine-1, mine-2]}"
    study = STUDY.replace("variables: {}", f"variables: {{{MOTOR}.model: {models}}}")
    table = "\n".join([HEADER, row("mine-1"), row("mine-2", mass="2")])
    problem = loads(study, {STRIDE: CSV, "mine.csv": table}).problem
    found = problem.evaluate(problem.baseline[None] + [[0.0], [1.0]])
    assert found.values["motor_mass"][:, 0] == pytest.approx([0.80, 2.0])


def test_the_shipped_catalogue_serves_without_a_table() -> None:
    text = edited(MOTOR, "{kind: catalogue, model: demo-70-52, maturity: new}", settled())
    problem = loads(text, {STRIDE: CSV}).problem
    found = problem.evaluate(problem.baseline[None]).values
    constant, resistance = (found[n][0, 0] for n in ("torque_constant", "phase_resistance"))
    assert constant / sqrt(1.5 * resistance) == pytest.approx(0.278, abs=5e-4)


def test_cells_without_a_number_are_told_before_what_the_numbers_say() -> None:
    rows = (row("mine-1"), row("blank", torque_constant=""), row("words", mass="heavy"))
    with pytest.raises(StudyError, match="a blank cell") as caught:
        evaluated(*rows)
    told = [(one.file, one.line, one.where, one.got) for one in caught.value.problems]
    assert told == [
        ("mine.csv", 4, "torque_constant", "a blank cell"),
        ("mine.csv", 5, "mass", "'heavy'"),
    ]


def test_impossible_rows_are_refused_row_by_row() -> None:
    rows = (
        row("mine-1"),
        row("no-mass", mass="-0.2"),
        row("contradicts", motor_constant="0.9"),
        row("line-to-line", phase_resistance="0.114"),
        row("cold", winding_limit="10"),
        row("all-copper", winding_share="1.2"),
        row("no-poles", pole_pairs="0"),
        row("nearly", motor_constant="0.42"),
    )
    with pytest.raises(StudyError, match="motor_constant") as caught:
        evaluated(*rows)
    told = [(one.line, one.where, one.got, one.want) for one in caught.value.problems]
    form = "torque_constant/sqrt(1.5 phase_resistance) of its row"
    assert sorted(told) == [
        (4, "mass", "-0.2", "more than 0 kg"),
        (5, "motor_constant", "0.9", f"{form}, 0.4036, within 10 %"),
        (6, "motor_constant", "0.404", f"{form}, 0.2854, within 10 %"),
        (7, "winding_limit", "283.15", "more than 293.15 K"),
        (8, "winding_share", "1.2", "at most 0.9"),
        (9, "pole_pairs", "0", "at least 1"),
    ]
    assert {one.file for one in caught.value.problems} == {"mine.csv"}


def test_a_column_that_is_missing_or_has_another_unit_is_told() -> None:
    table = "\n".join([HEADER.replace("mass [kg]", "mass [W]").replace(",source", ""), ROWS[0]])
    with pytest.raises(StudyError, match=r"mine\.csv:1:\d+: mass") as caught:
        loads(STUDY, {STRIDE: CSV, "mine.csv": table})
    assert "no such column" in {one.got for one in caught.value.problems}
