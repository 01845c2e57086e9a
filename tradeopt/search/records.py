"""Designs as trials of the sampler library."""

from collections.abc import Iterable, Mapping

import numpy as np
from optuna.study import StudyDirection
from optuna.trial import FrozenTrial, TrialState, create_trial

from tradeopt.search import space
from tradeopt.search.designs import Designs, Outline

Attributes = Mapping[str, object]


def directions(outline: Outline) -> list[StudyDirection]:
    """Say which way each objective is better, in the library's words."""
    return [
        StudyDirection.MAXIMIZE if one.highest else StudyDirection.MINIMIZE
        for one in outline.objectives
    ]


def trials(
    outline: Outline, designs: Designs, attributes: Iterable[Attributes]
) -> list[FrozenTrial]:
    """
    Make finished trials of designs.

    Parameters
    ----------
    outline : Outline
        The study.
    designs : Designs
        Inside the bounds of the variables.
    attributes : iterable of mapping
        What else to say of each design.

    Returns
    -------
    list of FrozenTrial
        With parameters, values and named constraints; failed where an objective has no value.
        Where a word is searched by its size, the word itself stands among the attributes.
    """
    kinds = space.distributions(outline.variables)
    names = [limit.name for limit in outline.limits]
    defined = np.all(np.isfinite(designs.objectives), axis=1)
    return [
        create_trial(
            state=TrialState.COMPLETE if defined[row] else TrialState.FAIL,
            params=space.parameters(designs.values[row], outline.variables),
            distributions=kinds,
            values=designs.objectives[row].tolist() if defined[row] else None,
            constraints=dict(zip(names, designs.violations[row].tolist(), strict=True)),
            user_attrs={**_words(outline, designs, row), **more},
        )
        for row, more in enumerate(attributes)
    ]


def _words(outline: Outline, designs: Designs, row: int) -> dict[str, object]:
    return {
        one.path: one.label(float(designs.values[row, column]))
        for column, one in enumerate(outline.variables)
        if one.sizes
    }
