"""A study whose designs are scored by machine code, recorded from its own chain."""

import logging
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from tradeopt.arrays import Array, Codes
from tradeopt.kernel.node import MOST_LOOSE
from tradeopt.kernel.program import Program
from tradeopt.kernel.record import Recorder
from tradeopt.study.compiled import CompiledStudy, pieces, violation
from tradeopt.study.problem import Limit, Objective, Pieces, Problem, Scores, Variable

TRIED = 8
"""Designs on which machine code is held against numpy before it is used."""

AGREED = 1e-6
"""Relative difference that rounding can make: cells at their greatest power magnify it."""

_log = logging.getLogger(__name__)


@dataclass(frozen=True)
class FusedStudy:
    """Scores designs by machine code.

    Attributes
    ----------
    study : CompiledStudy
        What it was recorded from.
    program : Program
        Gives objectives, violations and the pieces of all limits, in one array or a few.
    owners : Codes
        The limit of each piece.
    """

    study: CompiledStudy
    program: Program
    owners: Codes

    @classmethod
    def of(cls, study: CompiledStudy, folder: Path | None) -> "FusedStudy":
        """
        Record a study.

        Parameters
        ----------
        study : CompiledStudy
            What to record.
        folder : Path, optional
            Where machine code is kept for other processes.

        Returns
        -------
        FusedStudy
            It gives what the study does, up to rounding.
        """
        recorder = Recorder()
        designs = recorder.given("designs", study.baseline[None])
        with np.errstate(all="ignore"):
            known = {**study.fixed, **study.given.varied(designs)}
            values = {**known, **recorder.run(study.judging, known)}
            scores = study.scores_of(values)
            parts = [violation(limit, pieces(limit, values)) for limit in study.limits]
            every = [np.concatenate(group, axis=1) for group in _groups(parts)]
        owners = np.repeat(np.arange(len(parts)), [part.shape[1] for part in parts])
        wanted = [scores.objectives, scores.violations, *every]
        program = recorder.program(designs, wanted, folder)
        return cls(study, program, owners.astype(np.int64))

    @property
    def variables(self) -> tuple[Variable, ...]:
        """What may be chosen."""
        return self.study.variables

    @property
    def objectives(self) -> tuple[Objective, ...]:
        """What is wanted."""
        return self.study.objectives

    @property
    def limits(self) -> tuple[Limit, ...]:
        """What must hold."""
        return self.study.limits

    @property
    def baseline(self) -> Array:
        """Shape (variable,): the design that the study file itself describes."""
        return self.study.baseline

    def score(self, designs: Array) -> Scores:
        """Score a batch of designs, shape (design, variable)."""
        return Scores(*self._run(designs, wanted=2))

    def score_pieces(self, designs: Array) -> tuple[Scores, Pieces]:
        """Score a batch of designs, and tell the part of each joint, gait, ... in its limits."""
        objectives, violations, *every = self._run(designs)
        together = every[0] if len(every) == 1 else np.concatenate(every, axis=1)
        return Scores(objectives, violations), Pieces(together, self.owners)

    def _run(self, designs: Array, wanted: int | None = None) -> list[Array]:
        with np.errstate(all="ignore"):  # a bad design is a negative margin or NaN, not a warning
            return self.program.run(designs, wanted)


def _groups(parts: Sequence[Array]) -> list[list[Array]]:
    """Put arrays into groups, as few as may be, that can each be recorded as one array."""
    groups, size = [[np.empty((1, 0))]], 0
    for part in parts:
        size += part.shape[1]
        if size > MOST_LOOSE:
            groups.append([])
            size = part.shape[1]
        groups[-1].append(part)
    return groups


def quickened(problem: Problem, folder: Path | None) -> Problem:
    """
    Return the fastest way to score the designs of a problem.

    Parameters
    ----------
    problem : Problem
        A study, or anything else that scores designs.
    folder : Path, optional
        Where machine code is kept for other processes.

    Returns
    -------
    Problem
        Machine code of a study that agrees with its numpy code, or the problem itself.
    """
    if not isinstance(problem, CompiledStudy):
        return problem
    try:
        fused = FusedStudy.of(problem, folder)
    except Exception:  # noqa: BLE001 - a kind of somebody else may hold anything
        _log.warning("no machine code of this study can be made; numpy scores it", exc_info=True)
        return problem
    for island in fused.program.islands:
        _log.info("%s stays in numpy: %s", island.name, island.why)
    rng = np.random.default_rng(0)
    bounds = np.array([(one.lower, one.upper) for one in problem.variables]).reshape(-1, 2)
    whole = np.array([one.whole or bool(one.choices) for one in problem.variables], dtype=np.bool_)
    drawn = rng.uniform(bounds[:, 0], bounds[:, 1], (TRIED, len(bounds)))
    designs = np.concatenate([problem.baseline[None], np.where(whole, np.rint(drawn), drawn)])
    ours, theirs = fused.score(designs), problem.score(designs)
    if all(
        np.allclose(one, other, rtol=AGREED, atol=AGREED, equal_nan=True)
        for one, other in (
            (ours.objectives, theirs.objectives),
            (ours.violations, theirs.violations),
        )
    ):
        return fused
    _log.warning("the machine code of this study does not agree with numpy, and is not used")
    return problem
