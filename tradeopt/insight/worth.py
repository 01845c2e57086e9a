"""What each mechanism of a design is worth: the same design without it, or with another kind."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from tradeopt.arrays import Array
from tradeopt.chain.fit import KIND, Place
from tradeopt.chain.kind import File, Kind, Label, Number
from tradeopt.search import front as fronts
from tradeopt.search.designs import Designs, Outline
from tradeopt.study.compiled import CompiledStudy
from tradeopt.study.layout import Layout, SlotPlaces
from tradeopt.study.problem import Scores, Variable

DRIVES = "robot.drives."
"""Where the mechanisms of joints stand in a study."""

REMOVABLE = ("ring",)
"""Numbers of a drive that leave a mechanism out where they are 0."""


@dataclass(frozen=True)
class Swap:
    """One mechanism of a design and what stands in its place.

    Attributes
    ----------
    path : str
        The place, or the number that becomes 0.
    before, after : str
        The kinds; for a number, its value with its SI unit, and `none`.
    """

    path: str
    before: str
    after: str


@dataclass(frozen=True)
class Worth:
    """A design, and the same with one mechanism swapped.

    Attributes
    ----------
    swaps : tuple of Swap
        What was swapped.
    nominal : Scores
        The design itself, one row.
    scores : Scores
        A row a swap.
    """

    swaps: tuple[Swap, ...]
    nominal: Scores
    scores: Scores


def worth(problem: CompiledStudy, design: Array) -> Worth:
    """
    Swap each mechanism of a design for every other kind that the study has the numbers for.

    Parameters
    ----------
    problem : CompiledStudy
        The study.
    design : Array
        Shape (variable,).

    Returns
    -------
    Worth
        The design is evaluated again as it is, and nothing else of it is adapted: a search with
        the mechanism left out would win some of the loss back.
    """
    wide = replace(problem, layout=_widened(problem))
    variables = {one.path: one for one in problem.variables}
    columns = dict(zip(variables, design.tolist(), strict=True))
    swaps: list[tuple[Swap, float]] = []
    for path, kinds in _kinds(wide.layout, problem):
        variables[path], columns[path] = _with_kinds(
            path, kinds, variables.get(path), columns.get(path)
        )
        own = variables[path].choices[round(columns[path])]
        swaps += [
            (Swap(path.removesuffix(f".{KIND}"), own, kind), float(place))
            for place, kind in enumerate(variables[path].choices)
            if kind != own
        ]
    for path, unit in _removable(problem):
        if path not in columns:
            columns[path] = float(problem.values[path])
            variables[path] = Variable(path, unit, 0.0, np.inf)
        if columns[path]:
            swaps.append((Swap(path, f"{columns[path]:.4g} {unit}", "none"), 0.0))
    paths = list(columns)
    rows = np.tile(np.array(list(columns.values())), (len(swaps) + 1, 1))
    for row, (swap, value) in enumerate(swaps, start=1):
        path = swap.path if swap.path in columns else f"{swap.path}.{KIND}"
        rows[row, paths.index(path)] = value
    scores = replace(wide, variables=tuple(variables.values())).score(rows)
    return Worth(
        tuple(swap for swap, _ in swaps),
        Scores(scores.objectives[:1], scores.violations[:1]),
        Scores(scores.objectives[1:], scores.violations[1:]),
    )


def _widened(problem: CompiledStudy) -> Layout:
    """Let every kind stand in the drives that the study gives all numbers for."""
    filled = [
        replace(one, places=tuple(_wider(problem, one, place) for place in one.places))
        for one in problem.layout.slots
    ]
    return replace(problem.layout, slots=tuple(filled))


def _wider(problem: CompiledStudy, filled: SlotPlaces, place: Place) -> Place:
    if not place.path.startswith(DRIVES):
        return place
    others = [
        kind
        for kind in filled.known.values()
        if kind not in place.kinds and _is_given(problem, place.path, kind)
    ]
    return replace(place, kinds=(*place.kinds, *others))


def _is_given(problem: CompiledStudy, path: str, kind: Kind) -> bool:
    said = all(
        f"{path}.{one.name}" in problem.values and not isinstance(one, File | Label)
        for one in kind.parameters
    )
    needs = (one.name for step in kind.steps.values() for one in step.needs)
    return said and all(name in problem.chain.quantities for name in needs)


def _kinds(layout: Layout, problem: CompiledStudy) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Yield the paths of kinds that can be swapped, with the names of the kinds."""
    for place in layout.places.values():
        path = f"{place.path}.{KIND}"
        if place.path.startswith(DRIVES) and len(place.kinds) > 1:
            own = str(problem.values[path])
            names = [kind.name for kind in place.kinds]
            yield path, (own, *(name for name in names if name != own))


def _with_kinds(
    path: str, kinds: Sequence[str], variable: Variable | None, value: float | None
) -> tuple[Variable, float]:
    """Let a variable choose among more kinds, and keep what it chooses."""
    own = kinds[0] if variable is None or value is None else variable.choices[round(value)]
    chosen = Variable(path, "", 0.0, len(kinds) - 1.0, whole=True, choices=tuple(kinds))
    return chosen, float(kinds.index(own))


def _removable(problem: CompiledStudy) -> Iterator[tuple[str, str]]:
    """Yield the paths of numbers that leave a mechanism out where they are 0, with their units."""
    for path, leaf in problem.layout.leaves.items():
        name = path.rpartition(".")[2]
        if path.startswith(DRIVES) and isinstance(leaf, Number) and name in REMOVABLE:
            yield path, leaf.unit


@dataclass(frozen=True)
class Found:
    """The best that a search found with one choice.

    Attributes
    ----------
    path, choice : str
        Which variable, and what it was.
    designs : int
        How many of the designs that meet every limit chose it.
    best : Array
        Shape (objective,): the best in each objective among them, SI; NaN where there are none.
    """

    path: str
    choice: str
    designs: int
    best: Array


def found_with(outline: Outline, tried: Designs) -> tuple[Found, ...]:
    """
    Say how far a search came with each choice of a mechanism.

    Parameters
    ----------
    outline : Outline
        Variables and objectives.
    tried : Designs
        What the search keeps of what it tried.

    Returns
    -------
    tuple of Found
        For every choice of each variable that is a kind of a drive; all else was free to adapt.
    """
    kept = tried.take(tried.feasible)
    costs = fronts.minimised(kept.objectives, outline.objectives)
    found = []
    for column, variable in enumerate(outline.variables):
        if not variable.path.startswith(DRIVES) or not variable.path.endswith(f".{KIND}"):
            continue
        for place, choice in enumerate(variable.choices):
            rows = kept.values[:, column] == place
            best = np.full(len(outline.objectives), np.nan)
            if rows.any():
                signs = fronts.minimised(np.ones((1, len(best))), outline.objectives)[0]
                best = costs[rows].min(axis=0) * signs
            found.append(Found(variable.path, choice, int(rows.sum()), best))
    return tuple(found)
