"""A slice by operators of our own: thousands of designs, measured in evaluations."""

from collections.abc import Callable, Mapping
from functools import partial

import numpy as np

from tradeopt.arrays import Array, Codes
from tradeopt.search import breeding, credit, targets
from tradeopt.search import front as fronts
from tradeopt.search.cube import Cube
from tradeopt.search.descent import descend, round_cost
from tradeopt.search.plan import SearchPlan
from tradeopt.search.points import FAR, Points, joined
from tradeopt.search.slices import Found, SliceTask, counted
from tradeopt.search.tally import Tally
from tradeopt.study.problem import Problem

TURN = 512
"""Designs of one turn of crossing or differences, after which its gain is booked."""

CLIMBERS = 32
"""Designs that the gradient operator moves at once."""

ROUNDS = 6
"""Rounds of the gradient operator in a turn."""

SWAPPING = 1024
"""Designs of a slice from which on discrete choices are swapped; before, the front moves fast."""

SWAPS = 0.25
"""Share of the turns that do so. It is not earned: a swap gains nothing for long, then much."""

SWAP_ROUNDS = 4
"""Rounds that swapped designs have at least, to come near the front again."""

FEW = 5
"""Feasible designs of a front below which there is none to aim from."""

ARCHIVE = 600
"""Most designs of a front; more are thinned to these, spread out."""

LOOSE = 3
"""How many times that a front may grow to before it is thinned, for thinning takes its time."""

EXPORTED = 200
"""Most designs that a slice adds to the front."""

CLOUD = 24
"""Designs kept beside, to show what the front was picked from."""

MISSES = 24
"""Designs kept that miss least, while few designs are feasible."""

BEHIND = 1.1
"""Where hypervolumes are measured from: a tenth of the spread behind the worst."""

RESTORING = 3
"""While hardly any design is feasible, every so many turns look for a feasible one."""

Starter = Callable[[np.random.Generator, Cube, Points, int], targets.Start]
Breeder = Callable[[np.random.Generator, Cube, Points, Array], Array]

BREEDERS: Mapping[str, Breeder] = {
    "crossing": breeding.crossed,
    "differences": breeding.differed,
}
STARTERS: Mapping[str, Starter] = {
    "direction": targets.toward_directions,
    "mix": targets.mixed,
    "gap": targets.into_gaps,
}
OPERATORS = (*BREEDERS, *STARTERS)
"""What the evaluations of a burst are shared between."""


def unknown_gains() -> Array:
    """Return what is known of the operators before the first burst."""
    return np.full(len(OPERATORS), np.nan)


def burst(problem: Problem, plan: SearchPlan, task: SliceTask) -> Found:
    """
    Try as many designs as a slice has, operator by operator.

    Parameters
    ----------
    problem : Problem
        The study.
    plan : SearchPlan
        How the run searches.
    task : SliceTask
        What to do.

    Returns
    -------
    Found
        What it found.
    """
    island = _Island(problem, plan, task)
    while island.tally.left > 0:
        island.turn()
    return island.found()


class _Island:
    """One burst under way: a population to breed from and the front that is known."""

    def __init__(self, problem: Problem, plan: SearchPlan, task: SliceTask) -> None:
        self.plan = plan
        self.cube = Cube(problem.variables)
        self.rng = np.random.default_rng(plan.chance(task.epoch, task.island))
        self.first = plan.first_number(task.epoch, task.island)
        size = plan.slice_size(task.epoch)
        self.may_swap = size >= SWAPPING and len(self.cube.smooth) < len(problem.variables)
        self.tally = Tally(problem, self.first, size)
        self.island = task.island
        self.gains = task.gains.copy()
        self.seeds = min(len(task.seeds), size)
        self.turns = 0
        founders = self.tally.known(task.parents)
        self.archive = founders.take(fronts.standing(founders.costs, founders.feasible))
        self._begin(founders, task.seeds.values[: self.seeds])

    def _begin(self, founders: Points, seeds: Array) -> None:
        parts = [founders, self.tally.score_values(seeds)]
        if len(founders) < self.plan.population:
            count = min(2 * self.plan.population, self.tally.left)
            parts.append(self.tally.score(self.cube.anywhere(self.rng, count)))
        everyone = joined(parts)
        self.population = everyone.take(self._survivors(everyone, "crossing"))
        self._absorb()

    def turn(self) -> None:
        """Let one operator have a turn, and book what it gained."""
        self.turns += 1
        if len(self.archive) < FEW:
            self._search_for_feasible()
            self._absorb()
            return
        if self.may_swap and self.rng.random() < SWAPS:
            self._climb(partial(targets.swapped, self.rng, self.cube, self.archive), SWAP_ROUNDS)
            self._absorb()
            return
        used = credit.choose(self.rng, self.gains, self.island)
        origin, spread = targets.scale_of(self.archive.costs)
        before, had = _volume(self.archive.costs, origin, spread), self.tally.left
        self._use(OPERATORS[used])
        self._absorb()
        gain = max(0.0, _volume(self.archive.costs, origin, spread) - before) / max(
            1, had - self.tally.left
        )
        self.gains = credit.credited(self.gains, used, gain)

    def _use(self, name: str) -> None:
        if name in BREEDERS:
            self._breed(name)
        else:
            self._climb(partial(STARTERS[name], self.rng, self.cube, self.archive))

    def _search_for_feasible(self) -> None:
        if self.turns % RESTORING == 0:
            self._climb(partial(targets.to_feasible, self.population))
        else:
            self._breed(("crossing", "differences")[int(self.rng.integers(0, 2))])

    def _breed(self, name: str) -> None:
        """Breed some generations; the front is bred from too."""
        elite = self.archive.take(self._elite())
        everyone = _each_once(joined([self.population, elite]))
        self.population = everyone.take(self._survivors(everyone, name))
        end = max(0, self.tally.left - TURN)
        while self.tally.left > end:
            parents = self.population
            if len(parents) < FEW:
                self._draw(end)
                return
            rank = np.full(len(parents), 1e6) + parents.misses
            rank[parents.feasible] = fronts.ranks(parents.costs[parents.feasible])
            children = BREEDERS[name](self.rng, self.cube, parents, rank)
            pool = joined([parents, self.tally.score(children[: self.tally.left])])
            self.population = pool.take(self._survivors(pool, name))

    def _draw(self, end: int) -> None:
        """Try designs from anywhere: there are too few with a value to breed from."""
        drawn = self.tally.score(self.cube.anywhere(self.rng, self.tally.left - end))
        pool = joined([self.population, drawn])
        self.population = pool.take(self._survivors(pool, "crossing"))

    def _elite(self) -> Codes:
        """Return part of the front: the best of each objective, and others drawn at random."""
        if not len(self.archive):
            return np.zeros(0, dtype=np.int64)
        most = 4 * self.plan.population // 5
        drawn = self.rng.permutation(len(self.archive))[:most]
        return np.unique(np.concatenate([drawn, self.archive.costs.argmin(axis=0)]))

    def _survivors(self, pool: Points, name: str) -> Codes:
        most = self.plan.population
        standing = np.flatnonzero(fronts.standing(pool.costs, pool.feasible))
        if name == "differences" and len(standing) > most:
            return standing[fronts.best_by_direction(self.rng, pool.costs[standing], most)]
        defined = np.where(pool.costs < FAR, pool.costs, np.nan)
        return fronts.survivors(defined, pool.violations, most)

    def _climb(self, starter: Callable[[int], targets.Start], fewest: int = 1) -> None:
        """Move some designs along gradients as far as evaluations last, some rounds at least."""
        cost = round_cost(self.cube)
        count = min(CLIMBERS, self.tally.left // (fewest * cost + 1))
        if count == 0 or len(self.cube.smooth) == 0:
            self._breed("crossing")
            return
        start = starter(count)
        begun = self.tally.score_pieces(start.genes)
        rounds = min(ROUNDS, self.tally.left // (cost * len(begun)))
        descend(self.cube, self.tally.score_pieces, begun, start.aim, rounds)

    def _absorb(self) -> None:
        """Let the front take what was found since."""
        new = self.tally.take_fresh()
        if new is None:
            return
        everyone = joined([self.archive, new.take(new.feasible)])
        kept = everyone.take(fronts.non_dominated(everyone.costs))
        if len(kept) > LOOSE * ARCHIVE:
            kept = kept.take(fronts.spread_out(kept.costs, ARCHIVE))
        self.archive = kept

    def found(self) -> Found:
        """Say what is kept of all that was tried."""
        tried = self.tally.everything()
        mine = self.archive.take(self.archive.numbers >= self.first)
        exported = mine.numbers[fronts.spread_out(mine.costs, EXPORTED)] - self.first
        cloud = np.linspace(0, len(tried) - 1, min(CLOUD, len(tried))).astype(np.int64)
        kept = [np.arange(self.seeds), exported, cloud]
        if len(self.archive) < FEW * CLOUD:
            missed = np.maximum(tried.violations, 0.0).sum(axis=1)
            kept.append(np.argsort(missed, kind="stable")[:MISSES])
        rows = np.unique(np.concatenate(kept)).astype(np.int64)
        return counted(tried, tried.take(rows), self.seeds, self.gains)


def _volume(costs: Array, origin: Array, spread: Array) -> float:
    """Return the hypervolume of a front on the scale that the last one had."""
    scaled = (costs - origin) / spread
    return fronts.hypervolume(scaled, np.full(scaled.shape[1], BEHIND))


def _each_once(designs: Points) -> Points:
    _, once = np.unique(designs.numbers, return_index=True)
    return designs.take(np.sort(once))
