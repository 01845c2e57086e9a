"""A study scored by machine code gives what its numpy code does."""

import os
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from tests.bench.chain import drawn, two_gaits
from tests.services.toy import ToyProblem
from tests.stages.studies import every_gait, with_variables
from tests.study.edits import EXAMPLE, study_of
from tradeopt.chain.kind import Step
from tradeopt.chain.stage import Values
from tradeopt.kernel import machine
from tradeopt.kernel.node import MOST_LOOSE
from tradeopt.kernel.stretch import TILE
from tradeopt.stages.heat import TWO_NODE
from tradeopt.study.compiled import CompiledStudy
from tradeopt.study.fused import FusedStudy, quickened

EXACT = 1e-12
"""Relative difference of rounding."""

MAGNIFIED = 1e-6
"""What the square root of a cell at its greatest power makes of it."""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("machine")


@pytest.fixture(scope="module")
def example(folder: Path) -> FusedStudy:
    return FusedStudy.of(study_of(EXAMPLE).problem, folder)


def check_alike(fused: FusedStudy, designs: np.ndarray) -> None:
    found, plain = fused.score(designs), fused.study.score(designs)
    for one, other in (
        (found.objectives, plain.objectives),
        (found.violations, plain.violations),
    ):
        np.testing.assert_allclose(one, other, rtol=MAGNIFIED, atol=MAGNIFIED)
    names = [one.name for one in fused.limits]
    error = np.abs(found.violations - plain.violations)
    error /= np.maximum(np.abs(plain.violations), 1.0)
    # the nearest points of limbs that are next to parallel are quotients of small numbers
    error[:, names.index("leg_clearance_margin")] /= 1e3
    calm = plain.violations[:, names.index("pack_power_margin")] < -1e-3
    assert error[calm].max(initial=0.0) < EXACT


def test_machine_code_scores_the_example_as_numpy_does(example: FusedStudy) -> None:
    check_alike(example, example.baseline[None])
    check_alike(example, drawn(example, 300))


def test_machine_code_scores_corners_as_numpy_does(example: FusedStudy) -> None:
    ends = np.array([(one.lower, one.upper) for one in example.variables])
    corners = np.random.default_rng(3).integers(0, 2, (64, len(ends)))
    check_alike(example, ends[np.arange(len(ends)), corners])


def test_gaits_of_every_kind_are_scored_alike(folder: Path) -> None:
    fused = FusedStudy.of(study_of(every_gait()).problem, folder)
    check_alike(fused, drawn(fused, 20))


def test_gaits_that_the_search_changes_stay_numpy(folder: Path) -> None:
    told = {
        "robot.frame.thigh": "{from: 380 mm, to: 420 mm}",
        "gaits.steady.speed": "{from: 0.45 m/s, to: 0.55 m/s}",
    }
    fused = FusedStudy.of(with_variables(told), folder)
    assert [one.name for one in fused.program.islands] == ["gait pattern duty", "gait stand duty"]
    check_alike(fused, drawn(fused, 20))


def test_pieces_are_those_of_numpy(example: FusedStudy) -> None:
    designs = drawn(example, 10)
    (scores, parts), (plain, wanted) = (
        one.score_pieces(designs) for one in (example, example.study)
    )
    np.testing.assert_array_equal(parts.limits, wanted.limits)
    np.testing.assert_allclose(parts.violations, wanted.violations, rtol=1e-6, atol=1e-6)
    np.testing.assert_array_equal(scores.violations, example.score(designs).violations)
    assert scores.objectives.shape == plain.objectives.shape


def test_as_many_pieces_as_limits_have(folder: Path) -> None:
    study = two_gaits()
    many = next(one for one in study.limits if one.name == "limb_stress_margin")
    # with scales of their own, no two pieces are the same
    limits = [replace(many, scale=many.scale * (1 + number)) for number in range(80)]
    study = replace(study, limits=tuple(limits))
    fused = quickened(study, folder)
    assert isinstance(fused, FusedStudy)
    designs = drawn(fused, TILE + 1)
    (scores, parts), (_, wanted) = (one.score_pieces(designs) for one in (fused, study))
    assert parts.violations.shape[1] > MOST_LOOSE
    np.testing.assert_array_equal(parts.limits, wanted.limits)
    np.testing.assert_allclose(parts.violations, wanted.violations, rtol=1e-6, atol=1e-6)
    np.testing.assert_array_equal(scores.violations, fused.score(designs).violations)


def test_a_design_is_scored_alike_twice_and_in_any_batch(example: FusedStudy) -> None:
    designs = drawn(example, 200)
    first, second = (example.score(designs).violations for _ in range(2))
    np.testing.assert_array_equal(first, second)
    for row in (0, 127, 128, 199):
        alone = example.score(designs[row : row + 1]).violations[0]
        np.testing.assert_allclose(alone, first[row], rtol=MAGNIFIED, atol=MAGNIFIED)


def test_no_designs_have_no_scores(example: FusedStudy) -> None:
    scores = example.score(np.empty((0, len(example.variables))))
    assert scores.objectives.shape == (0, len(example.objectives))
    assert scores.violations.shape == (0, len(example.limits))


def test_nothing_but_a_product_stays_numpy(example: FusedStudy) -> None:
    assert {one.name for one in example.program.islands} <= {"product"}


def test_another_process_finds_the_machine_code(tmp_path: Path) -> None:
    study = two_gaits()
    first = FusedStudy.of(study, tmp_path)
    made = {one: one.stat().st_mtime_ns for one in tmp_path.iterdir()}
    second = FusedStudy.of(study, tmp_path)
    assert made
    assert {one: one.stat().st_mtime_ns for one in tmp_path.iterdir()} == made
    designs = drawn(first, 5)
    np.testing.assert_array_equal(
        first.score(designs).violations, second.score(designs).violations
    )


@pytest.mark.parametrize("left", [0, 20, 5000])
def test_a_file_cut_short_is_made_again(tmp_path: Path, left: int) -> None:
    text = "define void @run(i64 %a, ptr %b, ptr %c, ptr %d) {\n  ret void\n}\n"
    machine.Machine(text, tmp_path)
    (file,) = tmp_path.iterdir()
    whole = file.read_bytes()
    file.write_bytes((whole * 10)[:left])
    machine.Machine(text, tmp_path)
    assert file.read_bytes() == whole


def test_only_some_files_are_kept(tmp_path: Path) -> None:
    for number in range(machine.KEPT):
        old = tmp_path / f"{number}.o"
        old.write_bytes(b"")
        os.utime(old, (number, number))
    machine.Machine("define void @run(ptr %a) {\n  ret void\n}\n", tmp_path)
    assert len(list(tmp_path.iterdir())) == machine.KEPT
    assert not (tmp_path / "0.o").exists()


def test_a_folder_that_cannot_be_written_only_costs_time(tmp_path: Path) -> None:
    file = tmp_path / "file"
    file.write_text("no folder", encoding="utf-8")
    fused = FusedStudy.of(two_gaits(), file)
    check_alike(fused, drawn(fused, 3))


def with_other_heat(compute: Callable[[Values], Values]) -> CompiledStudy:
    """The study of two gaits with another function of its motors' heat."""
    study = two_gaits()
    step = Step(TWO_NODE.steps["duty"].needs, compute)
    other = replace(TWO_NODE, steps={"duty": step})
    slots = tuple(
        replace(one, places=tuple(replace(place, kinds=(other,)) for place in one.places))
        if one.slot is TWO_NODE.slot
        else one
        for one in study.layout.slots
    )
    return replace(study, layout=replace(study.layout, slots=slots))


def test_a_kind_that_cannot_be_recorded_stays_numpy(folder: Path) -> None:
    def by_values(values: Values) -> Values:
        return TWO_NODE.steps["duty"].compute({k: np.array(v) for k, v in values.items()})

    fused = FusedStudy.of(with_other_heat(by_values), folder)
    names = {one.name for one in fused.program.islands}
    assert names - {"product"} == {"heat two_node duty"}
    check_alike(fused, drawn(fused, 200))


def test_code_that_does_not_agree_with_numpy_is_not_used(
    folder: Path, caplog: pytest.LogCaptureFixture
) -> None:
    def two_faced(values: Values) -> Values:
        found = dict(TWO_NODE.steps["duty"].compute(values))
        if not isinstance(next(iter(values.values())), np.ndarray):
            found["winding_temperature"] = found["winding_temperature"] + 1000.0
        return found

    study = with_other_heat(two_faced)
    assert quickened(study, folder) is study
    assert "does not agree with numpy" in caplog.text


def test_where_no_machine_code_can_be_made_numpy_scores(
    folder: Path, caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_given: object) -> bytes:
        raise RuntimeError("LLVM knows no such thing")

    monkeypatch.setattr(machine, "_made", refuse)
    study = two_gaits()
    assert quickened(study, folder / "empty") is study
    assert "no machine code of this study can be made" in caplog.text
    assert "LLVM knows no such thing" in caplog.text


def test_machine_code_that_agrees_is_used(folder: Path) -> None:
    assert isinstance(quickened(two_gaits(), folder), FusedStudy)


def test_what_is_no_study_stays_as_it_is(folder: Path) -> None:
    toy = ToyProblem()
    assert quickened(toy, folder) is toy
