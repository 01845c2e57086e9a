"""Ordering stages by need, with every misfit named on both sides before anything runs."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from difflib import get_close_matches
from graphlib import CycleError, TopologicalSorter

from tradeopt.chain.stage import Stage
from tradeopt.errors import ChainError, Problem
from tradeopt.quantities import Quantity

STUDY = "the study"


def in_order(stages: Sequence[Stage], inputs: Iterable[Quantity]) -> tuple[Stage, ...]:
    """
    Sort stages so that each comes after the givers of its needs.

    Parameters
    ----------
    stages : sequence of Stage
        In any order.
    inputs : iterable of Quantity
        What the study itself gives.

    Returns
    -------
    tuple of Stage
        The same stages, sorted once; ties keep the order they came in.

    Raises
    ------
    ChainError
        With every problem: a need nobody gives, two givers of one quantity, a unit or axes that
        differ between giver and needer, or stages that need each other in a circle.
    """
    givers = _givers(stages, inputs)
    problems = [*_double_givers(givers), *_misfits(stages, givers)]
    if problems:
        raise ChainError(tuple(problems))
    by_name = {stage.name: stage for stage in stages}
    needed_stages = {
        stage.name: [
            giver for need in stage.needs for giver, _ in givers[need.name] if giver in by_name
        ]
        for stage in stages
    }
    try:
        names = tuple(TopologicalSorter(needed_stages).static_order())
    except CycleError as error:
        raise ChainError((_circle(error.args[1]),)) from error
    return tuple(by_name[name] for name in names)


def _givers(
    stages: Sequence[Stage], inputs: Iterable[Quantity]
) -> Mapping[str, list[tuple[str, Quantity]]]:
    givers: dict[str, list[tuple[str, Quantity]]] = defaultdict(list)
    for quantity in inputs:
        givers[quantity.name].append((STUDY, quantity))
    for stage in stages:
        for quantity in stage.gives:
            givers[quantity.name].append((stage.name, quantity))
    return givers


def _double_givers(givers: Mapping[str, list[tuple[str, Quantity]]]) -> Iterable[Problem]:
    for name, found in givers.items():
        if len(found) > 1:
            who = " and ".join(giver for giver, _ in found)
            yield Problem(where=name, got=f"{len(found)} givers: {who}", want="one giver")


def _misfits(
    stages: Sequence[Stage], givers: Mapping[str, list[tuple[str, Quantity]]]
) -> Iterable[Problem]:
    for stage in stages:
        for need in stage.needs:
            found = givers.get(need.name, [])
            if not found:
                near = get_close_matches(need.name, list(givers), n=1)
                yield Problem(
                    where=f"{stage.name} needs {need.name}",
                    got="no stage that gives it",
                    want=f"{_form(need)}, from a stage or from the study",
                    near=near[0] if near else None,
                )
            for giver, given in found:
                if (given.unit, given.axes) != (need.unit, need.axes):
                    yield Problem(
                        where=f"{stage.name} needs {need.name}",
                        got=f"{_form(given)} from {giver}",
                        want=_form(need),
                    )


def _form(quantity: Quantity) -> str:
    return f"[{quantity.unit}] by ({', '.join(quantity.axes)})"


def _circle(names: Sequence[str]) -> Problem:
    # graphlib lists each stage before the one that needs it, first and last alike
    return Problem(
        where="stages",
        got=f"a circle of needs: {' -> '.join(names)}",
        want="stages of which none needs what it helps to give",
    )
