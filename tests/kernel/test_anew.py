"""Loops keep what would cost more to work out anew, and nothing else."""

from typing import Any

import numpy as np
import pytest

from tests.kernel.test_functions import Function, check, drawn
from tradeopt.kernel.code import Code
from tradeopt.kernel.emit import Emitter
from tradeopt.kernel.plan import Loop
from tradeopt.kernel.record import Recorder

LENGTH = 40


def doubled(x: np.ndarray) -> Any:
    return 2.0 * x + x * x


def by_row(x: np.ndarray) -> Any:
    return x * x.sum(axis=-1, keepdims=True) + 1.0


def grown(x: np.ndarray) -> Any:
    return np.exp(x) - 1.0


def of_the_most(x: np.ndarray) -> Any:
    return x / x.max(axis=-1, keepdims=True)


def with_the_other_side(x: np.ndarray) -> Any:
    return x - np.roll(x, LENGTH // 2, axis=-1)


def loops_of(function: Function) -> list[Loop]:
    """Return the loops of a function of one row."""
    recorder = Recorder()
    given = recorder.given("row", np.linspace(0.5, 1.5, LENGTH)[np.newaxis])
    program = recorder.program(given, [function(given)], None)
    wanted = program.parts[-1].stretch.last
    plan = Emitter(Code({}), {program.designs: "%given"}, (wanted, "%found")).plan
    return [loop for step in plan.steps for loop in step.loops.values()]


@pytest.mark.parametrize("first", [doubled, by_row])
def test_what_is_soon_worked_out_is_not_kept(first: Function) -> None:
    *before, last = loops_of(lambda x: of_the_most(first(x)))
    assert not any(loop.kept for loop in before)
    assert [node.name for node in last.kept] == ["divide"]


def test_what_is_dear_is_kept() -> None:
    first, _ = loops_of(lambda x: of_the_most(grown(x)))
    assert [node.name for node in first.kept] == ["subtract"]


def test_what_is_read_from_another_place_is_kept() -> None:
    first, _ = loops_of(lambda x: with_the_other_side(doubled(x)))
    assert [node.name for node in first.kept] == ["add"]


@pytest.mark.parametrize("first", [doubled, by_row, grown])
@pytest.mark.parametrize("then", [of_the_most, with_the_other_side])
def test_what_is_worked_out_anew_is_the_same(first: Function, then: Function) -> None:
    check(lambda x: then(first(x)) * first(x), np.abs(drawn(LENGTH)) + 0.1)
    check(lambda x: then(first(x)) * first(x), np.abs(drawn(3, LENGTH)) + 0.1)
