"""Scoring designs within a slice: numbers them, counts them down, remembers them."""

import numpy as np

from tradeopt.arrays import Array
from tradeopt.search import designs as tables
from tradeopt.search import front as fronts
from tradeopt.search import space
from tradeopt.search.cube import Cube
from tradeopt.search.designs import Designs
from tradeopt.search.points import Points, joined, points
from tradeopt.study.problem import Problem, Scores, score_pieces


class Tally:
    """What a slice has tried.

    Parameters
    ----------
    problem : Problem
        What scores designs.
    first : int
        Number of its first design.
    size : int
        Designs that it may try.
    """

    def __init__(self, problem: Problem, first: int, size: int) -> None:
        self.problem = problem
        self.cube = Cube(problem.variables)
        self.next = first
        self.left = size
        self.tried: list[Designs] = []
        self.fresh: list[Points] = []

    def score(self, genes: Array) -> Points:
        """Score designs that the cube has; there must be as many left."""
        values = self.cube.to_values(genes)
        scored = self._booked(values, self.problem.score(values))
        return self._fresh(self._points(genes, scored, scored.violations))

    def score_pieces(self, genes: Array) -> Points:
        """Score designs for the gradient operator: every part of a limit is a limit of its own."""
        values = self.cube.to_values(genes)
        scores, parts = score_pieces(self.problem, values)
        scored = self._booked(values, scores)
        self._fresh(self._points(genes, scored, scored.violations))
        return self._points(genes, scored, parts.violations)

    def score_values(self, values: Array) -> Points:
        """Score designs as they are; those outside the bounds are counted, but not returned."""
        if not len(values):
            return self.known(tables.no_designs(self.problem))
        return self._fresh(self.known(self._booked(values, self.problem.score(values))))

    def known(self, designs: Designs) -> Points:
        """Return designs scored elsewhere, but for those outside the bounds of the variables."""
        inside = designs.take(space.inside(designs.values, self.problem.variables))
        return self._points(self.cube.to_genes(inside.values), inside, inside.violations)

    def take_fresh(self) -> Points | None:
        """Return what was scored since the last call; None where nothing was."""
        new = joined(self.fresh) if self.fresh else None
        self.fresh = []
        return new

    def everything(self) -> Designs:
        """Return all that was tried, in order."""
        return tables.join([tables.no_designs(self.problem), *self.tried])

    def _booked(self, values: Array, scores: Scores) -> Designs:
        """Give designs that were scored their numbers, and count them."""
        numbers = np.arange(self.next, self.next + len(values), dtype=np.int64)
        scored = Designs(numbers, values, scores.objectives, scores.violations)
        self.next += len(scored)
        self.left -= len(scored)
        self.tried.append(scored)
        return scored

    def _points(self, genes: Array, scored: Designs, violations: Array) -> Points:
        costs = fronts.minimised(scored.objectives, self.problem.objectives)
        return points(genes, costs, violations, scored.numbers)

    def _fresh(self, found: Points) -> Points:
        self.fresh.append(found)
        return found
